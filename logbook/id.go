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
	return deriveID(when.UnixMilli(), []byte(content), repeat)
}

// deriveID is NewID for callers that have the content in a buffer. It leaves the buffer as it was.
func deriveID(milliseconds int64, content []byte, repeat int) ID {
	hashed := binary.BigEndian.AppendUint32(content, uint32(repeat))
	sum := sha256.Sum256(hashed)
	var id ulid.ULID
	// Within ulid.MaxTime for every time the book accepts, so it cannot fail.
	_ = id.SetTime(uint64(max(milliseconds, 0)))
	_ = id.SetEntropy(sum[:10])
	return ID(id)
}

func (id ID) milliseconds() int64 { return int64(ulid.ULID(id).Time()) }

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
