package terminal

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"sync/atomic"
	"time"
)

const (
	progressAfter = 500 * time.Millisecond // what is done sooner needs no bar
	ProgressEvery = 100 * time.Millisecond
	progressBar   = 24 // cells
)

// Progress is the line on a terminal that says how far something is. It stands on stderr, is drawn anew at most ten
// times a second and taken away at the end; it needs no more of a terminal than that a return goes to the beginning of
// the line. A nil progress does nothing: without a terminal nobody watches.
type Progress struct {
	out   io.Writer
	doing string
	total int64 // bytes; 0: not known
	read  atomic.Int64

	mu     sync.Mutex
	length int // of what stands there
	ended  bool
	stop   chan struct{}
}

// NewProgress makes a line that Run draws; total is in bytes, 0 where it is not known.
func NewProgress(out io.Writer, doing string, total int64) *Progress {
	return &Progress{out: out, doing: doing, total: total, stop: make(chan struct{})}
}

// Run draws the line until End.
func (p *Progress) Run() {
	wait := time.NewTimer(progressAfter)
	defer wait.Stop()
	for {
		select {
		case <-p.stop:
			return
		case <-wait.C:
			p.draw()
			wait.Reset(ProgressEvery)
		}
	}
}

func (p *Progress) draw() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		return
	}
	line := p.line()
	fmt.Fprintf(p.out, "\r%-*s", p.length, line)
	p.length = max(p.length, len(line))
}

// line is what the line says, in plain ASCII.
func (p *Progress) line() string {
	if p.total <= 0 {
		return p.doing + " ..."
	}
	read := min(p.read.Load(), p.total)
	full := int(read * progressBar / p.total)
	const mb = 1 << 20
	return fmt.Sprintf("%s [%s%s] %3d %%, %.1f of %.1f MB", p.doing, strings.Repeat("#", full),
		strings.Repeat(".", progressBar-full), read*100/p.total, float64(read)/mb, float64(p.total)/mb)
}

// Doing says anew what is being done, where no bytes are counted.
func (p *Progress) Doing(what string) {
	if p != nil {
		p.mu.Lock()
		p.doing = what
		p.mu.Unlock()
	}
}

// End takes the line away.
func (p *Progress) End() {
	if p == nil {
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.ended {
		return
	}
	p.ended = true
	close(p.stop)
	if p.length > 0 {
		fmt.Fprintf(p.out, "\r%s\r", strings.Repeat(" ", p.length))
	}
}

// Reader counts what is read of r.
func (p *Progress) Reader(r io.Reader) io.Reader {
	if p == nil {
		return r
	}
	return counted{Reader: r, p: p}
}

// counted is what is read one piece after the other, or at any place.
type counted struct {
	io.Reader
	io.ReaderAt
	p *Progress
}

func (c counted) Read(b []byte) (int, error) {
	n, err := c.Reader.Read(b)
	c.p.read.Add(int64(n))
	return n, err
}

// ReaderAt counts what is read of r.
func (p *Progress) ReaderAt(r io.ReaderAt) io.ReaderAt {
	if p == nil {
		return r
	}
	p.read.Store(0)
	return counted{ReaderAt: r, p: p}
}

func (c counted) ReadAt(b []byte, at int64) (int, error) {
	n, err := c.ReaderAt.ReadAt(b, at)
	c.p.read.Add(int64(n))
	return n, err
}
