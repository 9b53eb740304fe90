package logbook

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"
)

// namedBook is a book of one entry of each kind, struck lines, IDs from elsewhere and a draft.
func namedBook(t *testing.T) *Book {
	t.Helper()
	b := testBook(t)
	ids := mustAppend(t, b, oneOfEach()...)
	mustAppend(t, b, Stock{Tank: "lagoon", Name: "shared", Unit: "tests", Parameter: "calcium",
		Shared: []string{"forereef"}},
		Strike{Target: ids[6], Time: testTime(1, 0), Why: "slip"})
	foreign := testReading("forereef", "nitrate", testTime(0, 0), "4", 4)
	foreign.ID = NewID(testTime(9, 0), "elsewhere", 0)
	mustAppend(t, b, foreign)
	if err := b.SaveDraft(Draft{}, Draft{Tank: "forereef",
		Fields: map[string]DraftField{"nitrate": {Text: "4"}}}); err != nil {
		t.Fatal(err)
	}
	return b
}

// ownRows is the CSV of a book without the row whose ID came from elsewhere, which a table cannot say.
func ownRows(t *testing.T, b *Book) []byte {
	return bytes.ReplaceAll(exportCSV(t, b, ExportOptions{}),
		[]byte("2026-03-01T09:10:00+13:00,forereef,nitrate,4,mg/L,card,\r\n"), nil)
}

func TestRenamedTankKeepsAll(t *testing.T) {
	b := namedBook(t)
	before := copyOf(t, b)
	old, oldLines := string(exportJSONL(t, b, ExportOptions{})), heldLines(t, b)
	oldRows := ownRows(t, b)
	if _, err := b.RenameTank("FOREREEF", "crest", testTime(2, 0)); err != nil {
		t.Fatal(err)
	}
	mustBeSound(t, b.Path())
	mustView(t, b, func(v *View) error {
		saves, err := v.Saves()
		if s := saves[0]; len(s.Noted) > 0 || len(s.Struck) > 0 || !slices.Equal(s.Changed, []string{"tank crest"}) {
			t.Errorf("to be taken back as one: %+v", s)
		}
		return err
	})
	want := strings.ReplaceAll(oldLines, `"tank":"forereef"`, `"tank":"crest"`)
	want = strings.ReplaceAll(want, `"shared":["forereef"]`, `"shared":["crest"]`)
	want = strings.Replace(want, `"order":["nitrate","iron"],`,
		`"order":["nitrate","iron"],"was":["forereef"],"renamed":"2026-03-02T20:10:00Z",`, 1)
	inOrder := func(text string) []string { return slices.Sorted(strings.Lines(text)) }
	now := exportJSONL(t, b, ExportOptions{})
	diff(t, "the lines under the new name", inOrder(heldLines(t, b)), inOrder(want))
	mustView(t, b, func(v *View) error {
		for _, name := range []string{"crest", "Crest", "forereef", "ForeReef"} {
			if tank, err := v.Tank(name); err != nil || tank.Name != "crest" {
				t.Errorf("%s: %q, %v", name, tank.Name, err)
			}
			if rs, err := v.Readings(name, "nitrate", time.Time{}, time.Time{}); err != nil || len(rs) != 3 ||
				rs[0].Tank != "crest" {
				t.Errorf("readings of %s: %v, %v", name, rs, err)
			}
			if d, found, err := v.Draft(name); err != nil || !found || d.Fields["nitrate"].Text != "4" {
				t.Errorf("draft of %s: %v, %v", name, d, err)
			}
		}
		for _, e := range allRecords(t, before) {
			if e, is := e.(Entry); is {
				if kept := v.kept(e.EntryID()); kept == nil {
					t.Errorf("%s is not found by its ID", lineOf(e))
				}
			}
		}
		return nil
	})
	// Neither an old export nor a new one adds anything, and each fills an empty book.
	if done := importCSV(t, b, oldRows, append(Standard(), oneOfEach()[2].(Parameter))); done.Added != 0 ||
		len(done.Tanks) != 0 {
		t.Errorf("rows of before added %+v", done)
	}
	for what, text := range map[string]string{"of before": old, "of today": string(now), "of no moment": oldLines} {
		if done := importJSONL(t, b, []byte(text)); done.Added != 0 || len(done.Tanks) != 0 {
			t.Errorf("lines %s added %+v", what, done)
		}
	}
	if got := exportJSONL(t, b, ExportOptions{}); !bytes.Equal(got, now) {
		t.Errorf("after that:\n%s\nwant\n%s", got, now)
	}
	filled := testBook(t)
	importJSONL(t, filled, now)
	if got := exportJSONL(t, filled, ExportOptions{}); !bytes.Equal(got, now) {
		t.Errorf("a book filled from the export:\n%s\nwant\n%s", got, now)
	}
	// A copy that still has the old name becomes the same, whichever is merged into which.
	mustAppend(t, before, testReading("forereef", "calcium", testTime(5, 0), "420", 420))
	one, other := copyOf(t, b), copyOf(t, before)
	mustMerge(t, one, before)
	if err := other.SaveDraft(Draft{Tank: "forereef", Fields: map[string]DraftField{"nitrate": {Text: "4"}}},
		Draft{Tank: "forereef"}); err != nil {
		t.Fatal(err)
	}
	mustMerge(t, other, b)
	got, want2 := exportJSONL(t, one, ExportOptions{}), exportJSONL(t, other, ExportOptions{})
	if !bytes.Equal(got, want2) || !strings.Contains(string(got), `"tank":"crest","parameter":"calcium"`) ||
		strings.Contains(heldLines(t, one), `"tank":"forereef"`) {
		t.Errorf("merged one way:\n%s\nthe other way:\n%s", got, want2)
	}
	// The old name comes back when it is given again, and nothing else.
	if _, err := b.RenameTank("crest", "forereef", testTime(1, 0)); err != nil {
		t.Fatal(err)
	}
	mustMerge(t, b, one)
	if got := heldLines(t, b); strings.Contains(got, `"tank":"crest"`) {
		t.Errorf("renamed back, though its clock was behind:\n%s", got)
	}
}

func TestRenameTankRefuses(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "forereef"}, Tank{Name: "lagoon"})
	if _, err := b.RenameTank("lagoon", "pool", testTime(0, 0)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ from, to, says string }{
		{"forereef", "pool", `there is a tank "pool" already`},
		{"forereef", "LAGOON", `"LAGOON" is a former name of tank "pool"`},
		{"pool", "pool", "is called"},
		{"pool", " ", "is blank"},
		{"crest", "pond", `there is no tank "crest"`},
	} {
		if _, err := b.RenameTank(c.from, c.to, testTime(1, 0)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s to %s: %v", c.from, c.to, err)
		}
	}
	if _, err := b.RenameTank("pool", "Pool", testTime(1, 0)); err != nil { // the same name, spelled otherwise
		t.Error(err)
	}
	mustAppend(t, b, testReading("LAGOON", "nitrate", testTime(0, 0), "4", 4))
	if rs := allReadings(t, b); len(rs) != 1 || rs[0].Tank != "Pool" {
		t.Errorf("noted under an old name: %+v", rs)
	}
}

func TestMergeTanks(t *testing.T) {
	b := namedBook(t)
	old := string(exportJSONL(t, b, ExportOptions{}))
	mustAppend(t, b, Tank{Name: "Fore reef", VolumeL: 400, About: "x"},
		testReading("Fore reef", "nitrate", testTime(4, 0), "5", 5),
		Stock{Tank: "Fore reef", Name: "floss roll", Unit: "m", PerDay: 0.5},
		Chore{Tank: "Fore reef", Name: "glass", EveryDays: 3})
	rows := ownRows(t, b)
	apart := copyOf(t, b)
	one, err := b.MergeTanks("Fore reef", "forereef", testTime(2, 0))
	if err != nil || one.Name != "forereef" || one.VolumeL != 400 {
		t.Fatalf("%+v, %v", one, err)
	}
	mustBeSound(t, b.Path())
	now := heldLines(t, b)
	if strings.Contains(now, `"tank":"Fore reef"`) || !strings.Contains(now, `"unit":"m","per_day":0.5}`) ||
		strings.Count(now, `"kind":"reading"`) != strings.Count(old, `"kind":"reading"`)+1 {
		t.Errorf("after the merge:\n%s", now)
	}
	if done := importCSV(t, b, rows, append(Standard(), oneOfEach()[2].(Parameter))); done.Added != 0 ||
		len(done.Tanks) != 0 {
		t.Errorf("rows of before added %+v", done)
	}
	// A copy in which they are two becomes the same.
	if err := apart.SaveDraft(Draft{Tank: "forereef", Fields: map[string]DraftField{"nitrate": {Text: "4"}}},
		Draft{Tank: "forereef"}); err != nil {
		t.Fatal(err)
	}
	into := copyOf(t, apart)
	mustMerge(t, into, b)
	mustMerge(t, b, apart)
	if x, y := exportJSONL(t, b, ExportOptions{}), exportJSONL(t, into, ExportOptions{}); !bytes.Equal(x, y) {
		t.Errorf("merged one way:\n%s\nthe other way:\n%s", x, y)
	}
	if _, err := b.MergeTanks("fore reef", "Forereef", testTime(3, 0)); err == nil ||
		!strings.Contains(err.Error(), "names of one tank already") {
		t.Errorf("again: %v", err)
	}
}

// What is typed for two tanks at once cannot be one test day: nothing of it is thrown away.
func TestMergeTanksKeepsDrafts(t *testing.T) {
	b := namedBook(t)
	if err := b.SaveDraft(Draft{}, Draft{Tank: "lagoon",
		Fields: map[string]DraftField{"nitrate": {Text: "5"}}}); err != nil {
		t.Fatal(err)
	}
	before := exportJSONL(t, b, ExportOptions{})
	if _, err := b.MergeTanks("lagoon", "forereef", testTime(2, 0)); err == nil ||
		!strings.Contains(err.Error(), "a test day is being typed") {
		t.Errorf("two drafts: %v", err)
	}
	if got := exportJSONL(t, b, ExportOptions{}); !bytes.Equal(got, before) {
		t.Errorf("a refused merge changed the book:\n%s", got)
	}
}

// A name that differs only in capital and small letters is the same tank wherever it comes from; two tanks that an old
// book has in two spellings stay two.
func TestTankNamesWithoutCase(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "Äußeres Riff"}, testReading("Äußeres Riff", "nitrate", testTime(0, 0), "4", 4))
	rows := exportCSV(t, b, ExportOptions{})
	if done := importCSV(t, b, bytes.ReplaceAll(rows, []byte("Äußeres Riff"), []byte("äuẞERES riff")),
		Standard()); done.Added != 0 || len(done.Tanks) != 0 {
		t.Errorf("the same rows in other letters added %+v", done)
	}
	if done := mustImport(t, b, Tank{Name: "äußeres riff", VolumeL: 90}); done.Added != 1 {
		t.Errorf("a line about the tank: %+v", done)
	}
	mustView(t, b, func(v *View) error {
		tanks, err := v.Tanks()
		if len(tanks) != 1 || tanks[0].Name != "Äußeres Riff" || tanks[0].VolumeL != 90 {
			t.Errorf("tanks: %+v", tanks)
		}
		return err
	})
	two := testBook(t)
	asLayout1(t, two, Tank{Name: "Lagoon"}, Tank{Name: "lagoon"}) // as a program that told them apart left it
	mustAppend(t, two, Tank{Name: "Lagoon", VolumeL: 1}, Tank{Name: "lagoon", VolumeL: 2})
	mustView(t, two, func(v *View) error {
		for name, litres := range map[string]float64{"Lagoon": 1, "lagoon": 2} {
			if tank, err := v.Tank(name); err != nil || tank.Name != name || tank.VolumeL != litres {
				t.Errorf("%s: %+v, %v", name, tank, err)
			}
		}
		return nil
	})
	var all []Record
	mustView(t, two, func(v *View) error {
		return v.EachRecord(func(r Record) error { all = append(all, r); return nil })
	})
	other := testBook(t)
	mustImport(t, other, all...)
	mustView(t, other, func(v *View) error {
		tanks, err := v.Tanks()
		if len(tanks) != 2 {
			t.Errorf("an export of two tanks is read as %+v", tanks)
		}
		return err
	})
	if _, err := two.MergeTanks("Lagoon", "lagoon", testTime(0, 0)); err != nil {
		t.Error(err)
	}
	if _, err := two.RenameTank("lagoon", "Lagoon", testTime(0, 0)); err != nil && !errors.Is(err, ErrExists) {
		t.Error(err)
	}
}

// A tank that is retired is out of use in the answers of the same second.
func TestRetiredAtOnce(t *testing.T) {
	at := time.Date(2026, 11, 30, 18, 40, 7, 700_000_000, time.UTC)
	tank := Tank{Name: "lagoon"}
	if tank.SetUse(false, at); tank.InUse(at.Truncate(time.Second)) {
		t.Error("still in use in the second in which it was retired")
	}
	if tank.SetUse(true, at); !tank.InUse(at.Truncate(time.Second)) {
		t.Error("not back in the second in which it was brought back")
	}
}
