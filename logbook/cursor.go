package logbook

import (
	"bytes"

	bolt "go.etcd.io/bbolt"
)

// cursor goes through the keys of a bucket of entries, and fails where damage shows: it steps on no leaf
// that was not looked at, and to no key that is out of order, which would lead some loops round and round.
type cursor struct {
	of     *bolt.Cursor
	pages  *pageCheck
	bucket string
	at     []byte   // the key it stands on,
	leaf   leafSpan // and the leaf that lies in
}

func (v *View) cursor(bucket string) *cursor {
	return &cursor{of: v.tx.Bucket([]byte(bucket)).Cursor(), pages: v.pages, bucket: bucket}
}

func (v *View) entryCursor(kind Kind) *cursor { return v.cursor(string(kind)) }

// get gives the value of a key, as it is sealed.
func (v *View) get(bucket string, key []byte) []byte {
	v.pages.trust(bucket, key)
	return v.tx.Bucket([]byte(bucket)).Get(key)
}

func (c *cursor) First() (k, sealed []byte) { return c.Seek(nil) }

// Seek goes to the first key that is not before another.
func (c *cursor) Seek(key []byte) (k, sealed []byte) {
	if c.leaf = c.pages.trust(c.bucket, key); bytes.Compare(key, c.leaf.last) > 0 {
		c.pages.trust(c.bucket, c.leaf.to)
	}
	k, sealed = c.of.Seek(key)
	return c.stand(k, sealed, bytes.Compare(k, key) >= 0)
}

func (c *cursor) Next() (k, sealed []byte) {
	if bytes.Compare(c.at, c.leaf.last) >= 0 {
		c.pages.trust(c.bucket, c.leaf.to)
	}
	k, sealed = c.of.Next()
	return c.stand(k, sealed, bytes.Compare(k, c.at) > 0)
}

func (c *cursor) Prev() (k, sealed []byte) {
	if bytes.Compare(c.at, c.leaf.from) <= 0 {
		c.pages.trustBefore(c.bucket, c.leaf)
	}
	k, sealed = c.of.Prev()
	return c.stand(k, sealed, bytes.Compare(k, c.at) < 0)
}

// seekBefore goes to the last key of a series that is not after a time; it may lie before the series.
func (c *cursor) seekBefore(s series, last int64) (k, sealed []byte) {
	if last < 0 {
		return nil, nil
	}
	after := newSeriesKey(s.tank, s.subject, last+1, ID{})
	if k, _ := c.Seek(after[:]); k != nil {
		return c.Prev()
	}
	k, sealed = c.of.Last()
	return c.stand(k, sealed, bytes.Compare(k, after[:]) < 0)
}

// count counts the keys of a series with first <= time <= last, but not far beyond most. It takes a tenth of the time
// it saves, which is that of growing and copying a long list.
func (c *cursor) count(s series, first, last int64, most int) (n int) {
	start, end := newSeriesKey(s.tank, s.subject, first, ID{}), newSeriesKey(s.tank, s.subject, last+1, ID{})
	for k, _ := c.Seek(start[:]); k != nil && n <= most && bytes.Compare(k, end[:]) < 0; k, _ = c.Next() {
		n++
	}
	return n
}

func (c *cursor) stand(k, sealed []byte, inOrder bool) ([]byte, []byte) {
	if k == nil {
		return nil, nil
	}
	if !inOrder {
		fail(damaged("the keys of %s are out of order", c.bucket))
	}
	if bytes.Compare(k, c.leaf.from) < 0 || bytes.Compare(k, c.leaf.to) >= 0 {
		c.leaf = c.pages.trust(c.bucket, k)
	}
	c.at = k
	return k, sealed
}
