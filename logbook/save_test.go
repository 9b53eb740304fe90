package logbook

import (
	"bytes"
	"flag"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"
)

// standingLines are what stands in a book, without the IDs: what a person reads.
func standingLines(t testing.TB, b *Book) (lines []string) {
	t.Helper()
	mustView(t, b, func(v *View) error {
		return v.EachRecord(func(rec Record) error {
			e, is := rec.(Entry)
			if !is {
				return nil
			}
			if stands, last := v.standing(e.EntryID()); stands != nil && last == e.EntryID() {
				lines = append(lines, lineOf(withID(e, ID{})))
			}
			return nil
		})
	})
	slices.Sort(lines)
	return lines
}

func lastSave(t testing.TB, b *Book) (s Save) {
	t.Helper()
	mustView(t, b, func(v *View) error {
		all, err := v.Saves()
		if len(all) > 0 {
			s = all[0]
		}
		return err
	})
	return s
}

func mustUndo(t testing.TB, b *Book) Undone {
	t.Helper()
	u, err := b.Undo(lastSave(t, b).Number, Strike{Time: testTime(9, 0)})
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// TestUndoTakesBackOneSaveAfterAnother notes, corrects, strikes and brings back, and then goes all the way back.
func TestUndoTakesBackOneSaveAfterAnother(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"}, Tank{Name: "forereef"})
	var were [][]string
	did := func(_ any, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	before := func() { were = append(were, standingLines(t, b)) }
	s := Strike{Time: testTime(2, 0), Why: "slip"}

	before()
	ids := mustAppend(t, b, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		testReading("lagoon", "calcium", testTime(0, 0), "420", 420))
	before()
	did(b.Correct(s, Correction{ids[0], testReading("forereef", "nitrate", testTime(0, 0), "4", 4)},
		Correction{ids[1], testReading("forereef", "calcium", testTime(0, 0), "420", 420)}))
	before()
	moved := lastSave(t, b).Noted
	did(b.Correct(s, Correction{moved[0], nil}))
	before()
	did(b.BringBack(moved[0]))
	if got := len(standingLines(t, b)); got != 2 {
		t.Errorf("%d lines stand after one was brought back", got)
	}
	if _, err := b.BringBack(moved[0]); err == nil || !strings.Contains(err.Error(), "stands in its place") {
		t.Errorf("brought back twice: %v", err)
	}
	for _, was := range slices.Backward(were) {
		if u := mustUndo(t, b); u.Left != 0 {
			t.Errorf("left alone: %d lines", u.Left)
		}
		diff(t, "what stands", standingLines(t, b), was)
	}
	if s := lastSave(t, b); len(s.Noted) > 0 || !slices.Equal(s.Defined, []string{"tank lagoon", "tank forereef"}) {
		t.Errorf("the first save: %+v", s)
	}
	mustView(t, b, func(v *View) error {
		struck, err := v.Struck("")
		for _, x := range struck {
			if x.Strike.Why != "slip" && x.Strike.Why != "undone" {
				t.Errorf("struck because %q", x.Strike.Why)
			}
		}
		return err
	})
}

// TestUndoLeavesWhatOthersChanged takes back a save of which one line was corrected since.
func TestUndoLeavesWhatOthersChanged(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	ids := mustAppend(t, b, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		testReading("lagoon", "calcium", testTime(0, 0), "420", 420))
	noted := lastSave(t, b)
	if _, err := b.Strike(Strike{Target: ids[0], Time: testTime(1, 0)},
		testReading("lagoon", "nitrate", testTime(0, 0), "5", 5)); err != nil {
		t.Fatal(err)
	}
	u, err := b.Undo(noted.Number, Strike{Time: testTime(2, 0)})
	if err != nil || u.Left != 1 || len(u.Struck) != 1 || u.Struck[0].EntryID() != ids[1] {
		t.Errorf("taken back: %+v, %v", u, err)
	}
	if _, err := b.Undo(noted.Number, Strike{Time: testTime(2, 0)}); err == nil {
		t.Error("taken back twice")
	}
}

// TestSavesOfARun are what a sitting takes back: not what another one wrote.
func TestSavesOfARun(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	mustAppend(t, b, testReading("lagoon", "nitrate", testTime(0, 0), "4", 4))
	own := b.Saved().Number
	other := newBook(b.Path())
	if other.Saved().Number != 0 {
		t.Error("another sitting has saves already")
	}
	mustAppend(t, other, testReading("lagoon", "nitrate", testTime(1, 0), "5", 5))
	if b.Saved().Number != own || other.Saved().Number != lastSave(t, b).Number {
		t.Error("one sitting takes back what another wrote")
	}
	for i := range mostSaves + 5 {
		mustAppend(t, b, testReading("lagoon", "nitrate", testTime(2, i), "5", 5))
	}
	mustView(t, b, func(v *View) error {
		all, err := v.Saves()
		if len(all) != mostSaves || all[0].Number <= all[1].Number {
			t.Errorf("%d saves are kept, the last is %d", len(all), all[0].Number)
		}
		return err
	})
	if found, err := Verify(b.Path()); err != nil || len(found.Problems) > 0 {
		t.Errorf("a book with saves: %v, %v", found.Problems, err)
	}
	var many []Record
	for i := range mostOfASave + 1 {
		many = append(many, testReading("lagoon", "nitrate", testTime(3, 0).Add(time.Duration(i)*time.Second), "5", 5))
	}
	mustAppend(t, b, many...)
	if s := lastSave(t, b); !s.Many || len(s.Noted) > 0 {
		t.Errorf("a save of many lines keeps %d of them", len(s.Noted))
	}
}

// modelLine is a line of the model: what stands, by what it says.
type modelLine struct{ tank, day, value int }

// model is what should stand: how often each line does. past is what stood before each save that can be taken back.
type model struct {
	lines map[modelLine]int
	past  []map[modelLine]int
}

func (m *model) save(change func()) {
	was := map[modelLine]int{}
	for l, n := range m.lines {
		was[l] = n
	}
	m.past = append(m.past, was)
	if len(m.past) > mostSaves {
		m.past = m.past[1:]
	}
	change()
}

func (m *model) add(l modelLine, by int) {
	if m.lines[l] += by; m.lines[l] == 0 {
		delete(m.lines, l)
	}
}

// histories is how many of 400 steps TestBookAgainstAModel tries; 25 are ten thousand steps.
var histories = flag.Int("histories", 5, "how many histories of 400 steps TestBookAgainstAModel tries")

// TestBookAgainstAModel notes, corrects, moves, strikes, brings back, takes back and merges at random, beside a model
// that only knows what should stand. The book, an export read into an empty book, and the struck history have to agree
// with it.
func TestBookAgainstAModel(t *testing.T) {
	n := *histories
	if testing.Short() {
		n = 1
	}
	for seed := range uint64(n) {
		againstModel(t, rand.New(rand.NewPCG(4, seed)), 400)
	}
}

func againstModel(t *testing.T, rnd *rand.Rand, steps int) {
	b := testBook(t)
	tanks := []string{"forereef", "lagoon", "nano"}
	for _, name := range tanks {
		mustAppend(t, b, Tank{Name: name})
	}
	m := model{lines: map[modelLine]int{}}
	reading := func(l modelLine) Reading {
		return testReading(tanks[l.tank], "nitrate", testTime(l.day, 0), fmt.Sprint(l.value), float64(l.value))
	}
	lineOfReading := func(r Reading) modelLine {
		return modelLine{slices.Index(tanks, r.Tank), int(r.Time.Sub(testTime(0, 0)).Hours() / 24), int(r.Value)}
	}
	some := func() modelLine { return modelLine{rnd.IntN(len(tanks)), rnd.IntN(20), 1 + rnd.IntN(4)} }
	all := func() (rs []Reading) {
		mustView(t, b, func(v *View) error {
			return v.EachReading(func(r Reading) error { rs = append(rs, r); return nil })
		})
		return rs
	}
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	s := Strike{Time: testTime(25, 0), Why: "slip"}
	for step := range steps {
		rs := all()
		what := rnd.IntN(12)
		if len(rs) > 60 { // few lines say the same often enough
			what = 4
		}
		switch {
		case what < 4 || len(rs) == 0:
			var recs []Record
			m.save(func() {
				for range 1 + rnd.IntN(3) {
					l := some()
					m.add(l, 1)
					recs = append(recs, reading(l))
				}
			})
			mustAppend(t, b, recs...)
		case what < 9: // strike, correct or move a few
			rnd.Shuffle(len(rs), func(i, j int) { rs[i], rs[j] = rs[j], rs[i] })
			var cs []Correction
			m.save(func() {
				for _, r := range rs[:1+rnd.IntN(min(3, len(rs)))] {
					old := lineOfReading(r)
					m.add(old, -1)
					c := Correction{Old: r.ID}
					switch new := some(); what {
					case 4:
					case 5, 6:
						new.tank, new.day = old.tank, old.day
						m.add(new, 1)
						c.New = reading(new)
					default:
						new.value = old.value
						m.add(new, 1)
						c.New = Moved(r, tanks[new.tank], testTime(new.day, 0))
					}
					cs = append(cs, c)
				}
			})
			_, err := b.Correct(s, cs...)
			must(err)
		case what == 9:
			var struck []Struck
			mustView(t, b, func(v *View) (err error) {
				struck, err = v.Struck("")
				struck = slices.DeleteFunc(struck, func(x Struck) bool {
					stands, _ := v.standing(x.Entry.EntryID())
					return stands != nil
				})
				return err
			})
			if len(struck) > 0 {
				x := struck[rnd.IntN(len(struck))].Entry.(Reading)
				m.save(func() { m.add(lineOfReading(x), 1) })
				_, err := b.BringBack(x.ID)
				must(err)
			}
		case what == 10 && len(m.past) > 0:
			for range 1 + rnd.IntN(3) {
				if n := len(m.past) - 1; n >= 0 {
					m.lines, m.past = m.past[n], m.past[:n]
					if u := mustUndo(t, b); u.Left > 0 {
						t.Fatalf("step %d: %d lines were left alone", step, u.Left)
					}
				}
			}
		case what == 11 && step%5 == 0: // a copy goes its own way and comes back
			other := copyOf(t, b)
			var recs []Record
			m.save(func() {
				l := some()
				m.add(l, 1)
				recs = append(recs, reading(l))
			})
			mustAppend(t, other, recs...)
			mustMerge(t, b, other)
		}
		now := map[modelLine]int{}
		for _, r := range all() {
			now[lineOfReading(r)]++
		}
		if fmt.Sprint(now) != fmt.Sprint(m.lines) {
			t.Fatalf("step %d, %d: the book has\n%v\nand should have\n%v", step, what, now, m.lines)
		}
		if step%100 == 0 {
			sameAfterExport(t, b)
		}
	}
	for range m.past {
		mustUndo(t, b)
	}
	now := map[modelLine]int{}
	for _, r := range all() {
		now[lineOfReading(r)]++
	}
	if was := m.past[0]; fmt.Sprint(now) != fmt.Sprint(was) {
		t.Errorf("after everything was taken back\n%v\nand should have\n%v", now, was)
	}
	sameAfterExport(t, b)
}

// sameAfterExport reads an export into an empty book: what stands and what was struck, and why, is the same.
func sameAfterExport(t *testing.T, b *Book) {
	t.Helper()
	lines, fresh := exportJSONL(t, b, ExportOptions{}), testBook(t)
	importJSONL(t, fresh, lines)
	if !bytes.Equal(exportJSONL(t, fresh, ExportOptions{}), lines) {
		t.Error("an export read into an empty book is another book")
	}
	diff(t, "what stands after an export", standingLines(t, fresh), standingLines(t, b))
	if found, err := Verify(b.Path()); err != nil || len(found.Problems) > 0 {
		t.Errorf("verify: %v, %v", found.Problems, err)
	}
}
