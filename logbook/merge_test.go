package logbook

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
	"pgregory.net/rapid"
)

func mustMerge(t testing.TB, into, from *Book) Merged {
	t.Helper()
	done, err := into.Merge(from.Path())
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// copyOf is a copy of a book.
func copyOf(t testing.TB, b *Book) *Book {
	t.Helper()
	path := filepath.Join(t.TempDir(), "copy.book")
	if err := b.Backup(path); err != nil {
		t.Fatal(err)
	}
	return newBook(path)
}

// deed is something that a keeper does to a book. Few values are drawn, so that books often say the same, nearly the
// same, or contradict each other.
func deed(t *rapid.T, b *Book) {
	tank := rapid.SampledFrom([]string{"forereef", "lagoon"}).Draw(t, "tank")
	when := rapid.SampledFrom(moments()).Draw(t, "time")
	few := func(what string, n int) float64 { return float64(rapid.IntRange(1, n).Draw(t, what)) }
	reading := func() Reading {
		text := rapid.SampledFrom([]string{"4", "4.0", "5"}).Draw(t, "value")
		r, err := ParseReading(Standard()[3], text, "")
		if err != nil {
			t.Fatal(err)
		}
		r.Time, r.Tank, r.Method = when, tank, rapid.SampledFrom([]string{"", "card"}).Draw(t, "method")
		r.Who = rapid.SampledFrom([]string{"", "", "ann"}).Draw(t, "who")
		return r
	}
	var rec Record
	switch what := rapid.IntRange(0, 21).Draw(t, "deed"); what {
	case 0, 1, 2, 3:
		rec = reading()
	case 4:
		r := reading() // one that came from elsewhere with an ID of its own
		r.ID = NewID(r.Time, fmt.Sprint(r.Tank, r.Text, r.Method, zoneOf(r.Time)), 7)
		rec = r
	case 5, 6, 7, 8:
		strikeOne(t, b, when, reading)
		return
	case 9:
		rec = Dose{Time: when, Tank: tank, Parameter: "nitrate", Amount: few("amount", 2), Unit: "mg/L"}
	case 10:
		rec = Dosing{Time: when, Tank: tank, Parameter: "alkalinity", PerDay: few("per day", 2), Unit: "dKH",
			Supplement: "soda ash"}
	case 11:
		rec = WaterChange{Time: when, Tank: tank, Fraction: few("tenths", 2) / 10}
	case 12:
		rec = Event{Time: when, Tank: tank, Text: "polyps", Tags: []string{"coral"}}
	case 13:
		rec = ChoreDone{Time: when, Tank: tank, Chore: "media"}
	case 14:
		rec = Acknowledgement{Time: when, Tank: tank, Parameter: "nitrate", Rule: "band"}
	case 15:
		rec = Refill{Time: when, Tank: tank, Stock: "reagent", Amount: few("tests", 2)}
	case 16:
		rec = Tank{Name: tank, VolumeL: few("volume", 2) - 1,
			About: rapid.SampledFrom([]string{"", "corals", "fish"}).Draw(t, "about"),
			Order: rapid.SampledFrom([]Order{nil, {"nitrate"}, {"nitrate", "calcium"}, {"calcium", "nitrate"}}).Draw(t, "order"),
			Bands: map[string]Band{rapid.SampledFrom([]string{"nitrate", "phosphate"}).Draw(t,
				"banded"): {Low: pointer(few("low", 2)), Unit: "mg/L"}}}
	case 18, 19:
		_, err := b.RenameTank(tank, rapid.SampledFrom([]string{"forereef", "lagoon", "Lagoon", "pool"}).Draw(t, "name"),
			when)
		if err != nil && !errors.Is(err, ErrExists) && !strings.Contains(err.Error(), "is called") {
			t.Fatal(err)
		}
		return
	case 20:
		if _, err := b.MergeTanks(tank, "lagoon", when); err != nil && !strings.Contains(err.Error(), "one tank already") {
			t.Fatal(err)
		}
		return
	case 21:
		rec = Tank{Name: tank, Retired: when, Returned: rapid.SampledFrom(append(moments(), time.Time{})).Draw(t, "back")}
	case 17:
		rec = rapid.SampledFrom([]Record{
			chromium(), Chore{Tank: tank, Name: "media", EveryDays: few("days", 2)},
			Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: few("grams", 2)},
			Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: few("step", 2)},
			Stock{Tank: tank, Name: "reagent", Unit: "tests", PerDay: few("a day", 2)},
		}).Draw(t, "definition")
	}
	if _, err := b.Append(rec); err != nil && !errors.Is(err, ErrExists) {
		t.Fatal(err)
	}
}

// strikeOne strikes one reading of the book, if it has any, and perhaps puts another in its place.
func strikeOne(t *rapid.T, b *Book, when time.Time, successor func() Reading) {
	var all []Reading
	err := b.View(func(v *View) error {
		return v.EachReading(func(r Reading) error {
			all = append(all, r)
			return nil
		})
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) == 0 {
		return
	}
	s := Strike{Target: rapid.SampledFrom(all).Draw(t, "struck").ID, Time: when,
		Who: rapid.SampledFrom([]string{"", "bench"}).Draw(t, "who"), Why: "slip"}
	var next Entry
	if rapid.Bool().Draw(t, "corrected") {
		next = successor()
	}
	if _, err := b.Strike(s, next); err != nil {
		t.Fatal(err)
	}
}

// TestMergeIsOneBook lets copies of a book go apart and merges them in all orders. Every order gives the same export to
// the byte; a second merge adds nothing; nothing that was live or struck in any of them is lost.
func TestMergeIsOneBook(t *testing.T) {
	const histories = 16 // each costs some hundred commits
	defined, struckTwice := 0, 0
	for seed := range histories {
		t.Run(fmt.Sprint(seed), func(tb *testing.T) {
			rapid.Custom(func(t *rapid.T) int {
				d, s := mergesToOne(tb, t)
				defined, struckTwice = defined+d, struckTwice+s
				return 0
			}).Example(seed)
		})
	}
	if defined == 0 || struckTwice == 0 {
		t.Errorf("%d changes of definitions were taken in, %d strikes differed: the test is void", defined, struckTwice)
	}
}

// FuzzMerge is TestMergeIsOneBook for histories that the fuzzer makes.
func FuzzMerge(f *testing.F) {
	f.Add([]byte("two books of one tank, noted in by different hands"))
	f.Fuzz(func(tb *testing.T, data []byte) {
		rapid.MakeFuzz(func(t *rapid.T) { mergesToOne(tb, t) })(tb, data)
	})
}

// mergesToOne draws three books that were one, and merges them in every order.
func mergesToOne(tb *testing.T, t *rapid.T) (defined, struckTwice int) {
	first := testBook(tb)
	if _, err := first.Append(Tank{Name: "forereef"}, Tank{Name: "lagoon"}); err != nil {
		t.Fatal(err)
	}
	for range rapid.IntRange(0, 8).Draw(t, "before") {
		deed(t, first)
	}
	a, b, c := first, copyOf(tb, first), copyOf(tb, first)
	for _, book := range []*Book{a, b, c} {
		wrongClock(t, book)
		for range rapid.IntRange(0, 10).Draw(t, "after") {
			deed(t, book)
		}
	}
	merged := func(books ...*Book) (*Book, []byte) {
		one := copyOf(tb, books[0])
		for _, other := range books[1:] {
			struckTwice += len(struckOtherwise(tb, one, other))
			for kind, n := range mustMerge(tb, one, other).ByKind {
				if kindPlace(kind) > 0 {
					defined += n
				}
			}
		}
		return one, exportJSONL(tb, one, ExportOptions{})
	}
	ab, want := merged(a, b)
	if _, got := merged(b, a); !bytes.Equal(got, want) {
		tb.Fatalf("merged one way:\n%s\nthe other way:\n%s", want, got)
	}
	if done := mustMerge(tb, ab, b); done.Added != 0 {
		tb.Errorf("the second merge added %+v", done)
	}
	bc, _ := merged(b, c)
	_, want = merged(ab, c)
	for _, order := range [][]*Book{{a, bc}, {bc, a}, {c, b, a}, {a, c, b}} {
		if _, got := merged(order...); !bytes.Equal(got, want) {
			tb.Fatalf("another order gave\n%s\nwant\n%s", got, want)
		}
	}
	nothingLost(tb, []*Book{a, b, c}, want)
	if got := exportJSONL(tb, linesInAnyOrder(t, tb, a, b, c), ExportOptions{}); !bytes.Equal(got, want) {
		tb.Fatalf("the lines of all in another order gave\n%s\nwant\n%s", got, want)
	}
	return defined, struckTwice
}

// wrongClock gives a book a clock that is wrong by up to days and goes on at any pace, and somebody who notes.
func wrongClock(t *rapid.T, b *Book) {
	at := testTime(0, 0).Add(time.Duration(rapid.IntRange(-5*24, 5*24).Draw(t, "hours wrong")) * time.Hour)
	who := rapid.SampledFrom([]string{"", "ann", "bench"}).Draw(t, "keeper")
	b.NotedBy(func() time.Time {
		at = at.Add(time.Duration(rapid.IntRange(0, 90).Draw(t, "minutes")) * time.Minute)
		return at
	}, func() string { return who })
}

// struckOtherwise are the lines that two books struck in different ways.
func struckOtherwise(t testing.TB, a, b *Book) (ids []ID) {
	t.Helper()
	ours := map[ID]string{}
	for _, rec := range allRecords(t, a) {
		if s, is := rec.(Strike); is {
			ours[s.Target] = lineOf(s)
		}
	}
	for _, rec := range allRecords(t, b) {
		if s, is := rec.(Strike); is && ours[s.Target] != "" && ours[s.Target] != lineOf(s) {
			ids = append(ids, s.Target)
		}
	}
	return ids
}

// linesInAnyOrder fills an empty book with the lines of others, cut into batches anywhere, some of them twice; only
// strikes come after what they strike.
func linesInAnyOrder(t *rapid.T, tb testing.TB, books ...*Book) *Book {
	var lines, strikes []Record
	for _, b := range books {
		for _, rec := range allRecords(tb, b) {
			if rec.Kind() == KindStrike {
				strikes = append(strikes, rec)
			} else {
				lines = append(lines, rec)
			}
		}
	}
	filled := testBook(tb)
	for _, recs := range [][]Record{rapid.Permutation(lines).Draw(t, "order"),
		rapid.Permutation(strikes).Draw(t, "strikes")} {
		for len(recs) > 0 {
			n := rapid.IntRange(1, len(recs)).Draw(t, "batch")
			mustImport(tb, filled, recs[:n]...)
			if recs = recs[n:]; rapid.IntRange(0, 3).Draw(t, "again") == 0 {
				mustImport(tb, filled, lines[:min(n, len(lines))]...)
			}
		}
	}
	return filled
}

var tankOfLine = regexp.MustCompile(`"tank":"\w+",`)

// nothingLost looks for every entry and every struck line of the books in an export of the merged one.
func nothingLost(t testing.TB, books []*Book, merged []byte) {
	t.Helper()
	ofAny := func(line string) string { return tankOfLine.ReplaceAllString(line, "") } // which may have another name
	lines := strings.Split(ofAny(string(merged)), "\n")
	for _, b := range books {
		for _, rec := range allRecords(t, b) {
			switch r := rec.(type) {
			case Entry:
				if !slices.Contains(lines, ofAny(lineOf(r))) {
					t.Errorf("lost: %s", lineOf(r))
				}
			case Strike:
				still := func(line string) bool {
					return strings.HasPrefix(line, `{"kind":"strike"`) && strings.Contains(line, `"id":"`+r.Target.String()+`"`)
				}
				if !slices.ContainsFunc(lines, still) {
					t.Errorf("no longer struck: %s", lineOf(r))
				}
			}
		}
	}
}

func TestMergeWeighsStrikes(t *testing.T) {
	a := testBook(t)
	ids := mustAppend(t, a, Tank{Name: "lagoon"}, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		testReading("lagoon", "nitrate", testTime(1, 0), "5", 5))
	b := copyOf(t, a)
	mustAppend(t, a, Strike{Target: ids[1], Time: testTime(2, 0), Who: "anyone", Why: "typed wrong"},
		Strike{Target: ids[2], Time: testTime(3, 0), Why: "old reagent"})
	if _, err := b.Strike(Strike{Target: ids[1], Time: testTime(4, 0), Who: "bench", Why: "decimal point"},
		testReading("lagoon", "nitrate", testTime(0, 0), "0.4", 0.4)); err != nil {
		t.Fatal(err)
	}
	tried, err := a.TryMerge(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	if n := len(allReadings(t, a)); n != 0 {
		t.Errorf("trying left %d readings", n)
	}
	done := mustMerge(t, a, b)
	diff(t, "tried and done", tried, done)
	if done.ByKind[KindStrike] != 1 {
		t.Errorf("two strikes of one line: %+v", done)
	}
	mustView(t, a, func(v *View) error {
		struck, err := v.Struck("")
		if err != nil || len(struck) != 2 || struck[0].Strike.Why != "decimal point" || struck[0].Strike.Successor.IsZero() ||
			struck[1].Strike.Why != "old reagent" {
			t.Errorf("struck: %+v, %v", struck, err)
		}
		return nil
	})
	if live := allReadings(t, a); len(live) != 1 || live[0].Text != "0.4" {
		t.Errorf("live: %+v", live)
	}
}

// Two books merged into each other at the same time wait for one another, and do not block each other.
func TestMergeBothWaysAtOnce(t *testing.T) {
	var books [2]*Book
	for i := range books {
		books[i] = testBook(t)
		mustAppend(t, books[i], Tank{Name: "lagoon"})
	}
	for round := range 5 {
		for i, b := range books {
			var recs []Record
			for j := range 200 {
				recs = append(recs, testReading("lagoon", "nitrate", testTime(round, 2*j+i), "4", 4))
			}
			mustAppend(t, b, recs...)
		}
		failed := make(chan error)
		for i, b := range books {
			go func() {
				_, err := b.Merge(books[1-i].Path())
				failed <- err
			}()
		}
		for range books {
			if err := <-failed; err != nil {
				t.Errorf("round %d: %v", round, err)
			}
		}
	}
	for i, b := range books {
		mustMerge(t, b, books[1-i])
		if n := len(allReadings(t, b)); n != 2*5*200 {
			t.Errorf("book %d has %d readings", i, n)
		}
	}
}

// A test day that is being typed stays where it is typed.
func TestMergeLeavesDraftsAlone(t *testing.T) {
	a := testBook(t)
	mustAppend(t, a, Tank{Name: "lagoon"})
	b := copyOf(t, a)
	ours := Draft{Tank: "lagoon", Started: testTime(0, 0), Fields: map[string]DraftField{"nitrate": {Text: "4"}}}
	theirs := Draft{Tank: "lagoon", Started: testTime(1, 0), Fields: map[string]DraftField{"calcium": {Text: "400"}}}
	for book, d := range map[*Book]Draft{a: ours, b: theirs} {
		if err := book.SaveDraft(Draft{}, d); err != nil {
			t.Fatal(err)
		}
	}
	mustMerge(t, a, b)
	for book, want := range map[*Book]Draft{a: ours, b: theirs} {
		mustView(t, book, func(v *View) error {
			d, found, err := v.Draft("lagoon")
			diff(t, "the draft", d, want)
			if !found {
				t.Error("the draft is gone")
			}
			return err
		})
	}
}

func TestMergeNamesTwins(t *testing.T) {
	a, b := testBook(t), testBook(t)
	mustAppend(t, a, Tank{Name: "lagoon"}, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		testReading("lagoon", "calcium", testTime(0, 0), "400", 400))
	mustAppend(t, b, Tank{Name: "lagoon"}, testReading("lagoon", "nitrate", testTime(0, 9), "4.0", 4),
		testReading("lagoon", "calcium", testTime(0, 9), "405", 405))
	done := mustMerge(t, a, b)
	if len(done.Twins) != 1 || done.Twins[0].Ours.Text != "4" || done.Twins[0].Theirs.Text != "4.0" {
		t.Errorf("twins: %+v", done.Twins)
	}
	if n := len(allReadings(t, a)); n != 4 {
		t.Errorf("%d readings: both lines of a twin are to be kept", n)
	}
	if again := mustMerge(t, a, b); len(again.Twins) != 0 {
		t.Errorf("named again: %+v", again.Twins)
	}
}

func TestMergeRefuses(t *testing.T) {
	fresh := func() *Book {
		b := testBook(t)
		mustAppend(t, b, Tank{Name: "lagoon"}, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4))
		return b
	}
	refused := func(what string, a *Book, other string, says ...string) error {
		t.Helper()
		before, _ := os.ReadFile(a.Path())
		theirs, _ := os.ReadFile(other)
		_, err := a.Merge(other)
		if err == nil {
			t.Fatalf("%s was merged", what)
		}
		for _, s := range append(says, other) {
			if !strings.Contains(err.Error(), s) {
				t.Errorf("%s: %v; want it to name %q", what, err, s)
			}
		}
		after, _ := os.ReadFile(a.Path())
		theirsAfter, _ := os.ReadFile(other)
		if !bytes.Equal(before, after) || !bytes.Equal(theirs, theirsAfter) {
			t.Errorf("%s: a book was changed", what)
		}
		return err
	}
	a := fresh()
	if err := refused("a missing book", a, filepath.Join(t.TempDir(), "none.book")); !errors.Is(err, ErrNotFound) {
		t.Errorf("missing: %v", err)
	}
	refused("itself", a, a.Path(), "itself")
	link := filepath.Join(t.TempDir(), "link.book")
	if err := os.Link(a.Path(), link); err == nil {
		refused("itself under another name", a, link, "itself")
	}
	text := filepath.Join(t.TempDir(), "text.book")
	if err := os.WriteFile(text, []byte("no book"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := refused("a text", a, text); !errors.Is(err, ErrNotBook) {
		t.Errorf("a text: %v", err)
	}

	damaged := fresh()
	bytesOf, err := os.ReadFile(damaged.Path())
	if err != nil {
		t.Fatal(err)
	}
	at := bytes.Index(bytesOf, []byte("lagoon"))
	bytesOf[at] ^= 1
	broken := filepath.Join(t.TempDir(), "broken.book")
	if err := os.WriteFile(broken, bytesOf, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := refused("a damaged book", a, broken); !errors.Is(err, ErrDamaged) {
		t.Errorf("damaged: %v", err)
	}

	for number, want := range map[int]error{schema + 1: ErrNewer, schema - 1: errOlder} {
		other := fresh()
		path := copyOf(t, other).Path()
		db, err := bolt.Open(path, 0o600, nil)
		if err != nil {
			t.Fatal(err)
		}
		err = db.Update(func(tx *bolt.Tx) error {
			putSchema(tx, number)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		if err := refused(fmt.Sprint("layout ", number), a, path, "hint:"); !errors.Is(err, want) {
			t.Errorf("layout %d: %v", number, err)
		}
	}

	units := fresh()
	iron := Parameter{Name: "chromium", Unit: "mg/L",
		Generic: Method{Name: "any", Parameter: "chromium", Unit: "mg/L", SD: 1}}
	mustAppend(t, a, chromium())
	mustAppend(t, units, iron)
	refused("another unit", a, units.Path(), "chromium", "ug/L", "mg/L")

	// One ID, two entries: an export was edited, ID and all, and read into another book. Both ways round, live and struck.
	edited := testReading("lagoon", "nitrate", testTime(0, 0), "40", 40)
	edited.ID = allReadings(t, a)[0].ID
	for _, when := range []time.Time{testTime(0, 0), testTime(0, 0).Add(time.Second)} {
		edited.Time = when
		other := testBook(t)
		mustAppend(t, other, Tank{Name: "lagoon"}, edited)
		refused("an edited line", fresh(), other.Path(), `"value":"4"`, `"value":"40"`, edited.ID.String())
		mine := fresh()
		if _, err := other.Merge(mine.Path()); err == nil || !strings.Contains(err.Error(), `"value":"40"`) {
			t.Errorf("an edited line, the other way round: %v", err)
		}
		mustAppend(t, other, Strike{Target: edited.ID, Time: testTime(1, 0), Why: "x"})
		refused("an edited line that is struck", fresh(), other.Path(), edited.ID.String())
		if _, err := other.Merge(mine.Path()); err == nil {
			t.Error("an edited line that is struck here was merged")
		}
	}
}

// What another book says otherwise is told, with what was said before and who noted it; of what was noted at one moment
// it is told which stays.
func TestMergeTellsWhatHoldsOtherwise(t *testing.T) {
	tank := func(litres float64) Tank { return Tank{Name: "forereef", VolumeL: litres} }
	a, b := testBook(t), testBook(t)
	mustAppend(t, a, tank(450))
	mustAppend(t, b, tank(450))
	b.NotedBy(func() time.Time { return testTime(1, 0) }, func() string { return "ann" })
	mustAppend(t, b, Tank{Name: "forereef", VolumeL: 440, About: "corals"}, Tank{Name: "lagoon"})
	tried, err := a.TryMerge(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	done := mustMerge(t, a, b)
	diff(t, "tried and done", tried, done)
	if len(done.Otherwise) != 1 || len(done.Overruled) != 0 {
		t.Fatalf("told %+v and %+v", done.Otherwise, done.Overruled)
	}
	step := done.Otherwise[0]
	diff(t, "said", []any{step.Name(), step.Sections(), step.Was.(Tank).VolumeL, step.Is.(Tank).VolumeL, step.Who,
		step.Noted}, []any{"tank forereef", []string{"about", "volume_l"}, 450.0, 440.0, "ann", testTime(1, 0).UTC()})
	if again := mustMerge(t, a, b); len(again.Otherwise) != 0 {
		t.Errorf("told again: %+v", again.Otherwise)
	}

	// Of two books of before moments were kept one stays, whichever is merged into which.
	var otherwise, stays []Step
	for _, litres := range [][2]float64{{450, 460}, {460, 450}} {
		here, there := testBook(t), testBook(t)
		asLayout1(t, here, tank(litres[0]))
		asLayout1(t, there, tank(litres[1]))
		done := mustMerge(t, here, there)
		otherwise, stays = append(otherwise, done.Otherwise...), append(stays, done.Overruled...)
	}
	if len(otherwise) != 1 || len(stays) != 1 {
		t.Fatalf("of two volumes it is told %+v and %+v", otherwise, stays)
	}
	diff(t, "what stays", otherwise[0].Is.(Tank).VolumeL, stays[0].Is.(Tank).VolumeL)
	diff(t, "what does not", otherwise[0].Was.(Tank).VolumeL, stays[0].Was.(Tank).VolumeL)
}
