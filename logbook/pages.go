package logbook

import (
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"io"
)

// pageCheck looks at the pages of a book from outside, by plain reads that no damage can turn into a fault. What it is
// for: bbolt writes into the pages that its list of free pages names, and nothing protects that list. One wrong number
// in it and the next writing destroys records that could still be read.
//
// The format is that of bbolt, version 2, in the byte order of the machine. A page begins with its number (8 bytes),
// its kind (2), the number of its elements (2) and how many pages it runs on into (4). Behind that come, in a branch,
// elements of position (4), key size (4), page (8); in a leaf, of flags (4), position (4), key size (4), value size
// (4), positions being relative to the element; in the list of free pages, their numbers.
type pageCheck struct {
	file     io.ReaderAt
	pageSize int
	deep     bool // look at every leaf too; without, only at what leads to them
	end      uint64
	used     []bool
	leafHead [pageHead]byte
	buffers  [][]byte // one for each depth of a tree
	problems []string
}

const (
	pageHead   = 16
	branchKind = 0x01
	leafKind   = 0x02
	freeKind   = 0x10
	bucketFlag = 0x01
	metaSize   = 64
	deepest    = 64 // no tree is as high as that
)

// checkPages checks the state that a transaction sees: commit is the number of the commit it stands on.
func checkPages(file io.ReaderAt, pageSize int, commit uint64, deep bool) []string {
	c := pageCheck{file: file, pageSize: pageSize, deep: deep}
	root, free, ok := c.meta(commit)
	if !ok {
		c.report("neither head page is that of commit %d", commit)
		return c.problems
	}
	c.used = make([]bool, c.end)
	c.use(0, 1, "head")
	c.use(1, 1, "head")
	c.bucket(root, true, 0)
	list := c.freeList(free)
	for i, id := range list {
		switch {
		case id < 2 || id >= c.end:
			c.report("the list of free pages names page %d of %d", id, c.end)
		case c.used[id]:
			c.report("page %d is in use and in the list of free pages", id)
		case i > 0 && id <= list[i-1]:
			c.report("the list of free pages is out of order at page %d", id)
		}
	}
	return c.problems
}

func (c *pageCheck) report(format string, args ...any) {
	if len(c.problems) < mostProblems {
		c.problems = append(c.problems, fmt.Sprintf(format, args...))
	}
}

// meta finds the head page of a commit. There are two, the last commit's and the one before's, each with a checksum.
// Where one is destroyed bbolt goes on from the other without a word, and the last commit may be gone.
func (c *pageCheck) meta(commit uint64) (root, free uint64, found bool) {
	page := make([]byte, pageHead+metaSize)
	for i := range int64(2) {
		_, err := c.file.ReadAt(page, i*int64(c.pageSize))
		m := page[pageHead:]
		sum := fnv.New64a()
		sum.Write(m[:56])
		if err != nil || binary.NativeEndian.Uint64(m[56:]) != sum.Sum64() {
			c.report("head page %d is destroyed, so the last writing may be missing (a backup made now is whole again, with what is left)", i)
			continue
		}
		if binary.NativeEndian.Uint64(m[48:]) == commit {
			found = true
			root, free = binary.NativeEndian.Uint64(m[16:]), binary.NativeEndian.Uint64(m[32:])
			c.end = binary.NativeEndian.Uint64(m[40:])
		}
	}
	const mostPages = 1 << 32 // 16 TB; more would be nonsense to make room for
	return root, free, found && c.end > 2 && c.end < mostPages
}

// use marks pages as taken and reports what is impossible.
func (c *pageCheck) use(id, count uint64, what string) bool {
	if id >= c.end || count > c.end-id {
		c.report("%s page %d (of %d) lies behind the end, page %d", what, id, count, c.end)
		return false
	}
	for i := id; i < id+count; i++ {
		if c.used[i] {
			c.report("page %d is used twice, at last as a %s page", i, what)
			return false
		}
		c.used[i] = true
	}
	return true
}

// page reads a whole page that lies so deep, and marks what it takes. The bytes hold until the next page of that depth.
func (c *pageCheck) page(id uint64, depth int) (kind uint16, count int, body []byte, ok bool) {
	for len(c.buffers) <= depth {
		c.buffers = append(c.buffers, make([]byte, c.pageSize))
	}
	body = c.buffers[depth]
	kind, count, pages, ok := c.head(id, body)
	if ok && pages > 1 {
		body = make([]byte, pages*uint64(c.pageSize))
		if _, err := c.file.ReadAt(body, int64(id)*int64(c.pageSize)); err != nil {
			c.report("page %d: %v", id, err)
			return 0, 0, nil, false
		}
	}
	return kind, count, body, ok
}

// head fills a buffer from a page, looks at its head and marks what it takes.
func (c *pageCheck) head(id uint64, buffer []byte) (kind uint16, count int, pages uint64, ok bool) {
	if id >= c.end {
		c.report("page %d lies behind the end, page %d", id, c.end)
		return 0, 0, 0, false
	}
	if _, err := c.file.ReadAt(buffer, int64(id)*int64(c.pageSize)); err != nil {
		c.report("page %d: %v", id, err)
		return 0, 0, 0, false
	}
	kind = binary.NativeEndian.Uint16(buffer[8:])
	if own := binary.NativeEndian.Uint64(buffer); own != id || kind != branchKind && kind != leafKind && kind != freeKind {
		c.report("page %d says that it is page %d of kind %d", id, own, kind)
		return 0, 0, 0, false
	}
	pages = 1 + uint64(binary.NativeEndian.Uint32(buffer[12:]))
	return kind, int(binary.NativeEndian.Uint16(buffer[10:])), pages, c.use(id, pages, kindName(kind))
}

func kindName(kind uint16) string {
	switch kind {
	case branchKind:
		return "branch"
	case leafKind:
		return "leaf"
	}
	return "free-list"
}

// bucket goes through the tree of a bucket. All leaves of a tree lie equally deep, so that the way down its left side
// tells, for all of it, where the leaves begin; without deep they are marked and not read.
func (c *pageCheck) bucket(root uint64, top bool, depth int) {
	c.tree(root, c.height(root), top, depth)
}

// height counts the branches above the leaves.
func (c *pageCheck) height(id uint64) int {
	head := make([]byte, pageHead+16)
	for n := range deepest {
		if _, err := c.file.ReadAt(head, int64(id)*int64(c.pageSize)); err != nil || id >= c.end {
			return n // tree will say so
		}
		if binary.NativeEndian.Uint16(head[8:]) != branchKind {
			return n
		}
		id = binary.NativeEndian.Uint64(head[pageHead+8:])
	}
	return deepest
}

func (c *pageCheck) tree(id uint64, height int, top bool, depth int) {
	if height == 0 && !top {
		if c.deep {
			c.leaf(id)
		} else {
			c.use(id, 1, "leaf")
		}
		return
	}
	kind, count, body, ok := c.page(id, depth)
	switch {
	case !ok:
	case kind == branchKind && height > 0:
		c.branch(id, body, count, height, top, depth)
	case kind == leafKind && height == 0:
		c.topLeaf(id, body, count, depth)
	default:
		c.report("page %d is of kind %d at height %d", id, kind, height)
	}
}

func (c *pageCheck) branch(id uint64, body []byte, count, height int, top bool, depth int) {
	if pageHead+16*count > len(body) || count == 0 {
		c.report("branch page %d cannot hold %d elements", id, count)
		return
	}
	for i := range count {
		c.tree(binary.NativeEndian.Uint64(body[pageHead+16*i+8:]), height-1, top, depth+1)
	}
}

func (c *pageCheck) leaf(id uint64) {
	kind, count, pages, ok := c.head(id, c.leafHead[:])
	if ok && (kind != leafKind || uint64(pageHead+16*count) > pages*uint64(c.pageSize)) {
		c.report("page %d of kind %d stands for a leaf of %d elements", id, kind, count)
	}
}

// topLeaf goes on to the buckets that a leaf of the root names.
func (c *pageCheck) topLeaf(id uint64, body []byte, count, depth int) {
	if pageHead+16*count > len(body) {
		c.report("leaf page %d cannot hold %d elements", id, count)
		return
	}
	for i := range count {
		e := body[pageHead+16*i:]
		value := uint64(binary.NativeEndian.Uint32(e[4:])) + uint64(binary.NativeEndian.Uint32(e[8:]))
		if value+16 > uint64(len(e)) {
			c.report("element %d of leaf page %d points out of it", i, id)
			continue
		}
		// A bucket's value begins with its root page; 0 means that a small bucket follows right there.
		root := binary.NativeEndian.Uint64(e[value:])
		if binary.NativeEndian.Uint32(e)&bucketFlag != 0 && root != 0 {
			c.bucket(root, false, depth+1)
		}
	}
}

// freeList reads the list of free pages. One that does not fit the page's count has its length as its first number.
func (c *pageCheck) freeList(id uint64) []uint64 {
	kind, count, body, ok := c.page(id, 0)
	if !ok {
		return nil
	}
	body = body[pageHead:]
	if count == 0xFFFF {
		count = int(min(binary.NativeEndian.Uint64(body), 1<<40))
		body = body[8:]
	}
	if kind != freeKind || count > len(body)/8 {
		c.report("page %d of kind %d stands for a list of %d free pages", id, kind, count)
		return nil
	}
	list := make([]uint64, count)
	for i := range list {
		list[i] = binary.NativeEndian.Uint64(body[8*i:])
	}
	return list
}
