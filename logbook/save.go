package logbook

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"reflect"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// Save is what one writing put into the book, kept so that it can be taken back as one. The book keeps the last ones.
type Save struct {
	Number  uint64   // grows from one to the next
	Noted   []ID     // entries, those included that stand in the place of struck ones
	Struck  []ID     // entries
	Changed []string // definitions of which something was noted, such as "tank forereef",
	Defined []string // and those that were made anew and stay: nothing takes that back
	Many    bool     // it was more than the book keeps for this, and so nothing takes it back

	changes []string // the keys of the changes
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

func (s *Save) change(c Change) {
	if s.Many = s.Many || len(s.changes) == mostOfASave; !s.Many {
		s.changes = append(s.changes, string(c.key()))
	}
}

// has reports whether a change came with the save.
func (s *Save) has(c Change) bool { return slices.Contains(s.changes, string(c.key())) }

// changed gives the definitions of which the save noted something, of what changes come to.
func (s *Save) changed(d *derivation, changes []Change) (all []*held) {
	for _, c := range changes {
		if !s.has(c) {
			continue
		}
		if h := d.of[d.place(c.Of)]; !slices.Contains(all, h) {
			all = append(all, h)
		}
	}
	return all
}

// nameChanged names what the save changed, and what it made.
func (w *writer) nameChanged() {
	for _, h := range w.save.changed(w.derivation(), w.changes()) {
		if name := h.name(); w.save.has(h.changes[0]) && !isWhole(h.changes[0].Kind()) {
			w.save.Defined = append(w.save.Defined, name)
		} else {
			w.save.Changed = append(w.save.Changed, name)
		}
	}
}

func appendSave(s Save) []byte {
	var w fieldWriter
	for _, ids := range [][]ID{s.Noted, s.Struck} {
		writeAll(&w, ids, func(id ID) { w.b = append(w.b, id[:]...) })
	}
	w.texts(s.Defined)
	w.bool(s.Many)
	if len(s.changes) > 0 {
		w.texts(s.Changed)
		w.texts(s.changes)
	}
	return w.b
}

func readSave(key, value []byte) (s Save, err error) {
	r := fieldReader{b: value}
	read := func() (id ID) {
		copy(id[:], r.take(len(id)))
		return id
	}
	s.Noted, s.Struck = readAll(&r, len(ID{}), read), readAll(&r, len(ID{}), read)
	if s.Defined, s.Many = r.texts(), r.bool(); r.more() {
		s.Changed, s.changes = r.texts(), r.texts()
	}
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
	if s := w.save; len(s.Noted)+len(s.Struck)+len(s.changes)+len(s.Defined) == 0 {
		return false
	}
	if len(w.save.changes) > 0 {
		w.nameChanged()
	}
	bucket := w.bucket(savesName)
	if w.save.Many {
		w.save.Noted, w.save.Struck, w.save.changes = nil, nil, nil
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

// Undone is what taking back a save does: lines are struck, lines that were struck stand again, and definitions say
// what they said before. Left is how many of its lines were changed or struck since, and so are left alone.
type Undone struct {
	Struck, Back []Entry
	Formerly     []Step // how definitions are set back: Was is what they say now
	Left         int
}

// Undoing says what Undo would do.
func (v *View) Undoing(s Save) (Undone, error) {
	return ask(v, func() Undone {
		_, u := v.reversals(s)
		v.formerly(s, &u)
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

// formerly gives what has to be noted so that definitions say what they said before a save, where nobody changed it
// since, and what that is of.
func (v *View) formerly(s Save, u *Undone) (all []Change, of []*held) {
	changes := v.changes()
	d := derived(changes)
	for _, h := range s.changed(&d, changes) {
		name := h.name()
		if back, any := h.setBack(s); any {
			all, of, u.Formerly = append(all, back), append(of, h), append(u.Formerly, h.step(back))
		} else if !slices.Contains(s.Defined, name) {
			u.Left++
		}
	}
	return all, of
}

// step is what one more change would do.
func (h *held) step(c Change) Step {
	var run held
	for _, noted := range h.changes {
		run.add(noted)
	}
	c.Noted = run.changes[len(run.changes)-1].Noted
	run.add(c)
	was := h.definition()
	if was != nil {
		c.Of = was // by the name it has now
	}
	return Step{Change: c, Was: was, Is: run.definition()}
}

// setBack is the change that has a definition say what it said before a save, wherever it still says what the save
// noted; any is false where it does so nowhere, or was made by the save and stays.
func (h *held) setBack(s Save) (c Change, any bool) {
	named := h.changes[0]
	if s.has(named) && !isWhole(named.Kind()) {
		return c, false
	}
	var run held
	was, noted, set := sections{}, sections{}, sections{}
	var tanks []Tank // before and after what the save noted
	for _, x := range h.changes {
		if !s.has(x) {
			run.add(x)
			continue
		}
		for _, section := range x.sections() {
			if _, seen := noted[section]; !seen {
				was[section] = run.of[section]
			}
		}
		tanks = append(tanks, run.tank)
		run.add(x)
		tanks = append(tanks, run.tank)
		for _, section := range x.sections() {
			noted[section] = run.of[section]
		}
	}
	for section, fields := range noted {
		switch {
		case !reflect.DeepEqual(h.of[section], fields), reflect.DeepEqual(was[section], fields):
		case was[section] == nil:
			c.Without = append(c.Without, section)
		default:
			set[section] = was[section]
		}
	}
	c.Of = madeOf(named.Of, set)
	if t, is := c.Of.(Tank); is {
		c.Of = t.named(h.tank.formerly(tanks[0], tanks[len(tanks)-1]))
		any = !reflect.DeepEqual(c.Of, t.named(Tank{Name: h.tank.Name}))
	}
	return c, any || len(set)+len(c.Without) > 0
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
// place of the struck one; what it changed of definitions is set back by new changes. ErrNotFound if the book no longer
// keeps the save.
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
		changes, of := w.formerly(all[i], &u)
		for i, c := range changes {
			w.note(c, of[i])
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
