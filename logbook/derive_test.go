package logbook

import (
	"bytes"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// A tank that is told of without a moment, twice and in two ways, stays a tank, whichever line came first.
func TestTankToldTwiceStays(t *testing.T) {
	reading := testReading("reef", "nitrate", testTime(0, 0), "4", 4)
	named := Change{Of: Tank{Name: "reef"}, Who: "someone"}
	later := Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: 1}
	strip := Method{Name: "strip", Parameter: "nitrate", Unit: "mg/L", Step: 1}
	for _, order := range [][][]Record{{{reading}, {named, later}, {strip}}, {{named, later}, {reading}, {strip}}} {
		b := testBook(t)
		for _, recs := range order {
			mustImport(t, b, recs...)
		}
		if err := b.View(func(v *View) error {
			_, err := v.Tank("reef")
			return err
		}); err != nil {
			t.Errorf("%v: %v", order, err)
		}
	}
}

// Which tank an entry is of does not depend on what came first: the entry, or the tank that once had its name or has it
// in other letters.
func TestTankOfAnEntryInAnyOrder(t *testing.T) {
	reading := func(tank, text string, value float64) Record {
		return testReading(tank, "nitrate", testTime(0, 0), text, value)
	}
	noted := Change{Of: Tank{Name: "reef", VolumeL: 300}, Noted: testTime(0, 0)}
	for _, recs := range [][]Record{
		{reading("sump", "4", 4), Tank{Name: "big", Was: []string{"sump"}}},
		{reading("reef", "4", 4), reading("Reef", "5", 5)},
		{reading("Reef", "4", 4), Tank{Name: "reef", VolumeL: 300}},
		{reading("Reef", "4", 4), noted},
		{reading("Reef", "4", 4), Tank{Name: "big", Was: []string{"reef"}}},
	} {
		for i, rec := range recs {
			if e, is := rec.(Reading); is {
				e.ID = deriveID(e.Time.UnixMilli(), appendContent(nil, e), 0)
				recs[i] = e
			}
		}
		var first []byte
		for _, batches := range [][][]Record{{recs[:1], recs[1:]}, {recs[1:], recs[:1]}, {recs}, {{recs[1], recs[0]}}} {
			b := testBook(t)
			for _, batch := range batches {
				mustImport(t, b, batch...)
			}
			out := exportJSONL(t, b, ExportOptions{})
			if first == nil {
				first = out
			}
			if !bytes.Equal(out, first) {
				t.Errorf("%v gives\n%s\nand in another order\n%s", batches, out, first)
			}
		}
	}
}

// Of two lines of one definition that tell no moment the last one counts, field by field.
func TestLastLineOfADefinitionCounts(t *testing.T) {
	card := func(step float64) Record {
		return Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: step}
	}
	for _, v := range [][2]float64{{300, 280}, {280, 300}, {1, 2}, {2, 1}} {
		b := testBook(t)
		mustImport(t, b, Tank{Name: "reef", VolumeL: v[0], Timezone: "Pacific/Auckland"}, card(v[0]),
			Tank{Name: "reef", VolumeL: v[1]},
			card(v[1]))
		mustView(t, b, func(w *View) error {
			tank, err := w.Tank("reef")
			if err != nil || tank.VolumeL != v[1] || tank.Timezone == "" {
				t.Errorf("%v: the tank is %+v, %v", v, tank, err)
			}
			methods, err := w.Methods()
			if err != nil || len(methods) != 1 || methods[0].Step != v[1] {
				t.Errorf("%v: the methods are %+v, %v", v, methods, err)
			}
			return nil
		})
	}
}

// What no moment could follow is refused.
func TestLastMomentIsRefused(t *testing.T) {
	c := Change{Of: Tank{Name: "reef"}, Noted: time.Date(2199, 12, 31, 23, 59, 59, 0, time.UTC)}
	if err := Validate(c); err == nil {
		t.Error("a change at the end of time is taken")
	}
}

// defined are all definitions of a book.
func defined(t *testing.T, b *Book) (all []Record) {
	mustView(t, b, func(v *View) error {
		for _, def := range definitions() {
			all = append(all, v.definitionsOf(def.Kind(), "")...)
		}
		return nil
	})
	return all
}

// What a book holds is the same, whether its changes were noted one upon the other or are taken in all at once.
func TestDerivedStepByStepAndAtOnce(t *testing.T) {
	recs := []Record{Tank{Name: "lagoon", VolumeL: 450}, Tank{Name: "lagoon", About: "corals"}, Tank{Name: "pool"},
		chromium(), Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: 50},
		Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: 1},
		Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Step: 2},
		Chore{Tank: "lagoon", Name: "media", EveryDays: 7}, Chore{Tank: "lagoon", Name: "media", EveryDays: 9},
		Stock{Tank: "lagoon", Name: "ash", Unit: "mL", Supplement: "soda ash", Shared: []string{"reef"}},
		Tank{Name: "Lagoon", Timezone: "UTC"},
		Tank{Name: "lagoon", Bands: map[string]Band{"nitrate": {Low: pointer(3), Unit: "mg/L"}}}}
	for seed := range uint64(12) {
		random := rand.New(rand.NewPCG(seed, 1))
		a, b := testBook(t), testBook(t)
		mustAppend(t, a, Tank{Name: "lagoon"}, Tank{Name: "reef"})
		for range 3 {
			random.Shuffle(len(recs), func(i, j int) { recs[i], recs[j] = recs[j], recs[i] })
			mustAppend(t, a, recs...)
			if random.IntN(2) == 0 {
				_, _ = a.RenameTank("reef", []string{"reef", "front", "back"}[random.IntN(3)], testTime(0, random.IntN(9)))
			} else if s := a.Saved(); s.Number > 0 {
				_, err := a.Undo(s.Number, Strike{Time: testTime(1, 0)})
				if err != nil {
					t.Fatal(err)
				}
			}
		}
		mustImport(t, b, allRecords(t, a)...)
		diff(t, "what the book holds", defined(t, a), defined(t, b))
	}
}

// Where two members each set a part of what makes no sense together, every book leaves out the same, until it does.
func TestDefinitionsThatMakeNoSenseTogether(t *testing.T) {
	noted := func(day int, def Record) Change { return Change{Of: def, Noted: testTime(day, 0)} }
	first, second := chromium(), chromium()
	second.Name, second.Generic.Parameter = "cerium", "cerium"
	inGrams := second
	inGrams.Unit, inGrams.Code = "dKH", ""
	banded := Tank{Name: "lagoon", Bands: map[string]Band{"cerium": {Low: pointer(3), Unit: "ug/L"},
		"nitrate": {Low: pointer(3), Unit: "mg/L"}}}
	late := second
	late.Code = "NO3"
	for _, c := range []struct {
		what string
		recs []Record
		want string // parameters with their codes and units, and bands
	}{
		{"a code that another has", []Record{noted(0, first), noted(1, second)}, "cerium//ug/L chromium/cr/ug/L"},
		{"a code that another had first", []Record{noted(1, first), noted(0, second)}, "cerium/cr/ug/L chromium//ug/L"},
		{"a code of a standard parameter", []Record{noted(0, late)}, "cerium//ug/L"},
		{"no unit", []Record{noted(0, Parameter{Name: "barium", Code: "cr"}), noted(1, first)}, "chromium/cr/ug/L"},
		{"a unit that has gone", []Record{noted(0, second), noted(1, banded), noted(2, inGrams)},
			"cerium/cr/dKH nitrate:mg/L"},
		{"a unit that came back", []Record{noted(0, inGrams), noted(1, banded), noted(2, second)},
			"cerium/cr/ug/L cerium:ug/L nitrate:mg/L"},
	} {
		for turn := range len(c.recs) {
			b := testBook(t)
			for i := range c.recs {
				mustImport(t, b, c.recs[(i+turn)%len(c.recs)])
			}
			var got []string
			for _, def := range defined(t, b) {
				switch def := def.(type) {
				case Parameter:
					got = append(got, def.Name+"/"+def.Code+"/"+def.Unit)
				case Tank:
					for _, name := range sortedKeys(def.Bands) {
						got = append(got, name+":"+def.Bands[name].Unit)
					}
				}
			}
			diff(t, c.what, strings.Join(got, " "), c.want)
			if _, err := b.Append(Tank{Name: "pool"}); err != nil {
				t.Error(err)
			}
		}
	}
}

// A band that is left out, since its unit has gone for a while, is not taken away by who changes something else.
func TestABandLeftOutIsNotTakenAway(t *testing.T) {
	cerium := chromium()
	cerium.Name, cerium.Code, cerium.Generic.Parameter = "cerium", "", "cerium"
	inAnother := cerium
	inAnother.Unit = "dKH"
	noted := func(day int, def Record) Change { return Change{Of: def, Noted: testTime(day, 0)} }
	b := testBook(t)
	b.NotedBy(func() time.Time { return testTime(3, 0) }, func() string { return "" })
	mustImport(t, b, noted(0, cerium), noted(1, Tank{Name: "lagoon",
		Bands: map[string]Band{"cerium": {Low: pointer(3), Unit: "ug/L"}}}), noted(2, inAnother))
	tank, err := Seen(b, func(v *View) (Tank, error) { return v.Tank("lagoon") })
	if err != nil || len(tank.Bands) != 0 {
		t.Fatalf("%v %v", tank, err)
	}
	tank.VolumeL = 410
	mustAppend(t, b, tank)
	mustImport(t, b, noted(4, cerium))
	if tank, err = Seen(b, func(v *View) (Tank, error) { return v.Tank("lagoon") }); err != nil ||
		tank.VolumeL != 410 || len(tank.Bands) != 1 {
		t.Errorf("the band did not come back: %v %v", tank, err)
	}
}
