package logbook

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"
)

// Imported says what an import did.
type Imported struct {
	Added   int          // records that are new in the book, or definitions that it changed
	Already int          // records that were there, or are struck
	Tanks   []string     // tanks that were made because entries name them
	ByKind  map[Kind]int // the added ones

	Otherwise []Step // what definitions of the book said, what they say now, and the change by which they do
	Overruled []Step // changes of no moment, or of that of what holds: Was is what they say, Is what holds
}

// ImportBatch adds records in one transaction, all or none. It is idempotent: an entry that is there, or was struck,
// is passed over; of a row without an ID whose line was undone, a new line takes the place. Lines that say exactly the
// same are counted within the batch, so that two such lines are two entries, and importing them again adds none. Tanks
// that entries name are made. Strikes come last.
func (b *Book) ImportBatch(bt *Batch) (Imported, error) { return b.importBatch(bt, true) }

// TryImport says what ImportBatch would do, and changes nothing.
func (b *Book) TryImport(bt *Batch) (Imported, error) { return b.importBatch(bt, false) }

func (b *Book) importBatch(bt *Batch, keep bool) (Imported, error) {
	im := importer{batch: bt, done: Imported{ByKind: map[Kind]int{}}}
	err := b.update(task{records: bt.Len(), walk: true, tries: !keep}, func(w *writer) bool {
		im.writer = w
		im.takeIn()
		return keep && (im.done.Added > 0 || len(im.done.Tanks) > 0)
	})
	if err != nil {
		return Imported{}, err
	}
	return im.done, nil
}

func (im *importer) takeIn() {
	im.definitions()
	im.tanks()
	im.readings()
	im.entries()
	im.strikes()
	im.keepTheirUnits()
}

type importer struct {
	*writer
	batch *Batch
	done  Imported
	ofLog bool // the lines are those of another log, and stay what they are, whatever comes with them

	struckAt map[string][]Reading // struck readings by their keys up to the moment; nil until they are asked for

	anewOf map[ID]ID // of new lines, the undone ones whose places they take

	texts []byte // the values that bbolt holds on to until the commit
}

func (im *importer) count(kind Kind, added bool) {
	if !added {
		im.done.Already++
		return
	}
	im.done.Added++
	im.done.ByKind[kind]++
}

// definitions takes in what was noted of definitions, and then makes the tanks that they name.
func (im *importer) definitions() {
	var all []Change
	var tanks []Tank // of which the file tells no moment: as an old book does
	for _, rec := range im.batch.others {
		if t, is := rec.(Tank); is && !im.ofLog {
			tanks = append(tanks, t)
		}
	}
	apart := apartTanks(tanks)
	for _, rec := range im.batch.others {
		if definitionIn(rec) == nil {
			continue
		}
		c := changeOf(rec)
		if t, is := c.Of.(Tank); is && slices.Contains(apart, t.Name) {
			t.Apart = true
			c.Of = t
		}
		all = append(all, c.canonical())
	}
	if len(all) == 0 {
		return
	}
	if !im.ofLog {
		all = lastOfEach(all)
	}
	d, had := im.derivation(), map[string]Record{}
	for _, c := range all {
		if def := im.sensible(d, d.of[d.place(c.Of)]); def != nil {
			had[definitionName(def)] = def
		}
	}
	added := gather(all, im.putChange)
	im.derive()
	d = im.derivation()
	for _, name := range sortedKeys(had) {
		if step := im.since(had[name]); len(step.Sections()) > 0 {
			im.done.Otherwise = append(im.done.Otherwise, step)
		}
	}
	var names []string
	for i, c := range all {
		im.count(c.Kind(), added[i] && changesBucket(im.tx).Get(c.key()) != nil)
		if step := d.of[d.place(c.Of)].overruled(c); len(step.Sections()) > 0 && (added[i] || c.Noted.IsZero()) {
			im.done.Overruled = append(im.done.Overruled, step)
		}
		if of, is := c.Of.(tanked); is {
			names = append(names, of.TankName())
		}
	}
	im.makeTanks(names)
}

// lastOfEach joins the changes without a moment of one definition: each of its fields is what the last line says, by
// whichever name of the tank. By their moments no order could be told.
func lastOfEach(all []Change) (kept []Change) {
	d, at := derived(all), map[[2]string]int{} // in kept
	for _, c := range all {
		if !c.Noted.IsZero() || len(c.Without) > 0 {
			kept = append(kept, c)
			continue
		}
		place := d.place(c.Of)
		if i, again := at[place]; again {
			joined := sectionsOf(kept[i].Of)
			maps.Copy(joined, sectionsOf(c.Of))
			was, _ := kept[i].Of.(Tank)
			is, isTank := c.Of.(Tank)
			if is.onlyName() && is.Name == was.Name {
				is = was
			}
			if c.Of = madeOf(c.Of, joined); isTank {
				c.Of = c.Of.(Tank).named(is)
			}
			if was.onlyName() && is.Name == was.Name || reflect.DeepEqual(was.naming(), is.naming()) {
				kept[i] = c
				continue
			}
			kept[i].Of = was.naming()
		}
		at[place] = len(kept)
		kept = append(kept, c)
	}
	return kept
}

// keepTheirUnits refuses a file whose values of a parameter are in another unit than those of the book.
func (im *importer) keepTheirUnits() {
	var told []Parameter // the last line of each counts
	for _, rec := range im.batch.others {
		if p, is := definitionIn(rec).(Parameter); is && p.Unit != "" {
			told = slices.DeleteFunc(told, func(q Parameter) bool { return q.Name == p.Name })
			told = append(told, p)
		}
	}
	im.keepUnits(im.parameters(), told)
}

func (im *importer) tanks() {
	seen, names := map[uint32]bool{}, []string{}
	for _, block := range im.batch.rows {
		for i := range block {
			if tank := block[i].tank; !seen[tank] {
				seen[tank] = true
				names = append(names, im.batch.names[tank])
			}
		}
	}
	for _, rec := range im.batch.others {
		if e, is := rec.(Entry); is {
			names = append(names, e.TankName())
		}
	}
	im.makeTanks(names)
}

// makeTanks makes the tanks of these names that the book does not have. Of a name that differs from that of a tank in
// capital and small letters, derive decides.
func (im *importer) makeTanks(names []string) {
	known, made, were := map[string][]string{}, false, map[string]Tank{}
	for _, name := range names {
		t, found := im.tankCalled(name)
		alike := known[folded(name)]
		if slices.Contains(alike, name) || found && (t.Name == name || slices.Contains(t.Was, name)) {
			continue
		}
		if found {
			were[t.Name] = t
		}
		if found = found || len(alike) > 0; !found {
			im.done.Tanks = append(im.done.Tanks, name)
		}
		known[folded(name)] = append(alike, name)
		if t = (Tank{Name: name, Timezone: im.batch.Timezone}); t.Timezone == "" {
			im.putChange(Change{Of: t}) // nobody said anything of it: the same in every book
			made = true
		} else if !found {
			im.define(t)
		}
	}
	if made {
		im.derive()
	}
	for i, name := range im.done.Tanks {
		im.done.Tanks[i] = im.present(name) // of two that differ in capital and small letters it is one
	}
	for _, name := range sortedKeys(were) {
		if step := im.since(were[name]); len(step.Sections()) > 0 {
			im.done.Otherwise = append(im.done.Otherwise, step)
		}
	}
}

// readings adds the rows of the batch, series by series in the order of their keys.
func (im *importer) readings() {
	numbers := make([]uint32, len(im.batch.names))
	for i, name := range im.batch.names {
		numbers[i] = im.names.give(name)
	}
	groups := im.group(numbers)
	inOrder := func(a, b series) int { return cmp.Or(cmp.Compare(a.tank, b.tank), cmp.Compare(a.subject, b.subject)) }
	for _, s := range slices.SortedFunc(maps.Keys(groups), inOrder) {
		im.series(s, groups[s], numbers)
		delete(groups, s)
	}
}

// spelled is the name from which IDs are derived: that of the file, but in the capital and small letters of the book,
// so that a file of the book's own rows adds none.
func spelled(typed, inBook string) string {
	if strings.EqualFold(typed, inBook) {
		return inBook
	}
	return typed
}

type timedRow struct {
	nanos int64
	row   uint32
}

// group gathers the rows of each series, in the order of the file, under the names that the tanks bear in the book.
func (im *importer) group(numbers []uint32) map[series][]timedRow {
	groups, tanks := map[series][]timedRow{}, map[uint32]string{}
	numberOf := map[string]uint32{}
	for i := range uint32(im.batch.count) {
		r := im.batch.row(i)
		tank, seen := tanks[r.tank]
		if !seen {
			tank = im.present(im.batch.names[r.tank])
			tanks[r.tank], numberOf[tank] = tank, im.names.give(tank)
		}
		if typed := im.batch.names[r.tank]; !r.given && typed != tank {
			r.id = im.batch.derived(r, spelled(typed, tank), 0)
		}
		s := series{numberOf[tank], numbers[r.parameter]}
		groups[s] = append(groups[s], timedRow{r.nanos, i})
	}
	return groups
}

// series adds the rows of one series.
func (im *importer) series(s series, rows []timedRow, numbers []uint32) {
	byTime := func(a, b timedRow) int { return cmp.Compare(a.nanos, b.nanos) }
	if !slices.IsSortedFunc(rows, byTime) {
		slices.SortStableFunc(rows, byTime)
	}
	rows = im.fresh(s, im.repeats(rows))
	im.findTwice(s, rows)
	bucket := entryBucket(im.tx, KindReading)
	if im.batch.Len() > manyRecords {
		bucket.FillPercent = bulkFill
	}
	var sum uint64
	for _, p := range rows {
		r := im.batch.row(p.row)
		key := newSeriesKey(s.tank, s.subject, r.nanos, r.id)
		value := im.value(key, r, numbers)
		fail(bucket.Put(key[:], value))
		sum += sealOf(value)
		im.save.add(&im.save.Noted, r.id)
		im.toSend(r.id, nil)
		im.count(KindReading, true)
		if undone, is := im.anewOf[r.id]; is {
			im.follow(undone, r.id)
		}
	}
	summed(bucket, sum)
	counted(bucket, len(rows))
}

// value encodes a row. bbolt keeps the slice until the commit, so values lie side by side in large blocks.
func (im *importer) value(key seriesKey, r *row, numbers []uint32) []byte {
	const most = 64 // bytes of a value beside its text and note
	need := most + int(r.textLength) + int(r.noteLength)
	if cap(im.texts)-len(im.texts) < need {
		im.texts = make([]byte, 0, max(textBlock, need))
	}
	text, note := im.batch.textOf(r)
	start := len(im.texts)
	im.texts = appendReading(im.texts, readingValue{uint64(r.zone), r.bound, r.value, numbers[r.unit], numbers[r.method],
		text, note, numbers[r.who]})
	value := im.texts[start:]
	sealed := seal(key[:], value)
	im.texts = im.texts[:start+len(sealed)]
	return sealed[:len(sealed):len(sealed)]
}

// repeats gives lines that say exactly the same the IDs of a first, a second and so on, drops those that came twice
// with the same ID, and puts rows of the same time in the order of their IDs.
func (im *importer) repeats(rows []timedRow) []timedRow {
	kept := rows[:0]
	for i := 0; i < len(rows); {
		j := i + 1
		for j < len(rows) && rows[j].nanos == rows[i].nanos {
			j++
		}
		if j-i == 1 {
			kept = append(kept, rows[i])
		} else {
			kept = append(kept, im.sameTime(rows[i:j])...)
		}
		i = j
	}
	return kept
}

// sameTime does what repeats says for rows of one time.
func (im *importer) sameTime(rows []timedRow) []timedRow {
	byID := func(a, b timedRow) int {
		x, y := im.batch.row(a.row), im.batch.row(b.row)
		return bytes.Compare(x.id[:], y.id[:])
	}
	derived := func(p timedRow) int {
		if im.batch.row(p.row).given {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(rows, func(a, b timedRow) int { return cmp.Or(byID(a, b), derived(a)-derived(b)) })
	kept := rows[:0]
	var before ID // of the row before, as it came
	repeat := 0
	for _, p := range rows {
		r := im.batch.row(p.row)
		if r.id != before {
			before, repeat = r.id, 0
		} else if r.given {
			im.done.Already++
			continue
		} else {
			repeat++
			r.id = im.again(r, repeat)
		}
		kept = append(kept, p)
	}
	slices.SortFunc(kept, byID)
	return kept
}

// fresh drops the rows that the book has already, live or struck.
func (im *importer) fresh(s series, rows []timedRow) []timedRow {
	readings := entryBucket(im.tx, KindReading)
	start := newSeriesKey(s.tank, s.subject, rows[0].nanos, ID{}) // they are in the order of their times
	k, _ := im.entryCursor(KindReading).Seek(start[:])
	isNew := k == nil || !bytes.Equal(k[:8], start[:8])
	struck := struckBucket(im.tx)
	first, _ := im.cursor("struck").First()
	if isNew && first == nil {
		return rows
	}
	of := im.batch.row(rows[0].row)
	kept := rows[:0]
	for i := 0; i < len(rows); {
		var known []ID
		begin := len(kept)
		for at := rows[i].nanos; i < len(rows) && rows[i].nanos == at; i++ {
			r := im.batch.row(rows[i].row)
			key := newSeriesKey(s.tank, s.subject, r.nanos, r.id)
			isStruck := first != nil && struck.Get(r.id[:]) != nil
			if !isNew && readings.Get(key[:]) != nil || isStruck && !im.anew(r, slices.Concat(kept[begin:], rows[i:])) {
				known = append(known, r.id)
				continue
			}
			kept = append(kept, rows[i])
		}
		if len(kept) > begin {
			kept = append(kept[:begin], im.unsaid(s, kept[begin:], known)...)
		}
	}
	im.done.Already += len(rows) - len(kept)
	if im.batch.there == nil {
		im.batch.there = map[[2]string]int{}
	}
	im.batch.there[[2]string{im.batch.names[of.tank], im.batch.names[of.parameter]}] += len(rows) - len(kept)
	return kept
}

// again is the ID of a row that says what others say that often.
func (im *importer) again(r *row, repeat int) ID {
	typed := im.batch.names[r.tank]
	return im.batch.derived(r, spelled(typed, im.present(typed)), repeat)
}

// anew gives a row whose line was undone, and which stands nowhere, the ID of a new line that takes the place of the
// old one, as BringBack does; false if it is not such a row. A row that tells its ID comes from a log, which knows what
// it strikes. No other row may have the new ID.
func (im *importer) anew(r *row, others []timedRow) bool {
	stands, last := im.standing(r.id)
	if r.given || stands != nil || im.struck(last).strike.Why != undone {
		return false
	}
	for repeat := 1; ; repeat++ {
		id := im.again(r, repeat)
		if im.kept(id) == nil && !slices.ContainsFunc(others, func(p timedRow) bool { return im.batch.row(p.row).id == id }) {
			r.id = id
			break
		}
	}
	if im.anewOf == nil {
		im.anewOf = map[ID]ID{}
	}
	im.anewOf[r.id] = last
	return true
}

// unsaid drops, of rows of one moment, those without an ID that say what a reading of the book says, live or struck: a
// table that the program wrote may tell its time in another zone, its value in another unit, and leave out method and
// note, and an ID made of what it tells is another one then. known are the readings that other rows of the moment are
// already.
func (im *importer) unsaid(s series, rows []timedRow, known []ID) []timedRow {
	if !slices.ContainsFunc(rows, func(p timedRow) bool { return !im.batch.row(p.row).given }) {
		return rows
	}
	var there []Reading
	for _, r := range im.readingsAt(s, rows[0].nanos) {
		if !slices.Contains(known, r.ID) {
			there = append(there, r)
		}
	}
	return slices.DeleteFunc(rows, func(p timedRow) bool {
		r := im.batch.row(p.row)
		i := slices.IndexFunc(there, func(old Reading) bool { return !r.given && im.says(r, old) })
		if i >= 0 {
			there = slices.Delete(there, i, i+1)
		}
		return i >= 0
	})
}

// says reports whether a row tells nothing that a reading of its moment does not.
func (im *importer) says(r *row, old Reading) bool {
	text, note := im.batch.textOf(r)
	unit, method, who := im.batch.names[r.unit], im.batch.names[r.method], im.batch.names[r.who]
	if r.bound != old.Bound || who != "" && who != old.Who || method != "" && method != old.Method ||
		len(note) > 0 && string(note) != old.Note {
		return false
	}
	if r.value == old.Value {
		return true
	}
	p, _ := FindParameter(im.parameters(), old.Parameter)
	u, err := p.FindUnit(unit)
	if unit == old.Unit {
		return err == nil && string(text) == plainDecimal(old.Text)
	}
	told, was := u.FromCanonical(r.value), u.FromCanonical(old.Value)
	return err == nil && math.Abs(told-was) <= math.Abs(was)*0.51*math.Pow10(1-convertedDigits)
}

// readingsAt are the readings of a series at one moment, the struck ones included.
func (im *importer) readingsAt(s series, nanos int64) (all []Reading) {
	start := newSeriesKey(s.tank, s.subject, nanos, ID{})
	moment := start[:len(start)-len(ID{})]
	c := im.entryCursor(KindReading)
	for k, sealed := c.Seek(start[:]); bytes.HasPrefix(k, moment); k, sealed = c.Next() {
		all = append(all, im.entry(KindReading, k, sealed).(Reading))
	}
	if im.struckAt == nil {
		im.struckAt = map[string][]Reading{}
		for e, struck := range im.eachStruck() {
			if r, is := e.(Reading); is && struck.strike.Why != undone {
				at := string(struck.key[:len(moment)])
				im.struckAt[at] = append(im.struckAt[at], r)
			}
		}
	}
	return append(all, im.struckAt[string(moment)]...)
}

func (im *importer) entries() {
	repeats := map[ID]int{}
	taken := map[ID]claim{}
	var ops []op
	for _, rec := range im.batch.others {
		e, is := rec.(Entry)
		if !is {
			continue
		}
		o, there := im.prepareImported(e, repeats, taken)
		if im.count(o.kind, !there); !there {
			ops = append(ops, o)
		}
	}
	im.putAll(ops)
}

type claim struct {
	key     seriesKey
	content []byte
}

func (im *importer) prepareImported(e Entry, repeats map[ID]int, taken map[ID]claim) (o op, there bool) {
	content := appendContent(nil, e)
	foreign := false
	if e.EntryID().IsZero() {
		first := deriveID(e.When().UnixMilli(), content, 0)
		e = withID(e, deriveID(e.When().UnixMilli(), content, repeats[first]))
		repeats[first]++
	} else {
		foreign = !isDerived(e, content)
	}
	e = ofTank(e, im.present(e.TankName())).(Entry)
	content = appendContent(content[:0], e)
	o = im.prepare(e)
	id := o.key.id()
	if other, ok := taken[id]; ok {
		if other.key != o.key || !bytes.Equal(other.content, content) {
			fail(fmt.Errorf("two different entries have the id %s", id))
		}
		return o, true
	}
	taken[id] = claim{o.key, content}
	there = im.has(o.kind, o.key)
	switch {
	case foreign && there:
		im.mustSayTheSame(o, content)
	case foreign && im.addForeign(o):
		fail(ofAnother(id))
	}
	return o, there
}

func ofAnother(id ID) error { return fmt.Errorf("the id %s belongs to another entry of the book", id) }

// mustSayTheSame refuses an entry whose ID the book has with other words: a line that was changed in an export would
// else be passed over as if it were known. Where an ID is derived from what its entry says, this cannot be.
func (im *importer) mustSayTheSame(o op, content []byte) {
	id := o.key.id()
	sealed := im.get(string(o.kind), o.key[:])
	if sealed == nil {
		s := im.struck(id)
		if s.kind != o.kind || s.key != o.key {
			fail(ofAnother(id))
		}
		sealed = s.sealed
	}
	if kept := im.entry(o.kind, o.key[:], sealed); !bytes.Equal(appendContent(nil, kept), content) {
		fail(fmt.Errorf("the book has entry %s and it says something else: leave the id out for a new entry, and strike "+
			"the old one", id))
	}
}

func (im *importer) strikes() {
	for _, rec := range im.batch.others {
		s, is := rec.(Strike)
		if !is {
			continue
		}
		added := false
		err := attempt(func() { added = !im.strike(s) || im.outweighs(s) })
		switch missing := errors.Is(err, ErrNotFound); {
		case missing && im.arriving:
			im.batch.missing = append(im.batch.missing, s)
			continue
		case missing:
			err = fmt.Errorf("a strike: %w", err)
		}
		fail(err)
		im.count(KindStrike, added)
	}
}

// outweighs takes one of two strikes of an entry, the one that stands before the other.
func (im *importer) outweighs(s Strike) bool {
	old := im.struck(s.Target)
	if !standsBefore(s, old.strike) {
		return false
	}
	im.needSuccessor(s)
	old.sealed, old.strike = bytes.Clone(old.sealed), s // a page may move when it is written to
	put(struckBucket(im.tx), s.Target[:], appendStruck(old))
	im.toSend(ID{}, s)
	return true
}
