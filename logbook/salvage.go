package logbook

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"time"
	"unicode/utf8"
)

// Salvaged says what Salvage took out of a damaged book, and what it knows to be missing.
type Salvaged struct {
	Imported
	Missing  map[Kind]int // entries that the book held by its own count and that were not found; none: not known
	Lost     []Stretch    // of kinds of which some are missing: where pages cannot be read
	Nameless int          // names that are lost: what bore them is called by its number

	Uncounted bool // the book's own count of a kind is lost, or is one of an older state: more may be missing
}

// Stretch is a part of a series. A zero time leaves an end open; without a tank it is a part of all series of the kind.
type Stretch struct {
	Kind            Kind
	Tank, Parameter string // the parameter of readings alone
	From, To        time.Time
}

// Salvage writes all that is whole in a damaged book into a new one at path. It reads the file alone and trusts nothing
// in it but records whose own checksums fit: not what leads to them, nor the list of free pages. So it finds lines of
// older states of the book too; those that were struck are kept as struck, unless just that is lost. Test days that
// are being typed, and what could be undone, are not taken. ErrExists if something stands at path, ErrNotFound if
// nothing whole was found.
func Salvage(damaged, path string) (done Salvaged, err error) {
	data, err := os.ReadFile(damaged)
	if err != nil {
		return done, explain(damaged, err)
	}
	s := salvage{data: data, names: map[uint32]string{0: ""}, owner: map[uint64]string{}, buckets: map[string]bucketAt{},
		nameless: map[uint32]bool{}, seen: map[string]bool{}}
	s.follow()
	s.each(s.takeNames)
	s.each(s.take)
	if s.strike(); s.failed == nil && s.batch.Len()+len(s.definitions) == 0 {
		s.failed = &bookError{damaged, notFound("no record in it is whole"), "put a backup back with `leadline restore FILE`"}
	}
	if s.failed != nil {
		return done, s.failed
	}
	b, err := Create(path)
	if err != nil {
		return done, err
	}
	if done.Imported, err = b.ImportBatch(&s.batch); err == nil { // and what definitions say, where a change is lost
		slices.SortStableFunc(s.definitions, func(a, b Record) int { return kindPlace(a.Kind()) - kindPlace(b.Kind()) })
		var told Batch // without a moment: they fill what is lost, and overrule no change that was found
		for _, rec := range s.definitions {
			err = cmp.Or(err, told.Add(rec))
		}
		if err == nil {
			_, err = b.ImportBatch(&told)
		}
	}
	if err != nil {
		return done, errors.Join(err, os.Remove(path))
	}
	var counts Counts
	err = b.View(func(v *View) (err error) {
		for _, kind := range gather(definitions(), Record.Kind) {
			defined, failed := ask(v, func() []Record { return v.definitionsOf(kind, "") })
			err = cmp.Or(err, failed)
			done.Added += len(defined) - done.ByKind[kind] // each is one record, however many changes of it there are
			if done.ByKind[kind] = len(defined); len(defined) == 0 {
				delete(done.ByKind, kind)
			}
		}
		if err == nil {
			counts, err = v.Count()
		}
		return err
	})
	counts.Entries[KindReading] = counts.Readings
	done.Missing = map[Kind]int{}
	for _, kind := range EntryKinds() {
		if n := s.buckets[string(kind)].keys - counts.Entries[kind]; n > 0 {
			done.Missing[kind] = n
		}
	}
	done.Lost = slices.DeleteFunc(s.stretches(), func(l Stretch) bool { return done.Missing[l.Kind] == 0 })
	done.Nameless, done.Uncounted = len(s.nameless), s.uncounted
	return done, err
}

type salvage struct {
	data     []byte
	pageSize int
	buckets  map[string]bucketAt
	owner    map[uint64]string // the bucket of each page that the newest state leads to
	lost     []lostKeys

	uncounted bool // see Salvaged

	names    map[uint32]string
	nameless map[uint32]bool // that were asked for
	seen     map[string]bool // IDs of entries, and definitions by kind and key
	strikes  []Strike
	batch    Batch
	failed   error

	definitions []Record
}

// bucketAt is what a page says of a bucket.
type bucketAt struct {
	root  uint64 // the first page of its tree; 0: it lies in the page that names it,
	small []byte // here
	keys  int
}

const rootBucket = "root" // the one that names all others

// lostKeys are those of a bucket from one to before another; nil leaves an end open.
type lostKeys struct {
	bucket     string
	first, end []byte
}

// look finds the size of the pages and the root of the newest state: a head page that is whole tells both. Else the
// size is that of the machine, and the root is 0.
func (s *salvage) look() (root uint64) {
	s.pageSize = os.Getpagesize()
	newest := uint64(0)
	for at := 0; at+pageHead+metaSize <= len(s.data) && at <= 1<<16; at = max(2*at, 1024) {
		m := s.data[at+pageHead:]
		h, whole := headOf(m)
		size := int(binary.NativeEndian.Uint32(m[8:]))
		if whole && size >= 1024 && size <= 1<<16 && h.commit >= newest {
			s.pageSize, root, newest = size, h.root, h.commit
		}
	}
	return root
}

func (s *salvage) pages() uint64 { return uint64(len(s.data) / s.pageSize) }

// page gives the kind that a page says it is of, and its bytes with those of the pages it runs on into, as far as they
// are there.
func (s *salvage) page(id uint64) (kind uint16, body []byte) {
	at := int(id) * s.pageSize
	more := int(binary.NativeEndian.Uint32(s.data[at+12:]))
	if more > len(s.data)/s.pageSize {
		more = 0
	}
	return binary.NativeEndian.Uint16(s.data[at+8:]), s.data[at:min(len(s.data), at+(1+more)*s.pageSize)]
}

// element is a record with its own checksum, or a bucket, on a page of which nothing else is trusted.
type element struct {
	key, value []byte // the value without its checksum
	isBucket   bool
}

// elements are those of a leaf that are whole. How many there are is told by where the first one lies.
func elements(body []byte) (whole []element) {
	end := len(body)
	for i := 0; pageHead+16*(i+1) <= end; i++ {
		e := body[pageHead+16*i:]
		at := uint64(pageHead+16*i) + uint64(binary.NativeEndian.Uint32(e[4:]))
		middle := at + uint64(binary.NativeEndian.Uint32(e[8:]))
		last := middle + uint64(binary.NativeEndian.Uint32(e[12:]))
		if last > uint64(len(body)) || middle == at {
			continue
		}
		key, value := body[at:middle], body[middle:last]
		isBucket := binary.NativeEndian.Uint32(e) == bucketFlag && len(value) >= bucketHead
		ok := isBucket
		if !isBucket {
			value, ok = unseal(key, value)
		}
		if ok {
			end = min(end, int(at))
			whole = append(whole, element{key, value, isBucket})
		}
	}
	return whole
}

// named are the buckets that the whole elements of a page name.
func named(es []element) map[string]bucketAt {
	all := map[string]bucketAt{}
	for _, e := range es {
		if e.isBucket && slices.Contains(bucketNames(), string(e.key)) {
			all[string(e.key)] = bucketAt{binary.NativeEndian.Uint64(e.value), e.value[bucketHead:],
				int(binary.NativeEndian.Uint64(e.value[8:]))}
		}
	}
	return all
}

// follow goes where the newest state leads, to learn what each page is of and which are lost. Of a bucket that is not
// named there, since that page is destroyed, the state with the most keys is taken that any other page names.
func (s *salvage) follow() {
	s.walk(rootBucket, s.look(), nil, nil, 0)
	s.uncounted = len(s.lost) > 0 && slices.ContainsFunc(EntryKinds(), func(kind Kind) bool {
		_, counted := s.buckets[string(kind)]
		return !counted
	})
	most := map[string]bucketAt{}
	for id := range s.pages() {
		for name, b := range named(s.whole(id)) {
			if b.keys >= most[name].keys {
				most[name] = b
			}
		}
	}
	for name, b := range most {
		if own, is := s.buckets[name]; is {
			b = own
		}
		if s.buckets[name] = b; b.root != 0 {
			s.walk(name, b.root, nil, nil, 0)
		}
	}
}

// whole are the whole elements of a page, unless it says that it is a branch or a list of free pages.
func (s *salvage) whole(id uint64) []element {
	kind, body := s.page(id)
	if kind == branchKind || kind == freeKind {
		return nil
	}
	return elements(body)
}

// walk goes through the part of a bucket's tree whose keys begin at first and lie before end; nil leaves an end open.
func (s *salvage) walk(bucket string, id uint64, first, end []byte, depth int) {
	if id < s.pages() && depth < deepest && s.owner[id] == "" {
		s.owner[id] = bucket
		kind, body := s.page(id)
		count := int(binary.NativeEndian.Uint16(body[10:]))
		_, err := layOut(body, kind, count, first, end)
		if err == nil && kind == branchKind {
			for i := range count {
				key, _, child := elementOf(body, branchKind, i)
				next := end
				if i+1 < count {
					next, _, _ = elementOf(body, branchKind, i+1)
				}
				s.walk(bucket, child, key, next, depth+1)
			}
			return
		}
		es := s.whole(id)
		if bucket == rootBucket {
			maps.Copy(s.buckets, named(es))
		}
		if err == nil && kind == leafKind && len(es) == count {
			return
		}
	}
	s.lost = append(s.lost, lostKeys{bucket, first, end})
}

// each goes through what is whole on all pages, a page at a time: those of the newest state of the book first, whose
// definitions hold, then all others. bucket is "" where it is not known.
func (s *salvage) each(fn func(bucket string, es []element)) {
	for name, b := range s.buckets {
		fn(name, elements(b.small))
	}
	for _, newest := range []bool{true, false} {
		for id := range s.pages() {
			if newest != (s.owner[id] != "") {
				continue
			}
			es := s.whole(id)
			fn(s.owner[id], es)
			for name, b := range named(es) {
				fn(name, elements(b.small))
			}
		}
	}
}

// takeNames takes the names that stand for numbers: both buckets tell of each.
func (s *salvage) takeNames(_ string, es []element) {
	for _, e := range es {
		number, name := e.key, e.value
		if len(name) == 4 && name[0] == 0 {
			number, name = name, number
		}
		if len(number) == 4 && number[0] == 0 && len(name) > 0 && utf8.Valid(name) && !e.isBucket {
			s.names[binary.BigEndian.Uint32(number)] = string(name)
		}
	}
}

// name is the name of a number, or one made of the number where it is lost.
func (s *salvage) name(number uint32) string {
	if name, known := s.names[number]; known {
		return name
	}
	s.nameless[number] = true
	return fmt.Sprintf("name %d, lost", number)
}

// take takes the records of a page, all of one kind: the one as which most of the first can be read. Its bucket decides
// between two.
func (s *salvage) take(bucket string, es []element) {
	es = slices.DeleteFunc(es, func(e element) bool {
		c, err := readChange(e.key, e.value)
		whole := err == nil && !e.isBucket && c.isGenuine()
		if whole {
			s.keep([]Record{c}, e.key)
		}
		return whole
	})
	best, most := Kind(""), 0
	for _, rec := range blanks() {
		kind, fits := rec.Kind(), 0
		for _, e := range es[:min(len(es), 8)] {
			fits += fit(kind, e, read(kind, e, s.name))
		}
		if fits > most || fits == most && bucketName(kind) == bucket {
			best, most = kind, fits
		}
	}
	if most == 0 {
		return
	}
	for _, e := range es {
		if recs := read(best, e, s.name); fit(best, e, recs) > 0 {
			s.keep(recs, e.key)
		}
	}
}

// read reads an element as a record of a kind; nothing if it is none. A strike comes behind its entry.
func read(kind Kind, e element, name func(uint32) string) []Record {
	series, isSeries := seriesKeyOf(e.key)
	switch {
	case e.isBucket:
	case kind == KindStrike && len(e.key) == len(ID{}):
		v, err := readStruck(ID(e.key), e.value)
		if value, ok := unseal(v.key[:], v.sealed); err == nil && ok {
			if entry, err := readEntry(v.kind, v.key, value, name); err == nil {
				return []Record{entry, v.strike}
			}
		}
	case kindNumber(kind) != 0 && isSeries:
		if entry, err := readEntry(kind, series, e.value, name); err == nil {
			return []Record{entry}
		}
	case kindNumber(kind) == 0 && kind != KindStrike:
		if rec, _, err := readDefinition(kind, e.key, e.value); err == nil {
			return []Record{rec}
		}
	}
	return nil
}

// fit says how well an element fits the records that were read from it: 0 not at all; 2 if the ID of an entry comes
// from what it says, or a definition written again is the same to the byte.
func fit(kind Kind, e element, recs []Record) int {
	for _, rec := range recs {
		if Validate(rec) != nil {
			return 0
		}
	}
	if len(recs) == 0 {
		return 0
	}
	if entry, is := recs[0].(Entry); is {
		if kind == KindStrike || isDerived(entry, appendContent(nil, entry)) {
			return 2
		}
		return 1
	}
	if key, value := appendDefinition(recs[0]); bytes.Equal(key, e.key) && bytes.Equal(value, e.value) {
		return 2
	}
	return 0
}

// keep keeps what is new of the records of one element.
func (s *salvage) keep(recs []Record, key []byte) {
	for _, rec := range recs {
		what := string(rec.Kind()) + string(key)
		switch r := rec.(type) {
		case Strike:
			s.strikes = append(s.strikes, r)
			continue
		case Entry:
			id := r.EntryID()
			what = string(id[:])
		}
		if s.seen[what] || s.failed != nil {
			continue
		}
		s.seen[what] = true
		if _, noted := rec.(Change); !noted && kindPlace(rec.Kind()) > 0 {
			s.definitions = append(s.definitions, rec)
		} else {
			s.failed = s.batch.Add(rec)
		}
	}
}

// strike strikes what was struck. A successor that is lost is not named.
func (s *salvage) strike() {
	for _, strike := range s.strikes {
		if !s.seen[string(strike.Successor[:])] {
			strike.Successor = ID{}
		}
		if s.failed == nil {
			s.failed = s.batch.Add(strike)
		}
	}
}

// stretches tells where the pages of entries lie that cannot be read.
func (s *salvage) stretches() (all []Stretch) {
	for _, l := range s.lost {
		if kindNumber(Kind(l.bucket)) == 0 {
			continue
		}
		stretch := Stretch{Kind: Kind(l.bucket)}
		from, isFrom := seriesKeyOf(l.first)
		to, isTo := seriesKeyOf(l.end)
		if isFrom {
			if stretch.Tank = s.name(from.tank()); stretch.Kind == KindReading {
				stretch.Parameter = s.name(from.subject())
			}
			stretch.From = time.Unix(0, from.nanos()).UTC()
		}
		if isTo && isFrom && to.tank() == from.tank() && to.subject() == from.subject() {
			stretch.To = time.Unix(0, to.nanos()).UTC()
		}
		all = append(all, stretch)
	}
	return all
}
