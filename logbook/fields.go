package logbook

import (
	"cmp"
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

func (w *fieldWriter) texts(ss []string) { writeAll(w, ss, w.text) }

func writeAll[T any](w *fieldWriter, all []T, one func(T)) {
	w.uint(uint64(len(all)))
	for _, field := range all {
		one(field)
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

// take gives the next bytes without copying them: they lie in the book's pages. nil if there are not so many.
func (r *fieldReader) take(size int) []byte {
	if size < 0 || size > len(r.b) {
		r.fail()
		return nil
	}
	s := r.b[:size]
	r.b = r.b[size:]
	return s
}

func (r *fieldReader) uint() uint64 {
	n, size := binary.Uvarint(r.b)
	r.take(cmp.Or(size, -1))
	return n
}

func (r *fieldReader) int() int64 {
	n, size := binary.Varint(r.b)
	r.take(cmp.Or(size, -1))
	return n
}

func (r *fieldReader) float() float64 {
	b := r.take(8)
	if b == nil {
		return 0
	}
	return math.Float64frombits(binary.BigEndian.Uint64(b))
}

func (r *fieldReader) bool() bool { return r.uint() != 0 }

func (r *fieldReader) bytes() []byte { return r.take(int(min(r.uint(), math.MaxInt))) }

func (r *fieldReader) text() string { return string(r.bytes()) }

func (r *fieldReader) floats() []float64 { return readAll(r, 8, r.float) }
func (r *fieldReader) texts() []string   { return readAll(r, 1, r.text) }

// readAll reads a number of fields, each of which takes least bytes or more.
func readAll[T any](r *fieldReader, least int, one func() T) (all []T) {
	n := r.uint()
	if n > uint64(len(r.b)/least) {
		r.fail()
		return nil
	}
	for range n {
		all = append(all, one())
	}
	return all
}

// sortedKeys gives the keys of a map in order, so that the same record is always the same bytes.
func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
