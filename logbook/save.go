package logbook

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// Save is what one writing put into the book, kept so that it can be taken back as one. The book keeps the last ones.
type Save struct {
	Number  uint64   // grows from one to the next
	Noted   []ID     // entries, those included that stand in the place of struck ones
	Struck  []ID     // entries
	Defined []string // what was defined anew or changed, such as "tank forereef": nothing takes that back
	Many    bool     // it was more than the book keeps for this, and so nothing takes it back
}

// The saves that a book keeps, and the most entries of one. The bucket is made when there is something to keep: a book
// that no newer program has written to lacks it, and a program that does not know it leaves it as it is.
const (
	savesName   = "saves"
	mostSaves   = 50
	mostOfASave = 1000
)

// add adds an entry to one of the two lists of the save.
func (s *Save) add(to *[]ID, id ID) {
	if len(*to) < mostOfASave {
		*to = append(*to, id)
	} else {
		s.Many = true
	}
}

func (s *Save) defined(rec Record) {
	if len(s.Defined) < mostOfASave {
		s.Defined = append(s.Defined, definitionName(rec))
	}
}

func appendSave(s Save) []byte {
	var w fieldWriter
	for _, ids := range [][]ID{s.Noted, s.Struck} {
		writeAll(&w, ids, func(id ID) { w.b = append(w.b, id[:]...) })
	}
	w.texts(s.Defined)
	w.bool(s.Many)
	return w.b
}

func readSave(key, value []byte) (s Save, err error) {
	r := fieldReader{b: value}
	read := func() (id ID) {
		copy(id[:], r.take(len(id)))
		return id
	}
	s.Noted, s.Struck = readAll(&r, len(ID{}), read), readAll(&r, len(ID{}), read)
	s.Defined, s.Many = r.texts(), r.bool()
	if len(key) != 8 {
		r.fail()
		return s, r.err
	}
	s.Number = binary.BigEndian.Uint64(key)
	return s, r.err
}

func savesBucket(tx *bolt.Tx) *bolt.Bucket { return tx.Bucket([]byte(savesName)) }

func saveKey(number uint64) []byte { return binary.BigEndian.AppendUint64(nil, number) }

// keepSave keeps what the writing put into the book, if anything, and lets go of the oldest save.
func (w *writer) keepSave() (kept bool) {
	if s := w.save; len(s.Noted) == 0 && len(s.Struck) == 0 && len(s.Defined) == 0 {
		return false
	}
	bucket, err := w.tx.CreateBucketIfNotExists([]byte(savesName))
	fail(err)
	if w.save.Many {
		w.save.Noted, w.save.Struck = nil, nil
	}
	w.save.Number = uint64(w.tx.ID())
	key := saveKey(w.save.Number)
	_ = w.get(savesName, key)
	put(bucket, key, appendSave(w.save))
	for keyCount(bucket) > mostSaves {
		oldest, _ := w.cursor(savesName).First()
		remove(bucket, bytes.Clone(oldest))
	}
	return true
}

// Saves gives the saves that the book keeps, the last one first.
func (v *View) Saves() ([]Save, error) { return ask(v, v.saves) }

func (v *View) saves() (all []Save) {
	if savesBucket(v.tx) == nil {
		return nil
	}
	c := v.cursor(savesName)
	for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
		s, err := readSave(k, mustUnseal(k, sealed, "the checksum of a save does not fit"))
		if err != nil {
			fail(damaged("a save: %v", err))
		}
		all = append(all, s)
	}
	slices.Reverse(all)
	return all
}

// Undone is what taking back a save does: lines are struck, and lines that were struck stand again. Left is how many of
// its lines were changed or struck since, and so are left alone.
type Undone struct {
	Struck, Back []Entry
	Left         int
}

// Undoing says what Undo would do.
func (v *View) Undoing(s Save) (Undone, error) {
	return ask(v, func() Undone {
		_, u := v.reversals(s)
		return u
	})
}

// reversal takes back what was done to one line.
type reversal struct {
	stands Entry // the line that is struck; nil: none
	back   Entry // the line that stands again; nil: none
	after  ID    // the struck line whose place that takes where none stands
}

func (v *View) reversals(s Save) (all []reversal, u Undone) {
	took := map[ID]bool{} // places of what the save struck
	for _, id := range s.Struck {
		old, next := v.kept(id), ID{}
		if v.get("struck", id[:]) != nil {
			next = v.struck(id).strike.Successor
		}
		stands, last := v.standing(id)
		corrected := slices.Contains(s.Noted, next)
		took[next] = took[next] || corrected
		switch {
		case old == nil, corrected != (stands != nil), corrected && !saysTheSame(stands, v.kept(next)):
			u.Left++
			continue
		case corrected:
			u.Struck = append(u.Struck, stands)
		}
		u.Back = append(u.Back, old)
		all = append(all, reversal{stands, old, last})
	}
	for _, id := range s.Noted {
		if took[id] {
			continue
		}
		if stands, _ := v.standing(id); stands != nil && saysTheSame(stands, v.kept(id)) {
			u.Struck = append(u.Struck, stands)
			all = append(all, reversal{stands: stands})
		} else {
			u.Left++
		}
	}
	return all, u
}

func saysTheSame(a, b Entry) bool { return bytes.Equal(appendContent(nil, a), appendContent(nil, b)) }

// mostSteps is how often a line may have been replaced: strikes of an import may lead round and round.
const mostSteps = 10_000

// standing follows an entry through what was put in its place: to the one that stands, or to the last that was struck,
// and then the entry is nil.
func (v *View) standing(id ID) (stands Entry, last ID) {
	for range mostSteps {
		if v.get("struck", id[:]) == nil {
			return v.kept(id), id
		}
		next := v.struck(id).strike.Successor
		if next.IsZero() {
			break
		}
		id = next
	}
	return nil, id
}

const undone = "undone"

// Undo takes back what a save of the book put there, in one transaction, and forgets the save: what it noted is struck,
// with the reason "undone" and the time and the name of s; what it struck stands again, as a new line that takes the
// place of the struck one. Definitions stay. ErrNotFound if the book no longer keeps the save.
func (b *Book) Undo(number uint64, s Strike) (u Undone, err error) {
	s.Why = undone
	err = b.update(task{}, func(w *writer) bool {
		all := w.saves()
		i := slices.IndexFunc(all, func(x Save) bool { return x.Number == number })
		if i < 0 {
			fail(notFound("what was noted then can no longer be taken back as one"))
		}
		var rs []reversal
		rs, u = w.reversals(all[i])
		for _, r := range rs {
			var successor ID
			if r.back != nil {
				successor = w.append([]Record{withID(r.back, ID{})})[0]
			}
			if r.stands == nil {
				w.follow(r.after, successor)
				continue
			}
			s.Target, s.Successor = r.stands.EntryID(), successor
			w.append([]Record{s})
		}
		key := saveKey(number)
		_ = w.get(savesName, key)
		remove(savesBucket(w.tx), key)
		w.save = Save{}
		return true
	})
	if err == nil || errors.Is(err, ErrNotFound) {
		b.PassOver(number)
	}
	return u, err
}

// Saved gives the last save that came by way of b and was not taken back or passed over; its number is 0 where there is
// none.
func (b *Book) Saved() (s Save) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if n := len(b.saved); n > 0 {
		s = b.saved[n-1]
	}
	return s
}

// PassOver says of a save of which nothing is to be taken back that the one before it is the last.
func (b *Book) PassOver(number uint64) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.saved = slices.DeleteFunc(b.saved, func(s Save) bool { return s.Number == number })
}

// BringBack has struck entries stand again, in one transaction: each as a new line that says the same and takes the
// place of the struck one, which stays readable. It gives the new lines.
func (b *Book) BringBack(ids ...ID) (back []Entry, err error) {
	err = b.update(task{}, func(w *writer) bool {
		for _, id := range ids {
			stands, last := w.standing(id)
			switch {
			case stands != nil && stands.EntryID() == id:
				fail(fmt.Errorf("entry %s is not struck", id))
			case stands != nil:
				fail(fmt.Errorf("entry %s was corrected: entry %s stands in its place", id, last))
			}
			e := withID(w.kept(id), ID{})
			e = withID(e, w.append([]Record{e})[0])
			w.follow(last, e.EntryID())
			back = append(back, e)
		}
		return len(ids) > 0
	})
	if err != nil {
		return nil, err
	}
	return back, nil
}

// follow notes of a struck entry that another one stands in its place now.
func (w *writer) follow(struck, successor ID) {
	s := w.struck(struck)
	s.sealed = bytes.Clone(s.sealed) // a page may move when it is written to
	s.strike.Successor = successor
	put(struckBucket(w.tx), struck[:], appendStruck(s))
	w.toSend(ID{}, s.strike)
}
