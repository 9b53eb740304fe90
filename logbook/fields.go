package logbook

import (
	"encoding/binary"
	"errors"
	"maps"
	"math"
	"slices"
	"time"
)

// fieldWriter writes the fields of a value one after the other: numbers as varints, floats as 8 bytes, text as its
// length and its bytes.
type fieldWriter struct{ b []byte }

func (w *fieldWriter) uint(n uint64)   { w.b = binary.AppendUvarint(w.b, n) }
func (w *fieldWriter) int(n int64)     { w.b = binary.AppendVarint(w.b, n) }
func (w *fieldWriter) float(f float64) { w.b = binary.BigEndian.AppendUint64(w.b, math.Float64bits(f)) }

func (w *fieldWriter) bool(yes bool) {
	if yes {
		w.uint(1)
	} else {
		w.uint(0)
	}
}

func (w *fieldWriter) text(s string) {
	w.uint(uint64(len(s)))
	w.b = append(w.b, s...)
}

func (w *fieldWriter) optional(f *float64) {
	w.bool(f != nil)
	if f != nil {
		w.float(*f)
	}
}

func (w *fieldWriter) floats(fs []float64) {
	w.uint(uint64(len(fs)))
	for _, f := range fs {
		w.float(f)
	}
}

func (w *fieldWriter) texts(ss []string) {
	w.uint(uint64(len(ss)))
	for _, s := range ss {
		w.text(s)
	}
}

// moment writes a time whole; the zero time is kept as such.
func (w *fieldWriter) moment(t time.Time) {
	w.bool(!t.IsZero())
	if !t.IsZero() {
		w.int(t.Unix())
		w.uint(uint64(t.Nanosecond()))
		w.uint(zoneOf(t))
	}
}

// zoneOf is the offset of a time from UTC as one number: 0 is "Z", all others are an offset in seconds, so that "Z"
// and "+00:00" are told apart.
func zoneOf(t time.Time) uint64 {
	if t.Location() == time.UTC {
		return 0
	}
	_, seconds := t.Zone()
	return 1 + (uint64(seconds)<<1 ^ uint64(int64(seconds)>>63))
}

func atOffset(t time.Time, zone uint64) time.Time {
	if zone == 0 {
		return t.UTC()
	}
	z := zone - 1
	seconds := int(z>>1) ^ -int(z&1)
	return t.In(time.FixedZone("", seconds))
}

var errShortValue = errors.New("a value ends too early")

// fieldReader reads what a fieldWriter wrote. After a fault everything reads as zero and err says so once. Fields are
// only ever added at the end of a value: one that is not there reads as zero, which is what more is for.
type fieldReader struct {
	b   []byte
	err error
}

func (r *fieldReader) more() bool { return len(r.b) > 0 && r.err == nil }

func (r *fieldReader) fail() {
	r.err = errShortValue
	r.b = nil
}

func (r *fieldReader) uint() uint64 {
	n, size := binary.Uvarint(r.b)
	if size <= 0 {
		r.fail()
		return 0
	}
	r.b = r.b[size:]
	return n
}

func (r *fieldReader) int() int64 {
	n, size := binary.Varint(r.b)
	if size <= 0 {
		r.fail()
		return 0
	}
	r.b = r.b[size:]
	return n
}

func (r *fieldReader) float() float64 {
	if len(r.b) < 8 {
		r.fail()
		return 0
	}
	f := math.Float64frombits(binary.BigEndian.Uint64(r.b))
	r.b = r.b[8:]
	return f
}

func (r *fieldReader) bool() bool { return r.uint() != 0 }

// bytes gives the next field without copying it: it lies in the book's pages.
func (r *fieldReader) bytes() []byte {
	n := r.uint()
	if n > uint64(len(r.b)) {
		r.fail()
		return nil
	}
	s := r.b[:n]
	r.b = r.b[n:]
	return s
}

func (r *fieldReader) text() string { return string(r.bytes()) }

func (r *fieldReader) optional() *float64 {
	if !r.bool() {
		return nil
	}
	f := r.float()
	return &f
}

func (r *fieldReader) floats() []float64 {
	n := r.uint()
	if n > uint64(len(r.b)/8) {
		r.fail()
		return nil
	}
	var fs []float64
	for range n {
		fs = append(fs, r.float())
	}
	return fs
}

func (r *fieldReader) texts() []string {
	n := r.uint()
	if n > uint64(len(r.b)) { // each takes a byte at least
		r.fail()
		return nil
	}
	var ss []string
	for range n {
		ss = append(ss, r.text())
	}
	return ss
}

func (r *fieldReader) moment() time.Time {
	if !r.bool() {
		return time.Time{}
	}
	seconds := r.int()
	nanos := r.uint()
	return atOffset(time.Unix(seconds, int64(nanos%1e9)), r.uint())
}

// sortedKeys gives the keys of a map in order, so that the same record is always the same bytes.
func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
