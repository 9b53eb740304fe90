package logbook

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
)

// Imported says what an import did.
type Imported struct {
	Added   int          // records that are new in the book, or definitions that it changed
	Already int          // records that were there, or are struck
	Tanks   []string     // tanks that were made because entries name them
	ByKind  map[Kind]int // the added ones
}

// ImportBatch adds records in one transaction, all or none. It is idempotent: an entry that is there, or was struck,
// is passed over. Lines that say exactly the same are counted within the batch, so that two such lines are two
// entries, and importing them again adds none. Tanks that entries name are made. Strikes come last.
func (b *Book) ImportBatch(bt *Batch) (Imported, error) { return b.importBatch(bt, true) }

// TryImport says what ImportBatch would do, and changes nothing.
func (b *Book) TryImport(bt *Batch) (Imported, error) { return b.importBatch(bt, false) }

func (b *Book) importBatch(bt *Batch, keep bool) (Imported, error) {
	if err := bt.settle(); err != nil {
		return Imported{}, err
	}
	im := importer{batch: bt, done: Imported{ByKind: map[Kind]int{}}}
	err := b.update(task{records: bt.Len(), walk: true}, func(w *writer) (bool, error) {
		im.writer = w
		if err := im.run(); err != nil {
			return false, err
		}
		return keep && (im.done.Added > 0 || len(im.done.Tanks) > 0), nil
	})
	if err != nil {
		return Imported{}, err
	}
	return im.done, nil
}

// importer is one import under way.
type importer struct {
	*writer
	batch *Batch
	done  Imported
	weigh func(again Strike) error // decides between two strikes of one entry; nil: the one that is there stays
	texts []byte                   // the values that bbolt holds on to until the commit
}

func (im *importer) run() error {
	for _, step := range []func() error{im.definitions, im.tanks, im.readings, im.entries, im.strikes} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// count counts a record that was added, or was there already.
func (im *importer) count(kind Kind, added bool) {
	if !added {
		im.done.Already++
		return
	}
	im.done.Added++
	im.done.ByKind[kind]++
}

// definitions puts tanks, parameters, methods and supplements, and then what belongs to a tank, which may stand
// anywhere in the file.
func (im *importer) definitions() error {
	for _, second := range []bool{false, true} {
		for _, rec := range im.batch.others {
			of, belongs := rec.(tanked)
			if _, is := rec.(Entry); is || rec.Kind() == KindStrike || belongs != second {
				continue
			}
			if belongs {
				if err := im.makeTank(of.TankName()); err != nil {
					return err
				}
			}
			changed, err := im.define(rec)
			if err != nil {
				return err
			}
			im.count(rec.Kind(), changed)
		}
	}
	return nil
}

// tanks makes those that entries name.
func (im *importer) tanks() error {
	seen := map[uint32]bool{}
	for _, block := range im.batch.rows {
		for i := range block {
			if tank := block[i].tank; !seen[tank] {
				seen[tank] = true
				if err := im.makeTank(im.batch.names[tank]); err != nil {
					return err
				}
			}
		}
	}
	for _, rec := range im.batch.others {
		if e, is := rec.(Entry); is {
			if err := im.makeTank(e.TankName()); err != nil {
				return err
			}
		}
	}
	return nil
}

func (im *importer) makeTank(name string) error {
	if im.hasTank(name) {
		return nil
	}
	im.done.Tanks = append(im.done.Tanks, name)
	_, err := im.define(Tank{Name: name, Timezone: im.batch.Timezone})
	return err
}

// readings adds the rows of the batch, series by series in the order of their keys.
func (im *importer) readings() error {
	numbers := make([]uint32, len(im.batch.names))
	for i, name := range im.batch.names {
		var err error
		if numbers[i], err = im.names.give(name); err != nil {
			return err
		}
	}
	groups := im.group(numbers)
	inOrder := func(a, b series) int { return cmp.Or(cmp.Compare(a.tank, b.tank), cmp.Compare(a.subject, b.subject)) }
	for _, s := range slices.SortedFunc(maps.Keys(groups), inOrder) {
		if err := im.series(s, groups[s], numbers); err != nil {
			return err
		}
		delete(groups, s)
	}
	return nil
}

// timedRow is a row by its time, for sorting.
type timedRow struct {
	nanos int64
	row   uint32
}

// group gathers the rows of each series, in the order of the file.
func (im *importer) group(numbers []uint32) map[series][]timedRow {
	groups := map[series][]timedRow{}
	for i := range uint32(im.batch.count) {
		r := im.batch.row(i)
		s := series{numbers[r.tank], numbers[r.parameter]}
		groups[s] = append(groups[s], timedRow{r.nanos, i})
	}
	return groups
}

// series adds the rows of one series.
func (im *importer) series(s series, rows []timedRow, numbers []uint32) error {
	byTime := func(a, b timedRow) int { return cmp.Compare(a.nanos, b.nanos) }
	if !slices.IsSortedFunc(rows, byTime) {
		slices.SortStableFunc(rows, byTime)
	}
	rows = im.repeats(rows)
	rows, err := im.fresh(s, rows)
	if err != nil {
		return err
	}
	bucket := entryBucket(im.tx, KindReading)
	if im.batch.Len() > manyRecords {
		bucket.FillPercent = bulkFill
	}
	var sum uint64
	for _, p := range rows {
		r := im.batch.row(p.row)
		key := newSeriesKey(s.tank, s.subject, r.nanos, r.id)
		value := im.value(key, r, numbers)
		if err := bucket.Put(key[:], value); err != nil {
			return err
		}
		sum += sealOf(value)
		im.count(KindReading, true)
	}
	if err := summed(bucket, sum); err != nil {
		return err
	}
	return counted(bucket, len(rows))
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
	im.texts = appendReading(im.texts, readingValue{uint64(r.zone), r.bound, r.value, numbers[r.unit], numbers[r.method], text, note})
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
	slices.SortStableFunc(rows, func(a, b timedRow) int {
		return cmp.Or(byID(a, b), givenFirst(im.batch.row(a.row), im.batch.row(b.row)))
	})
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
			r.id = im.batch.repeated(r, repeat)
		}
		kept = append(kept, p)
	}
	slices.SortFunc(kept, byID)
	return kept
}

func givenFirst(a, b *row) int {
	switch {
	case a.given == b.given:
		return 0
	case a.given:
		return -1
	}
	return 1
}

// fresh drops the rows that the book has already, live or struck.
func (im *importer) fresh(s series, rows []timedRow) ([]timedRow, error) {
	readings := entryBucket(im.tx, KindReading)
	start := newSeriesKey(s.tank, s.subject, 0, ID{})
	k, _ := im.entryCursor(KindReading).Seek(start[:])
	isNew := k == nil || !bytes.Equal(k[:8], start[:8])
	struck := struckBucket(im.tx)
	first, _ := im.cursor("struck").First()
	if isNew && first == nil {
		return rows, nil
	}
	of := im.batch.row(rows[0].row)
	kept := rows[:0]
	for _, p := range rows {
		r := im.batch.row(p.row)
		key := newSeriesKey(s.tank, s.subject, r.nanos, r.id)
		if !isNew && readings.Get(key[:]) != nil || first != nil && struck.Get(r.id[:]) != nil {
			im.done.Already++
			continue
		}
		kept = append(kept, p)
	}
	im.batch.noteThere(of, len(rows)-len(kept))
	return kept, nil
}

// entries adds the entries that are not rows.
func (im *importer) entries() error {
	repeats := map[ID]int{}
	taken := map[ID]claim{}
	var ops []op
	for _, rec := range im.batch.others {
		e, is := rec.(Entry)
		if !is {
			continue
		}
		o, there, err := im.prepareImported(e, repeats, taken)
		if err != nil {
			return err
		}
		if im.count(o.kind, !there); !there {
			ops = append(ops, o)
		}
	}
	return im.putAll(ops)
}

// claim is what an ID of the file stands for.
type claim struct {
	key     seriesKey
	content []byte
}

func (im *importer) prepareImported(e Entry, repeats map[ID]int, taken map[ID]claim) (o op, there bool, err error) {
	content := appendContent(nil, e)
	foreign := false
	if e.EntryID().IsZero() {
		first := deriveID(e.When().UnixMilli(), content, 0)
		e = withID(e, deriveID(e.When().UnixMilli(), content, repeats[first]))
		repeats[first]++
	} else {
		foreign = !isDerived(e, content)
	}
	if o, err = im.prepare(e); err != nil {
		return o, false, err
	}
	id := o.key.id()
	if other, ok := taken[id]; ok {
		if other.key != o.key || !bytes.Equal(other.content, content) {
			err = fmt.Errorf("two different entries have the id %s", id)
		}
		return o, true, err
	}
	taken[id] = claim{o.key, content}
	if there, err = im.has(o.kind, o.key); err != nil || !foreign {
		return o, there, err
	}
	if there {
		return o, true, im.saysTheSame(o, content)
	}
	there, err = im.addForeign(o)
	if err == nil && there {
		err = fmt.Errorf("the id %s belongs to another entry of the book", id)
	}
	return o, there, err
}

// saysTheSame refuses an entry whose ID the book has with other words: a line that was changed in an export would
// else be passed over as if it were known. Where an ID is derived from what its entry says, this cannot be.
func (im *importer) saysTheSame(o op, content []byte) error {
	id := o.key.id()
	sealed := im.get(string(o.kind), o.key[:])
	if sealed == nil {
		s, err := im.struck(id, im.get("struck", id[:]))
		if err != nil {
			return err
		}
		if s.kind != o.kind || s.key != o.key {
			return fmt.Errorf("the id %s belongs to another entry of the book", id)
		}
		sealed = s.sealed
	}
	kept, err := im.entry(o.kind, o.key[:], sealed)
	if err == nil && !bytes.Equal(appendContent(nil, kept), content) {
		err = fmt.Errorf("the book has entry %s and it says something else: leave the id out for a new entry, and strike the old one", id)
	}
	return err
}

// strikes strikes what the file says was struck.
func (im *importer) strikes() error {
	for _, rec := range im.batch.others {
		s, is := rec.(Strike)
		if !is {
			continue
		}
		already, err := im.strike(s)
		if errors.Is(err, ErrNotFound) {
			err = fmt.Errorf("a strike: %w", err)
		} else if err == nil && already && im.weigh != nil {
			err = im.weigh(s)
		} else if err == nil {
			im.count(KindStrike, !already)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
