package terminal

import (
	"bytes"
	"io"
	"strings"
	"testing"
)

func TestProgressLine(t *testing.T) {
	var out bytes.Buffer
	p := &Progress{out: &out, doing: "reading", total: 4 << 20, stop: make(chan struct{})}
	r := p.Reader(io.LimitReader(zeros{}, 1<<20))
	if n, err := io.Copy(io.Discard, r); n != 1<<20 || err != nil {
		t.Fatal(n, err)
	}
	p.draw()
	p.doing, p.total = "x", 0
	p.draw()
	p.End()
	p.draw()
	p.End()
	first := "reading [######..................]  25 %, 1.0 of 4.0 MB"
	want := "\r" + first + "\rx ..." + strings.Repeat(" ", len(first)-5) + "\r" + strings.Repeat(" ", len(first)) + "\r"
	if out.String() != want {
		t.Errorf("%q\nwant %q", out.String(), want)
	}
	for _, c := range out.String() {
		if c != '\r' && (c < ' ' || c > '~') {
			t.Errorf("%q is no plain character", c)
		}
	}
	var none *Progress // without a terminal
	if none.Reader(r) != r || none.ReaderAt(bytes.NewReader(nil)) == nil {
		t.Error("a progress that nobody sees counts")
	}
	none.End()
}

type zeros struct{}

func (zeros) Read(b []byte) (int, error) { clear(b); return len(b), nil }
