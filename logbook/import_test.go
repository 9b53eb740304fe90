package logbook

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
)

func mustImport(t testing.TB, b *Book, recs ...Record) Imported {
	t.Helper()
	done, err := b.Import(recs)
	if err != nil {
		t.Fatal(err)
	}
	return done
}

func TestImportIsIdempotent(t *testing.T) {
	b := testBook(t)
	recs := append(oneOfEach(),
		testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		testReading("lagoon", "nitrate", testTime(0, 0), "4", 4), // twice the same line: two tests
		testReading("sump", "nitrate", testTime(0, 0), "4", 4),
		Event{Time: testTime(0, 0), Tank: "sump", Text: "x"}, Event{Time: testTime(0, 0), Tank: "sump", Text: "x"})
	done := mustImport(t, b, recs...)
	want := Imported{Added: len(recs), Tanks: []string{"sump"}, ByKind: map[Kind]int{
		KindTank: 2, KindParameter: 1, KindMethod: 2, KindChore: 1, KindReading: 7, KindDosing: 1, KindDose: 1,
		KindWaterChange: 1,
		KindEvent:       3, KindChoreDone: 1, KindAcknowledgement: 3, KindSupplement: 3, KindStock: 3, KindRefill: 1}}
	diff(t, "the first import", done, want)
	stamp, _ := b.Stamp()
	diff(t, "the second import", mustImport(t, b, recs...), Imported{Already: len(recs), ByKind: map[Kind]int{}})
	if after, _ := b.Stamp(); after != stamp {
		t.Error("an import that adds nothing changed the book")
	}
	// What was typed in by hand before is found again in a file, and the other way round.
	typed := testBook(t)
	mustAppend(t, typed, recs[:2]...)
	mustAppend(t, typed, Tank{Name: "sump"})
	for _, rec := range recs[2:] {
		mustAppend(t, typed, rec)
	}
	diff(t, "the import of what was typed", mustImport(t, typed, recs...).Added, 0)
}

func TestTryImportChangesNothing(t *testing.T) {
	b := testBook(t)
	before, _ := b.Stamp()
	var bt Batch
	for _, rec := range oneOfEach() {
		if err := bt.Add(rec); err != nil {
			t.Fatal(err)
		}
	}
	tried, err := b.TryImport(&bt)
	if err != nil {
		t.Fatal(err)
	}
	if after, _ := b.Stamp(); after != before {
		t.Error("the book changed")
	}
	done, err := b.ImportBatch(&bt)
	if err != nil {
		t.Fatal(err)
	}
	diff(t, "what was said and what was done", done, tried)
}

// An export order import into an empty book gives the same records in the same order, strikes and IDs included.
func TestExportedRecordsMakeTheSameBook(t *testing.T) {
	b := testBook(t)
	ids := mustAppend(t, b, oneOfEach()...)
	r := testReading("lagoon", "nitrate", testTime(5, 0), "7", 7)
	twins := mustAppend(t, b, r, r, r)
	for i, id := range []ID{ids[6], twins[0], ids[13]} {
		var successor Entry
		if i == 0 {
			successor = testReading("forereef", "phosphate", testTime(0, 0), "2", 0.006)
		}
		if _, err := b.Strike(Strike{Target: id, Time: testTime(6, -i), Why: "w"}, successor); err != nil {
			t.Fatal(err)
		}
	}
	foreign := testReading("lagoon", "nitrate", testTime(6, 0), "4", 4)
	foreign.ID = NewID(testTime(9, 0), "elsewhere", 0)
	mustAppend(t, b, foreign)

	exported := allRecords(t, b)
	twin := testBook(t)
	if done := mustImport(t, twin, exported...); done.Added != len(exported) {
		t.Errorf("%d of %d records added", done.Added, len(exported))
	}
	diff(t, "the records of the second book", allRecords(t, twin), exported)
	if done := mustImport(t, twin, exported...); done.Added != 0 {
		t.Errorf("a second import added %d", done.Added)
	}
	// The order in which a book was written does not show.
	shuffled := testBook(t)
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(exported), func(i, j int) {
		exported[i], exported[j] = exported[j], exported[i]
	})
	mustImport(t, shuffled, exported...)
	diff(t, "the records of a book written in another order", allRecords(t, shuffled), allRecords(t, b))
}

func TestStruckLinesStayStruck(t *testing.T) {
	b := testBook(t)
	wrong := testReading("lagoon", "phosphate", testTime(0, 0), "33", 33)
	event := Event{Time: testTime(0, 0), Tank: "lagoon", Text: "x"}
	ids := mustAppend(t, b, Tank{Name: "lagoon"}, wrong, event)
	for _, id := range ids[1:] {
		if _, err := b.Strike(Strike{Target: id, Time: testTime(1, 0)}, nil); err != nil {
			t.Fatal(err)
		}
	}
	diff(t, "the import of struck lines", mustImport(t, b, wrong, event), Imported{Already: 2, ByKind: map[Kind]int{}})
	// A second line that says the same is one that was not struck.
	if done := mustImport(t, b, wrong, wrong); done.Added != 1 || done.Already != 1 {
		t.Errorf("two lines of which one is struck: %+v", done)
	}
}

func TestImportIsWholeOrAbsent(t *testing.T) {
	b := testBook(t)
	before, _ := b.Stamp()
	_, err := b.Import([]Record{testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		Strike{Target: NewID(testTime(0, 0), "nothing", 0), Time: testTime(0, 0)}})
	if !errors.Is(err, ErrNotFound) {
		t.Errorf("a strike of nothing: %v", err)
	}
	a := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	a.ID = NewID(testTime(9, 0), "elsewhere", 0)
	other := a
	other.Text = "5"
	other.Time = testTime(1, 0)
	_, err = b.Import([]Record{a, other})
	if err == nil || !strings.Contains(err.Error(), "two different entries have the id "+a.ID.String()) {
		t.Errorf("one ID for two entries: %v", err)
	}
	if after, _ := b.Stamp(); after != before {
		t.Error("the book changed")
	}
	if done := mustImport(t, b, a, a); done.Added != 1 || done.Already != 1 {
		t.Errorf("one entry twice: %+v", done)
	}
	if _, err = b.Import([]Record{other}); err == nil || !strings.Contains(err.Error(), "belongs to another entry") {
		t.Errorf("the ID of another entry: %v", err)
	}
}

// A Batch gives the same book as appending one by one, whatever the order of the lines and the names.
func TestBatchAgainstAppend(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	tanks := []string{"lagoon", "forereef", "la", "lagoon\n2", "z"}
	var recs []Record
	for i := range 3000 {
		r := testReading(tanks[random.IntN(len(tanks))], []string{"nitrate", "phosphate", "no"}[random.IntN(3)],
			testTime(random.IntN(40), random.IntN(3)), fmt.Sprint(random.IntN(3)), float64(random.IntN(3)))
		r.Method = []string{"", "card", "nitrate"}[random.IntN(3)]
		if i%7 == 0 {
			r.Note = strings.Repeat("n", random.IntN(40))
		}
		if i%5 == 0 {
			r.Time = r.Time.UTC()
		}
		recs = append(recs, r)
	}
	imported, appended := testBook(t), testBook(t)
	for _, part := range [][]Record{recs[:1000], recs[:2000], recs} { // three files that overlap
		mustImport(t, imported, part...)
	}
	for _, tank := range tanks {
		mustAppend(t, appended, Tank{Name: tank})
	}
	mustAppend(t, appended, recs...)
	diff(t, "readings", allReadings(t, imported), allReadings(t, appended))
}

func TestBatchKeepsPointersApart(t *testing.T) {
	var bt Batch
	r := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	for i := range 3 {
		r.Text = fmt.Sprint(i)
		if err := bt.Add(&r); err != nil {
			t.Fatal(err)
		}
	}
	b := testBook(t)
	if done, err := b.ImportBatch(&bt); err != nil || done.Added != 3 || bt.Len() != 3 {
		t.Error(done, err)
	}
	for i, r := range allReadings(t, b) {
		if r.Time != testTime(0, 0) && !sameMoment(r.Time, testTime(0, 0)) || i > 2 {
			t.Error(r)
		}
	}
}

// A line that was changed in an export keeps its ID. To pass it over as known would lose the change without a word.
func TestImportRefusesAnIDThatSaysSomethingElse(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "forereef"})
	old := testReading("forereef", "nitrate", testTime(0, 0), "42", 42)
	old.ID = mustAppend(t, b, old)[0]
	changed := old
	changed.Text, changed.Value = "4.2", 4.2
	refused := func(when string, recs ...Record) {
		t.Helper()
		if _, err := b.Import(recs); err == nil || !strings.Contains(err.Error(), old.ID.String()) {
			t.Errorf("%s: %v, want a refusal that names the entry", when, err)
		}
	}
	refused("in the book", changed)
	other := changed
	other.ID = NewID(testTime(3, 0), "from elsewhere", 0)
	again := other
	again.Text, again.Value = "5", 5
	if _, err := b.Import([]Record{other, again}); err == nil {
		t.Error("two lines of one file with one ID and other words were taken")
	}
	mustAppend(t, b, Strike{Target: old.ID, Time: testTime(1, 0), Why: "decimal point"})
	refused("struck", changed)
	diff(t, "the line as it was", mustImport(t, b, old), Imported{Already: 1, ByKind: map[Kind]int{}})
	diff(t, "an entry with an ID of its own", mustImport(t, b, other).Added, 1)
	diff(t, "the same again", mustImport(t, b, other).Already, 1)
}

// The values of readings are kept in the unit of their parameter: to change it would change them all.
func TestUnitOfAParameterWithReadingsStays(t *testing.T) {
	b := testBook(t)
	p := Parameter{Name: "molybdenum", Unit: "ug/L", Max: 1000}
	mustAppend(t, b, Tank{Name: "forereef"}, p)
	p.Unit = "mg/L"
	mustAppend(t, b, p) // nothing is kept in it yet
	mustAppend(t, b, testReading("forereef", "molybdenum", testTime(0, 0), "0.01", 0.01))
	p.Digits = 3
	mustAppend(t, b, p) // all but the unit may change
	p.Unit = "ug/L"
	if _, err := b.Append(p); err == nil || !strings.Contains(err.Error(), "molybdenum") {
		t.Errorf("by Append: %v", err)
	}
	if _, err := b.Import([]Record{p}); err == nil {
		t.Error("by Import: taken")
	}
}

// Import is ImportBatch of a list.
func (b *Book) Import(recs []Record) (Imported, error) {
	var bt Batch
	for _, rec := range recs {
		if err := bt.Add(rec); err != nil {
			return Imported{}, err
		}
	}
	return b.ImportBatch(&bt)
}

// Of lines without a moment the last one counts in each field, by whichever name of the tank, and none is there before.
func TestImportTakesTheLastLine(t *testing.T) {
	reef := func(litres float64, was ...string) Tank { return Tank{Name: "reef", VolumeL: litres, Was: was} }
	for name, lines := range map[string][]Record{
		"a name that it had comes last":   {reef(1), reef(4), reef(2, "old")},
		"a name that it had comes first":  {reef(1, "old"), reef(2)},
		"other names each time":           {reef(1, "old"), reef(4, "older"), reef(2, "old")},
		"the last line is under the name": {reef(4, "old"), Tank{Name: "old", VolumeL: 2}},
	} {
		b := testBook(t)
		done := mustImport(t, b, lines...)
		mustView(t, b, func(v *View) error {
			tank, err := v.Tank("reef")
			if tank.VolumeL != 2 || done.Already != 0 {
				t.Errorf("%s: %v L, %d there already", name, tank.VolumeL, done.Already)
			}
			return err
		})
	}
}

// Of two spellings of a name that entries give one holds, whichever came first, and it is the one that is told.
func TestImportTellsTheSpelling(t *testing.T) {
	at := func(tank string, day int) Record { return testReading(tank, "nitrate", testTime(day, 0), "4", 4) }
	done := mustImport(t, testBook(t), at("Reef", 0), at("reef", 1))
	diff(t, "of one file", done.Tanks, []string{"reef"})
	b := testBook(t)
	diff(t, "of the first", mustImport(t, b, at("Reef", 0)).Tanks, []string{"Reef"})
	done = mustImport(t, b, at("reef", 1))
	if len(done.Tanks) != 0 || len(done.Otherwise) != 1 {
		t.Fatalf("of the second: %+v", done)
	}
	diff(t, "of the second", done.Otherwise[0].Is.(Tank).Name, "reef")
}
