package logbook

import (
	"bytes"
	"io"
	"sort"
	"sync/atomic"
)

// The leaves of a large bucket are not looked at when a book is opened, but when something is first read from them or
// written to them.

// branchCheck is a branch page that leads to leaves which are looked at later.
type branchCheck struct {
	first  []byte // its first key
	page   uint64
	leaves atomic.Pointer[[]leafCheck] // nil until one is wanted
}

type leafCheck struct {
	first  []byte
	page   uint64
	last   atomic.Pointer[[]byte] // its last key; nil: it was not looked at yet
	sealed atomic.Bool            // its checksums were looked at too
}

// on gives the same check for another session on the same state of a book.
func (c *pageCheck) on(file io.ReaderAt, writes bool) *pageCheck {
	own := *c
	own.file, own.buffers, own.writes = file, nil, writes
	return &own
}

// whole looks at all leaves, for what reads them all anyway.
func (c *pageCheck) whole() {
	if c != nil && !c.deep {
		all := checkPages(c.file, c.pageSize, c.commit, true)
		fail(all.err())
		fail(damage(all.wrong))
	}
}

// leafSpan is where a leaf lies that was looked at: the keys from which and to which it is the one to look in, and
// its last.
type leafSpan struct{ from, to, last []byte }

// afterAll lies behind every key of an entry.
var afterAll = bytes.Repeat([]byte{0xFF}, len(seriesKey{})+1)

// trust looks at the leaf of a bucket in which a key would lie; where something will be written, at those beside it
// too, with which bbolt may join it. It fails if one is damaged.
func (c *pageCheck) trust(bucket string, key []byte) leafSpan {
	found := c.trustLeaf(bucket, key, false)
	if c != nil && c.writes {
		c.trustBefore(bucket, found)
		c.trustLeaf(bucket, found.to, false)
	}
	return found
}

func (c *pageCheck) trustBefore(bucket string, leaf leafSpan) {
	if leaf.from != nil {
		c.trustLeaf(bucket, leaf.from, true)
	}
}

// trustLeaf looks at the last leaf that begins at a key or before; only before it, if that is asked for.
func (c *pageCheck) trustLeaf(bucket string, key []byte, before bool) leafSpan {
	if c == nil || c.large[bucket] == nil {
		return leafSpan{to: afterAll, last: afterAll}
	}
	limit := 1
	if before {
		limit = 0
	}
	above := c.large[bucket].above
	at := max(0, sort.Search(len(above), func(i int) bool { return bytes.Compare(above[i].first, key) >= limit })-1)
	end := afterAll
	if at+1 < len(above) {
		end = above[at+1].first
	}
	leaves := c.leavesOf(&above[at], end)
	i := max(0, sort.Search(len(leaves), func(i int) bool { return bytes.Compare(leaves[i].first, key) >= limit })-1)
	found := leafSpan{to: end}
	if at > 0 || i > 0 {
		found.from = leaves[i].first
	}
	if i+1 < len(leaves) {
		found.to = leaves[i+1].first
	}
	if l := &leaves[i]; l.last.Load() == nil || c.writes && !l.sealed.Load() {
		c.lookAtLeaf(bucket, l, found.to)
	}
	found.last = *leaves[i].last.Load()
	return found
}

func (c *pageCheck) leavesOf(b *branchCheck, end []byte) []leafCheck {
	if known := b.leaves.Load(); known != nil {
		return *known
	}
	kind, count, body, ok := c.page(b.page, 0)
	if _, err := layOut(body, kind, count, b.first, end); !ok || kind != branchKind || err != nil {
		fail(damaged("page %d is no longer the branch it was", b.page))
	}
	body = bytes.Clone(body) // which the keys stay in
	leaves := make([]leafCheck, count)
	for i := range leaves {
		leaves[i].first, _, leaves[i].page = elementOf(body, branchKind, i)
	}
	b.leaves.CompareAndSwap(nil, &leaves)
	return *b.leaves.Load()
}

func (c *pageCheck) lookAtLeaf(bucket string, l *leafCheck, end []byte) {
	kind, count, body, ok := c.page(l.page, 0)
	switch {
	case !ok:
	case kind != leafKind:
		c.report("page %d of kind %d stands for a leaf", l.page, kind)
	case c.pages[l.page] == laterLeaf && len(body) > c.pageSize:
		c.report("page %d runs on into pages of others", l.page)
	default:
		if _, err := layOut(body, kind, count, l.first, end); err != nil {
			c.report("page %d: %v", l.page, err)
			break
		}
		if c.writes { // else each record is looked at when it is read
			c.leaf(&bucketCheck{name: bucket}, l.page, body, count, 0)
		}
		last, _, _ := elementOf(body, leafKind, count-1)
		last = bytes.Clone(last)
		l.last.Store(&last)
		l.sealed.Store(c.writes)
	}
	fail(damage(append(c.problems, c.wrong...)))
}
