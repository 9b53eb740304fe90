package logbook

import (
	"bufio"
	"bytes"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// utf8Text gives the text of r as UTF-8 without a byte order mark. UTF-16 is known by its mark, or by the zero bytes
// that any Latin text has in it. What is not a text at all is refused.
func utf8Text(r io.Reader, file string) (io.Reader, error) {
	b := bufio.NewReaderSize(r, 64<<10)
	head, err := b.Peek(4)
	if err != nil && err != io.EOF {
		return nil, err
	}
	zero := func(i int) bool { return head[i] == 0 }
	switch {
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		b.Discard(3)
		return b, nil
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return nil, Refusals{{File: file, Reason: "this is a packed file, perhaps a spreadsheet",
			Hint: "leadline import reads xlsx and ods; else save it as CSV first"}}
	case bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return nil, Refusals{{File: file, Reason: "this is a spreadsheet of an old sort, or one that is locked with a " +
			"password", Hint: "save it as xlsx, ods or CSV, without a password"}}
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")):
		b.Discard(2)
		return &utf16Reader{r: b, file: file, bigEndian: head[0] == 0xfe}, nil
	case len(head) == 4 && zero(0) != zero(1) && zero(0) == zero(2) && zero(1) == zero(3):
		return &utf16Reader{r: b, file: file, bigEndian: zero(0)}, nil
	}
	return b, nil
}

// utf16Reader turns UTF-16 into UTF-8.
type utf16Reader struct {
	r         *bufio.Reader
	file      string
	bigEndian bool
	ready     []byte // UTF-8 not yet given out
}

func (u *utf16Reader) Read(p []byte) (int, error) {
	for len(u.ready) < len(p) && (len(u.ready) == 0 || u.r.Buffered() >= 4) {
		c, err := u.next()
		if err == io.EOF && len(u.ready) > 0 {
			break
		}
		if err != nil {
			return 0, err
		}
		u.ready = utf8.AppendRune(u.ready, c)
	}
	n := copy(p, u.ready)
	u.ready = u.ready[:copy(u.ready, u.ready[n:])]
	return n, nil
}

func (u *utf16Reader) next() (rune, error) {
	first, err := u.unit()
	if err != nil || !utf16.IsSurrogate(first) {
		return first, err
	}
	second, err := u.unit()
	c := utf16.DecodeRune(first, second)
	if err == io.EOF || err == nil && c == utf8.RuneError {
		err = u.broken()
	}
	return c, err
}

func (u *utf16Reader) unit() (rune, error) {
	var b [2]byte
	_, err := io.ReadFull(u.r, b[:])
	if err == io.ErrUnexpectedEOF {
		err = u.broken()
	}
	if u.bigEndian {
		b[0], b[1] = b[1], b[0]
	}
	return rune(b[1])<<8 | rune(b[0]), err
}

func (u *utf16Reader) broken() error {
	return Refusals{{File: u.file, Reason: "the text begins as UTF-16 and does not go on so", Hint: utf8Hint}}
}

const utf8Hint = "save the file as UTF-8"
