package logbook

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"io"
)

// pageCheck looks at the pages of a book from outside, by plain reads that no damage can turn into a fault or into a
// walk without end. Pages have no checksum: one that the disk lost, or gives back as it was some commits ago, would
// show other records or fewer, and every one of them would look sound. But pages must fit together as bbolt writes
// them:
//
//   - the two head pages are of commits that follow each other;
//   - every page is used once or is free: bbolt writes into those that are listed as free, and nothing protects that
//     list;
//   - the elements of a page lie one behind the other and in the order of their keys, and the first key is the one
//     under which the page above names it;
//   - what a bucket holds is as much as its sequence number says, and of the last commit (counted.go).
//
// In a large book the leaves of a large bucket are looked at when something is read from them, see trust. One that is
// of another commit and has the same first key then shows in Verify, backups, exports and imports alone.
//
// The format is that of bbolt, version 2, in the byte order of the machine. A page begins with its number (8 bytes),
// its kind (2), the number of its elements (2) and how many pages it runs on into (4). Behind that come, in a branch,
// elements of position (4), key size (4), page (8); in a leaf, of flags (4), position (4), key size (4), value size
// (4), positions being relative to the element; in the list of free pages, their numbers. The value of a bucket is
// its root page (8), its sequence number (8) and, where the root page is 0, a small leaf.
type pageCheck struct {
	head
	file     io.ReaderAt
	pageSize int
	pages    []pageUse
	buffers  [][]byte // one for each depth of a tree

	deep     bool // look at every leaf
	writes   bool // and at the checksums of those that may be written anew
	rootOnly bool // look at the root's own pages alone

	large    map[string]*bucketCheck // the buckets with leaves to be looked at later
	stamp    uint64                  // the commit that its content was noted to be of; 0: none
	noted    uint64                  // the sum of its checksums, as it was noted then
	sum      uint64                  // and as it is, if deep
	failed   error                   // of the disk: a page that it does not give says nothing of the book
	problems []string                // in how pages lie; whoever follows them may go astray
	wrong    []string                // in what they hold, if they are those of a book
}

// head is what a head page says.
type head struct{ root, free, end, commit uint64 }

type pageUse byte

const (
	unused    pageUse = iota
	used              // or free, and in the list
	laterLeaf         // a leaf that was not read yet, so that it may run on into the pages behind it
)

type bucketCheck struct {
	name  string
	keys  uint64
	later bool          // its leaves are looked at when they are read;
	above []branchCheck // these lead to them
}

const (
	pageHead   = 16
	bucketHead = 16
	branchKind = 0x01
	leafKind   = 0x02
	freeKind   = 0x10
	bucketFlag = 0x01
	metaSize   = 64
	deepest    = 64 // no tree is as high as that
)

// checkPages checks the state that a transaction sees: commit is the number of the commit it stands on.
func checkPages(file io.ReaderAt, pageSize int, commit uint64, deep bool) *pageCheck {
	c := &pageCheck{file: file, pageSize: pageSize, deep: deep, large: map[string]*bucketCheck{}}
	before := c.heads(commit)
	if len(c.problems) > 0 {
		return c
	}
	c.pages = make([]pageUse, c.end)
	c.use(0, 2, "head")
	c.bucket("", c.root, 0)
	c.account()
	c.checkStamp(before)
	return c
}

func (c *pageCheck) report(format string, args ...any) {
	if len(c.problems) < mostProblems {
		c.problems = append(c.problems, fmt.Sprintf(format, args...))
	}
}

func (c *pageCheck) reportWrong(format string, args ...any) {
	if len(c.wrong) < mostProblems {
		c.wrong = append(c.wrong, fmt.Sprintf(format, args...))
	}
}

// err is what keeps everyone from following the pages.
func (c *pageCheck) err() error {
	if c.failed != nil {
		return c.failed
	}
	return damage(c.problems)
}

func (c *pageCheck) readAt(b []byte, at int64) error {
	err := io.EOF
	if at >= 0 { // of a number that makes no sense
		_, err = c.file.ReadAt(b, at)
	}
	if c.failed == nil && err != nil && err != io.EOF {
		c.failed = err
	}
	return err
}

// damage is the first of some problems.
func damage(problems []string) error {
	if len(problems) == 0 {
		return nil
	}
	return damaged("%s", problems[0])
}

const wholeAgain = " (a backup made now is whole again, with what is left)"

// heads finds the head page of a commit, and that of the commit before. Each has a checksum. Where one is destroyed
// or an old one bbolt goes on from the other without a word, and the last commit may be gone.
//
// A commit's head lies at page 0 if its number is even, else at page 1. Only a copy that bbolt writes has its commit at
// page 0 in any case; the next commit may then overwrite that one, and leave the one before it where no commit puts it.
func (c *pageCheck) heads(commit uint64) (before head) {
	page := make([]byte, pageHead+metaSize)
	for at := range uint64(2) {
		err := c.readAt(page, int64(at)*int64(c.pageSize))
		h, whole := headOf(page[pageHead:])
		switch {
		case err != nil || !whole:
			c.reportWrong("head page %d is destroyed, so the last writing may be missing"+wholeAgain, at)
		case h.commit == commit:
			c.head = h
		case h.commit+1 == commit || h.commit+2 == commit && h.commit%2 != at:
			before = h
		default:
			c.reportWrong("head page %d is of commit %d and the other of %d, so the last writing may be missing"+wholeAgain,
				at, h.commit, commit)
		}
	}
	const mostPages = 1 << 32 // 16 TB; more would be nonsense to make room for
	if c.commit != commit || c.end <= 2 || c.end >= mostPages {
		c.report("neither head page is that of commit %d", commit)
	}
	return before
}

// headOf is what a head page says; whole is false if its checksum does not fit.
func headOf(m []byte) (h head, whole bool) {
	number := func(i int) uint64 { return binary.NativeEndian.Uint64(m[i:]) }
	sum := fnv.New64a()
	sum.Write(m[:56])
	return head{number(16), number(32), number(40), number(48)}, number(56) == sum.Sum64()
}

// use marks pages as taken and reports what is impossible.
func (c *pageCheck) use(id, count uint64, what string) bool {
	if id >= c.end || count > c.end-id {
		c.report("%s page %d (of %d) lies behind the end, page %d", what, id, count, c.end)
		return false
	}
	for i := id; i < id+count; i++ {
		if c.pages[i] != unused {
			c.report("page %d is used twice, at last as a %s page", i, what)
			return false
		}
		c.pages[i] = used
	}
	return true
}

// account looks whether every page is either in use or free.
func (c *pageCheck) account() {
	for _, id := range c.freeList() {
		switch {
		case id < 2 || id >= c.end:
			c.report("the list of free pages names page %d of %d", id, c.end)
		case c.pages[id] != unused:
			c.report("page %d is in use and in the list of free pages", id)
		default:
			c.pages[id] = used
		}
	}
	for id := uint64(2); id < c.end; id++ {
		if c.pages[id] == laterLeaf && id+1 < c.end && c.pages[id+1] == unused {
			if _, _, pages, ok := c.pageStart(id, make([]byte, pageHead)); ok {
				c.pages[id] = used
				c.use(id+1, pages-1, "leaf")
			}
		}
		if c.pages[id] == unused {
			c.reportWrong("page %d is neither in use nor in the list of free pages", id)
		}
	}
}

// page reads a whole page that lies so deep. The bytes hold until the next page of that depth.
func (c *pageCheck) page(id uint64, depth int) (kind uint16, count int, body []byte, ok bool) {
	for len(c.buffers) <= depth {
		c.buffers = append(c.buffers, make([]byte, c.pageSize))
	}
	body = c.buffers[depth]
	kind, count, pages, ok := c.pageStart(id, body)
	if ok && pages > 1 {
		body = make([]byte, pages*uint64(c.pageSize))
		if err := c.readAt(body, int64(id)*int64(c.pageSize)); err != nil {
			c.report("page %d: %v", id, err)
			return 0, 0, nil, false
		}
	}
	return kind, count, body, ok
}

// pageStart fills a buffer from the start of a page and looks at its head.
func (c *pageCheck) pageStart(id uint64, buffer []byte) (kind uint16, count int, pages uint64, ok bool) {
	if id >= c.end {
		c.report("page %d lies behind the end, page %d", id, c.end)
		return 0, 0, 0, false
	}
	if err := c.readAt(buffer, int64(id)*int64(c.pageSize)); err != nil {
		c.report("page %d: %v", id, err)
		return 0, 0, 0, false
	}
	kind = binary.NativeEndian.Uint16(buffer[8:])
	pages = 1 + uint64(binary.NativeEndian.Uint32(buffer[12:]))
	if own := binary.NativeEndian.Uint64(buffer); own != id || pages > c.end-id || kindNames[kind] == "" {
		c.report("page %d says that it is page %d of kind %d and runs on into %d more", id, own, kind, pages-1)
		return 0, 0, 0, false
	}
	return kind, int(binary.NativeEndian.Uint16(buffer[10:])), pages, true
}

var kindNames = map[uint16]string{branchKind: "branch", leafKind: "leaf", freeKind: "free-list"}

// bucket goes through the tree of a bucket; "" is the one that holds all others. All leaves of a tree lie equally
// deep, so that the way down its left side tells where they begin.
func (c *pageCheck) bucket(name string, root uint64, depth int) *bucketCheck {
	b := &bucketCheck{name: name}
	height := c.height(root)
	// One of entries may become so large that it is not looked through at every start.
	grows := kindNumber(Kind(name)) != 0 || name == "struck" || name == "foreign"
	if b.later = !c.deep && height > 1 && grows; b.later {
		c.large[name] = b
	}
	c.tree(b, root, height, nil, nil, depth)
	return b
}

// height counts the branches above the leaves.
func (c *pageCheck) height(id uint64) int {
	start := make([]byte, pageHead+16)
	for n := range deepest {
		if err := c.readAt(start, int64(id)*int64(c.pageSize)); err != nil || id >= c.end {
			return n // tree will say so
		}
		if binary.NativeEndian.Uint16(start[8:]) != branchKind {
			return n
		}
		id = binary.NativeEndian.Uint64(start[pageHead+8:])
	}
	return deepest
}

// tree goes through the part of a bucket's tree whose keys begin at first and lie before end; nil leaves an end open.
func (c *pageCheck) tree(b *bucketCheck, id uint64, height int, first, end []byte, depth int) {
	kind, count, body, ok := c.page(id, depth)
	if !ok || !c.use(id, uint64(len(body)/c.pageSize), kindNames[kind]) {
		return
	}
	if isBranch := kind == branchKind; isBranch != (height > 0) || kind == freeKind {
		c.report("page %d is of kind %d at height %d", id, kind, height)
	} else if _, err := layOut(body, kind, count, first, end); err != nil {
		c.report("page %d: %v", id, err)
	} else if kind == leafKind {
		c.leaf(b, id, body, count, depth)
	} else if b.later && height == 1 {
		b.above = append(b.above, branchCheck{first: bytes.Clone(first), page: id})
		for i := range count {
			if _, _, child := elementOf(body, branchKind, i); c.use(child, 1, "leaf") {
				c.pages[child] = laterLeaf
			}
		}
	} else {
		key, _, child := elementOf(body, branchKind, 0)
		for i := 1; i < count; i++ {
			next, _, nextChild := elementOf(body, branchKind, i)
			c.tree(b, child, height-1, key, next, depth+1)
			key, child = next, nextChild
		}
		c.tree(b, child, height-1, key, end, depth+1)
	}
}

// layOut looks whether the elements of a page lie as bbolt puts them, and gives the bytes they take.
func layOut(body []byte, kind uint16, count int, first, end []byte) (size int, err error) {
	at := pageHead + 16*count
	if at > len(body) || count == 0 && (kind == branchKind || first != nil) {
		return 0, fmt.Errorf("it cannot hold %d elements", count)
	}
	var before []byte
	for i := range count {
		e := body[pageHead+16*i : pageHead+16*i+16]
		position, sizes := e[0:4], e[4:8]
		if kind == leafKind {
			position, sizes = e[4:8], e[8:16]
		}
		keySize := uint64(binary.NativeEndian.Uint32(sizes))
		whole := keySize
		if kind == leafKind {
			whole += uint64(binary.NativeEndian.Uint32(sizes[4:]))
		}
		lies := uint64(binary.NativeEndian.Uint32(position)) == uint64(at-pageHead-16*i)
		if !lies || keySize == 0 || whole > uint64(len(body)-at) {
			return 0, fmt.Errorf("element %d does not lie where it should", i)
		}
		key := body[at : at+int(keySize)]
		isFirst := i > 0 || first == nil || bytes.Equal(key, first)
		if !isFirst || bytes.Compare(key, before) <= 0 || end != nil && bytes.Compare(key, end) >= 0 {
			return 0, fmt.Errorf("the key of element %d is out of order", i)
		}
		before = key
		at += int(whole)
	}
	return at, nil
}

// elementOf gives an element of a page that is laid out well: of a branch the page it leads to, of a leaf the flags.
func elementOf(body []byte, kind uint16, i int) (key, value []byte, more uint64) {
	e := body[pageHead+16*i:]
	if kind == branchKind {
		at, size := binary.NativeEndian.Uint32(e), binary.NativeEndian.Uint32(e[4:])
		return e[at : at+size], nil, binary.NativeEndian.Uint64(e[8:])
	}
	at, middle := binary.NativeEndian.Uint32(e[4:]), binary.NativeEndian.Uint32(e[4:])+binary.NativeEndian.Uint32(e[8:])
	return e[at:middle], e[middle : middle+binary.NativeEndian.Uint32(e[12:])], uint64(binary.NativeEndian.Uint32(e))
}

// leaf counts what a leaf holds, or goes on to the buckets that a leaf of the root names.
func (c *pageCheck) leaf(b *bucketCheck, id uint64, body []byte, count, depth int) {
	b.keys += uint64(count)
	for i := range count {
		key, value, flags := elementOf(body, leafKind, i)
		if b.name == "" {
			c.named(string(key), value, flags, depth)
			continue
		}
		c.sum += sealOf(value)
		fits := flags == 0
		if fits && c.writes { // what is written anew must not bury it
			_, fits = unseal(key, value)
		}
		if !fits {
			c.reportWrong("page %d: the checksum of element %d of bucket %s does not fit", id, i, b.name)
		}
	}
}

// named goes on to a bucket that the root names.
func (c *pageCheck) named(name string, value []byte, flags uint64, depth int) {
	if flags != bucketFlag || len(value) < bucketHead {
		c.reportWrong("%q is no bucket", name)
		return
	}
	root, sequence := binary.NativeEndian.Uint64(value), binary.NativeEndian.Uint64(value[8:])
	keys := sequence
	switch name {
	case stampName:
		c.stamp, keys = sequence, 0
	case sumName:
		c.noted, keys = sequence, 0
	}
	if c.rootOnly {
		return
	}
	b := &bucketCheck{name: name}
	if root != 0 {
		b = c.bucket(name, root, depth+1)
	} else if body := value[bucketHead:]; len(body) < pageHead || binary.NativeEndian.Uint16(body[8:]) != leafKind {
		c.report("the bucket %q is neither small nor large", name)
	} else {
		count := int(binary.NativeEndian.Uint16(body[10:]))
		if size, err := layOut(body, leafKind, count, nil, nil); err != nil || size != len(body) {
			c.report("the elements of the small bucket %q do not lie where they should", name)
		} else {
			c.leaf(b, c.root, body, count, depth)
		}
	}
	if !b.later && b.keys != keys {
		c.reportWrong("%s: it holds %d keys and should hold %d", name, b.keys, keys)
	}
}

// checkStamp looks whether what the book holds is of its last commit. A program that keeps no stamp leaves that of an
// earlier commit, or none; then the root page, too, may be an old one. That shows where the commit before has a newer
// stamp: its pages are still there, or written over by one that was cut off and has a stamp newer than both.
func (c *pageCheck) checkStamp(before head) {
	if c.stamp == c.commit {
		if c.deep && c.sum != c.noted {
			c.reportWrong("its records are not those of the last writing: some are missing, or older ones stand in their place")
		}
		return
	}
	b := &pageCheck{head: before, file: c.file, pageSize: c.pageSize, rootOnly: true}
	b.pages = make([]pageUse, before.end)
	b.bucket("", before.root, 0)
	if c.stamp > c.commit || len(b.problems) == 0 && b.stamp > c.stamp && b.stamp <= b.commit {
		c.reportWrong("its root page is not that of the last writing")
	}
}

// freeList reads the list of free pages. One that does not fit the page's count has its length as its first number.
func (c *pageCheck) freeList() []uint64 {
	kind, count, body, ok := c.page(c.free, 0)
	if !ok || !c.use(c.free, uint64(len(body)/c.pageSize), kindNames[kind]) {
		return nil
	}
	body = body[pageHead:]
	if count == 0xFFFF {
		count = int(min(binary.NativeEndian.Uint64(body), 1<<40))
		body = body[8:]
	}
	if kind != freeKind || count > len(body)/8 {
		c.report("page %d of kind %d stands for a list of %d free pages", c.free, kind, count)
		return nil
	}
	list := make([]uint64, count)
	for i := range list {
		list[i] = binary.NativeEndian.Uint64(body[8*i:])
	}
	return list
}
