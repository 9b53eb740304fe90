package logbook

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"time"

	"github.com/oklog/ulid/v2"
)

// ID names an entry for good. It is a ULID: 48 bits of the entry's own time in milliseconds, then 80 bits drawn from
// a SHA-256 of what the entry says. The same line therefore gets the same ID in every book, which is what makes an
// import idempotent and lets two copies of a book be merged.
type ID ulid.ULID

// NewID derives an ID from the time of an entry, the text of what it says, and a count that tells apart lines that
// say exactly the same (0 for the first).
func NewID(when time.Time, content string, repeat int) ID {
	h := sha256.New()
	h.Write([]byte(content))
	var n [4]byte
	binary.BigEndian.PutUint32(n[:], uint32(repeat))
	h.Write(n[:])
	var id ulid.ULID
	ms := when.UnixMilli()
	if ms < 0 {
		ms = 0
	}
	// Within ulid.MaxTime for every time the book accepts, so it cannot fail.
	_ = id.SetTime(uint64(ms))
	_ = id.SetEntropy(h.Sum(nil)[:10])
	return ID(id)
}

// ParseID reads the 26 characters of a ULID.
func ParseID(s string) (ID, error) {
	id, err := ulid.ParseStrict(s)
	if err != nil {
		return ID{}, fmt.Errorf("%q is not an entry's id (26 letters and digits)", s)
	}
	return ID(id), nil
}

func (id ID) String() string { return ulid.ULID(id).String() }

// IsZero reports whether the ID is not yet given.
func (id ID) IsZero() bool { return id == ID{} }
