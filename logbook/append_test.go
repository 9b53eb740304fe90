package logbook

import (
	"errors"
	"maps"
	"math"
	"strings"
	"sync"
	"testing"
	"time"
)

func pointer(f float64) *float64 { return &f }

// oneOfEach has a record of every kind with every field set, and awkward text.
func oneOfEach() []Record {
	when := testTime(0, 0)
	utc := time.Date(2026, 3, 2, 1, 2, 3, 456_000_789, time.UTC)
	awkward := "\x1b[31mred\u202e «é» \"q\", a\nb"
	return []Record{
		Tank{Name: "forereef", VolumeL: 450, Timezone: "Pacific/Auckland", Since: "spring", About: awkward,
			Order: Order{"nitrate", "iron"}, Bands: map[string]Band{
				"nitrate":    {Low: pointer(3), High: pointer(12), Floor: pointer(2), Unit: "mg/L", EveryDays: pointer(7)},
				"alkalinity": {Low: pointer(0)},
			}},
		Tank{Name: "lagoon", Retired: utc, Returned: utc.Add(time.Hour)},
		Parameter{Name: "iron", Code: "fe", Unit: "mg/L", Digits: 3, Min: 0, Max: 5, AskLow: 0.001, AskHigh: 1, EveryDays: 30,
			MaxRise: 0.1, MaxFall: 0.2, Wobble: 0.05, Nutrient: true,
			Generic: Method{Name: "any", Parameter: "iron", Unit: "mg/L", Step: 0.01, SD: 0.02, SDRel: 0.03, SDSteps: 0.4,
				Limit: 0.005}},
		Method{Name: "nitrate-card", Parameter: "nitrate", Unit: "mg/L", Marks: []float64{0, 1, 2, 5, 10}, SDSteps: 0.35},
		Method{Name: "photometer-p", Parameter: "phosphate", Unit: "ppb P", Step: 1, SD: 3, SDRel: 0.1, Limit: 1},
		Chore{Tank: "lagoon", Name: "reactor media", EveryDays: 42},
		Reading{Time: when, Tank: "forereef", Parameter: "phosphate", Text: "<1", Unit: "ppb P", Bound: Below, Value: 0.003,
			Method: "photometer-p", Note: awkward},
		Reading{Time: utc, Tank: "forereef", Parameter: "nitrate", Text: "4.20", Unit: "mg/L", Value: 4.2},
		Reading{Time: utc.In(time.FixedZone("", 0)), Tank: "forereef", Parameter: "nitrate", Text: ">50", Unit: "mg/L",
			Bound: Above, Value: 50},
		Reading{Time: utc.In(time.FixedZone("", -(3*3600 + 1800))), Tank: "lagoon", Parameter: "temperature", Text: "-0.5",
			Unit: "°C", Value: -0.5},
		Dosing{Time: when, Tank: "forereef", Parameter: "alkalinity", PerDay: 0.9, Unit: "dKH", Supplement: "soda ash",
			Note: "n"},
		Dose{Time: when, Tank: "forereef", Parameter: "nitrate", Amount: 1.5, Unit: "mg/L", Supplement: "sodium nitrate",
			Note: "n"},
		WaterChange{Time: when, Tank: "forereef", Fraction: 0.15,
			New: map[string]Amount{"alkalinity": {8.3, "dKH"}, "calcium": {420, "mg/L"}}, Note: "n"},
		Event{Time: when, Tank: "forereef", Tags: []string{"coral", "loss"}, Subject: "cup coral 3", Text: awkward},
		ChoreDone{Time: when, Tank: "lagoon", Chore: "reactor media", Note: "n"},
		Acknowledgement{Time: when, Tank: "forereef", Parameter: "nitrate", Rule: "floor", Until: utc, Note: "n"},
		Acknowledgement{Time: when, Tank: "forereef", Rule: "floor"},
		Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: 60, Purity: 0.99},
		Supplement{Name: "two in one", Label: []LabelRise{{"calcium", 7, "mg/L"}, {"alkalinity", 1, "dKH"}}, LabelML: 10,
			LabelL: 100},
		Supplement{Name: "limewater", Limewater: true},
		Stock{Tank: "lagoon", Name: "soda ash reservoir", Unit: "mL", Supplement: "soda ash"},
		Stock{Tank: "forereef", Name: "phosphate reagent", Unit: "tests", Parameter: "phosphate", Method: "photometer-p"},
		Stock{Tank: "forereef", Name: "floss roll", Unit: "m", PerDay: 0.25},
		Acknowledgement{Time: when, Tank: "lagoon", Subject: "soda ash reservoir", Rule: "stock_low"},
		Refill{Time: when, Tank: "lagoon", Stock: "soda ash reservoir", Amount: 2000, Expires: "2026-10-31", Note: awkward},
	}
}

func TestEveryKindComesBackAsItWentIn(t *testing.T) {
	b := testBook(t)
	recs := oneOfEach()
	ids := mustAppend(t, b, recs...)
	var want []Record
	for i, rec := range recs {
		if e, ok := rec.(Entry); ok {
			if ids[i].IsZero() {
				t.Errorf("%v got no ID", rec)
			}
			rec = withID(e, ids[i])
		} else if !ids[i].IsZero() {
			t.Errorf("definition %v got ID %s", rec, ids[i])
		}
		want = append(want, rec)
	}
	// The order of an export: nitrate before phosphate, and Z before +00:00 only if its ID is smaller.
	got := holding(t, b)
	if len(got) != len(want) {
		t.Fatalf("%d records, want %d", len(got), len(want))
	}
	left := append([]Record{}, want...)
	for _, rec := range got {
		found := false
		for i, w := range left {
			if sameRecord(rec, w) {
				left = append(left[:i], left[i+1:]...)
				found = true
				break
			}
		}
		if !found {
			t.Errorf("%#v was not written", rec)
		}
	}
	mustView(t, b, func(v *View) error {
		for i, rec := range want {
			if e, ok := rec.(Entry); ok {
				got, err := v.Entry(ids[i])
				if err != nil {
					t.Error(err)
				}
				diff(t, "entry by ID", got, e)
			}
		}
		return nil
	})
}

func TestAppendIsAllOrNothing(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	before, _ := b.Stamp()
	_, err := b.Append(
		testReading("lagoon", "nitrate", testTime(0, 0), "4", 4),
		testReading("lagune", "nitrate", testTime(1, 0), "4", 4))
	if !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), `"lagune"`) ||
		!strings.Contains(err.Error(), `"lagoon"`) {
		t.Errorf("got %v", err)
	}
	if after, _ := b.Stamp(); after != before {
		t.Error("the book changed")
	}
	if n := len(allReadings(t, b)); n != 0 {
		t.Errorf("%d readings", n)
	}
}

// Two programs that change one definition at the same time both find their change in it.
func TestUpdateLosesNoChange(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	parameters := []string{"nitrate", "phosphate", "alkalinity", "calcium", "magnesium", "potassium"}
	var running sync.WaitGroup
	for _, p := range parameters {
		running.Go(func() {
			another, err := Open(b.Path())
			if err == nil {
				_, err = another.Update(func(v *View) ([]Record, error) {
					tank, err := v.Tank("lagoon")
					bands := map[string]Band{p: {Low: pointer(1)}}
					maps.Copy(bands, tank.Bands)
					tank.Bands = bands
					return []Record{tank}, err
				})
			}
			if err != nil {
				t.Error(err)
			}
		})
	}
	running.Wait()
	mustView(t, b, func(v *View) error {
		tank, err := v.Tank("lagoon")
		if len(tank.Bands) != len(parameters) {
			t.Errorf("%d bands, want %d: %v", len(tank.Bands), len(parameters), tank.Bands)
		}
		return err
	})
}

func TestUpdateThatFailsChangesNothing(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	before, _ := b.Stamp()
	own := errors.New("no such band")
	if _, err := b.Update(func(*View) ([]Record, error) { return []Record{Tank{Name: "forereef"}}, own }); err != own {
		t.Errorf("got %v", err)
	}
	if _, err := b.Update(func(*View) ([]Record, error) { return nil, nil }); err != nil {
		t.Error(err)
	}
	func() {
		defer func() {
			if p := recover(); p != "the caller's" {
				t.Errorf("panic %v", p)
			}
		}()
		_, _ = b.Update(func(*View) ([]Record, error) { panic("the caller's") })
	}()
	if after, _ := b.Stamp(); after != before {
		t.Error("the book changed")
	}
	mustAppend(t, b, Tank{Name: "forereef"}) // and it is not taken for damaged
}

// Two tests that gave the same number at the same minute are two tests.
func TestIdenticalLinesAreTold(t *testing.T) {
	b := testBook(t)
	r := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	ids := mustAppend(t, b, Tank{Name: "lagoon"}, r, r)
	again := mustAppend(t, b, r)
	if ids[1] == ids[2] || again[0] == ids[1] || again[0] == ids[2] {
		t.Errorf("identical lines share an ID: %v %v", ids, again)
	}
	if n := len(allReadings(t, b)); n != 3 {
		t.Errorf("%d readings, want 3", n)
	}
	// The same lines get the same IDs in another book: that is what lets an import see that they are there.
	other := testBook(t)
	if twin := mustAppend(t, other, Tank{Name: "lagoon"}, r, r); twin[1] != ids[1] || twin[2] != ids[2] {
		t.Error("another book gave other IDs")
	}
}

func TestDefinitionsAreReplaced(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon", VolumeL: 100}, Method{Name: "card", Parameter: "nitrate", Step: 1})
	mustAppend(t, b, Tank{Name: "lagoon", VolumeL: 120}, Method{Name: "card", Parameter: "nitrate", Step: 2},
		Method{Name: "card", Parameter: "nitrite", Step: 3})
	mustView(t, b, func(v *View) error {
		tanks, err := v.Tanks()
		diff(t, "tanks", tanks, []Tank{{Name: "lagoon", VolumeL: 120}})
		if err != nil {
			return err
		}
		methods, err := v.Methods()
		diff(t, "methods", methods, []Method{{Name: "card", Parameter: "nitrate", Step: 2},
			{Name: "card", Parameter: "nitrite", Step: 3}})
		return err
	})
}

func TestStrikeMovesAsideAndLinks(t *testing.T) {
	b := testBook(t)
	wrong := testReading("lagoon", "phosphate", testTime(0, 0), "33", 33)
	right := testReading("lagoon", "phosphate", testTime(0, 0), "0.1", 0.1)
	ids := mustAppend(t, b, Tank{Name: "lagoon"}, wrong, testReading("lagoon", "phosphate", testTime(1, 0), "0.2", 0.2))
	strike := Strike{Target: ids[1], Time: testTime(2, 0), Who: "night shift", Why: "typed ppb as ppm"}
	successor, err := b.Strike(strike, right)
	if err != nil {
		t.Fatal(err)
	}
	strike.Successor = successor
	wrong.ID, right.ID = ids[1], successor
	mustView(t, b, func(v *View) error {
		rs, err := v.Readings("lagoon", "phosphate", time.Time{}, time.Time{})
		if err != nil {
			return err
		}
		if len(rs) != 2 || rs[0].ID != successor || rs[1].ID != ids[2] {
			t.Errorf("readings after the strike: %v", rs)
		}
		struck, err := v.Struck("lagoon")
		diff(t, "struck", struck, []Struck{{Entry: wrong, Strike: strike}})
		_, missing := v.Entry(ids[1])
		for _, part := range []string{"night shift", "typed ppb as ppm", successor.String(), "2026-03-03"} {
			if !errors.Is(missing, ErrNotFound) || !strings.Contains(missing.Error(), part) {
				t.Errorf("the error of a struck entry does not say %q: %v", part, missing)
			}
		}
		return err
	})
	if _, err := b.Strike(strike, nil); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), "was struck") {
		t.Errorf("striking twice: %v", err)
	}
	if _, err := b.Strike(Strike{Target: NewID(testTime(0, 0), "nothing", 0), Time: testTime(2, 0)}, nil); !errors.Is(err,
		ErrNotFound) {
		t.Errorf("striking nothing: %v", err)
	}
	if _, err := b.Strike(Strike{Target: successor, Time: testTime(2, 0), Successor: NewID(testTime(0, 0), "nothing", 0)},
		nil); !errors.Is(err, ErrNotFound) {
		t.Errorf("a successor that is not there: %v", err)
	}
	// The same line, typed again after it was struck, is another entry.
	if again := mustAppend(t, b, testReading("lagoon", "phosphate", testTime(0, 0), "33", 33)); again[0] == ids[1] {
		t.Error("a line got the ID of a struck one")
	}
}

func TestGivenIDsAreKept(t *testing.T) {
	b := testBook(t)
	foreign, err := ParseID("01JZZZZZZZZZZZZZZZZZZZZZZZ")
	if err != nil {
		t.Fatal(err)
	}
	r := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	r.ID = foreign
	mustAppend(t, b, Tank{Name: "lagoon"}, r)
	for _, again := range []Record{r, Dose{ID: foreign, Time: testTime(3, 0), Tank: "lagoon", Parameter: "nitrate",
		Amount: 1}} {
		if _, err := b.Append(again); !errors.Is(err, ErrExists) {
			t.Errorf("the same ID again: %v", err)
		}
	}
	mustView(t, b, func(v *View) error {
		e, err := v.Entry(foreign)
		diff(t, "entry", e, Entry(r))
		return err
	})
	if _, err := b.Strike(Strike{Target: foreign, Time: testTime(1, 0)}, nil); err != nil {
		t.Error(err)
	}
	if _, err := b.Append(r); !errors.Is(err, ErrExists) {
		t.Errorf("the ID of a struck entry again: %v", err)
	}
}

func TestWhatTheBookCannotKeep(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"})
	before, _ := b.Stamp()
	good := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	change := func(fn func(r *Reading)) Reading {
		r := good
		fn(&r)
		return r
	}
	for want, rec := range map[string]Record{
		"1969-12-31T23:59:59Z":      change(func(r *Reading) { r.Time = time.Unix(-1, 0).UTC() }),
		"2200-01-01T00:00:00Z":      change(func(r *Reading) { r.Time = time.Date(lastYear+1, 1, 1, 0, 0, 0, 0, time.UTC) }),
		"time is missing":           change(func(r *Reading) { r.Time = time.Time{} }),
		"NaN":                       change(func(r *Reading) { r.Value = math.NaN() }),
		"+Inf":                      change(func(r *Reading) { r.Value = math.Inf(1) }),
		"tank has no name":          change(func(r *Reading) { r.Tank = "" }),
		"no value":                  change(func(r *Reading) { r.Text = "" }),
		"30001 bytes":               change(func(r *Reading) { r.Note = strings.Repeat("x", 30_001) }),
		`\xff`:                      change(func(r *Reading) { r.Note = "\xff" }),
		"bound 7":                   change(func(r *Reading) { r.Bound = 7 }),
		"201 bytes":                 Tank{Name: strings.Repeat("x", 201)},
		"NUL":                       Tank{Name: "a\x00b"},
		`"Atlantis/Sunken"`:         Tank{Name: "a", Timezone: "Atlantis/Sunken"},
		"from 12 down to 3":         Tank{Name: "a", Bands: map[string]Band{"nitrate": {Low: pointer(12), High: pointer(3)}}},
		"5 follows 10":              Method{Name: "m", Parameter: "nitrate", Marks: []float64{0, 10, 5}},
		"step of 1 and 2 marks":     Method{Name: "m", Parameter: "nitrate", Step: 1, Marks: []float64{0, 10}},
		"-3 is below zero":          Dose{Time: testTime(0, 0), Tank: "lagoon", Parameter: "nitrate", Amount: -3},
		"fraction 1.5":              WaterChange{Time: testTime(0, 0), Tank: "lagoon", Fraction: 1.5},
		"says nothing":              Event{Time: testTime(0, 0), Tank: "lagoon"},
		"which entry":               Strike{Time: testTime(0, 0)},
		"the rule has no name":      Acknowledgement{Time: testTime(0, 0), Tank: "lagoon"},
		`limits run from 3 down to`: Parameter{Name: "x", Min: 3, Max: 2},
		"say how strong x is":       Supplement{Name: "x"},
		"by one of the three":       Supplement{Name: "x", Limewater: true, Salt: "Na2CO3", GramsPerL: 60},
		`"Xx2" is not a salt`:       Supplement{Name: "x", Salt: "Xx2", GramsPerL: 60},
		"per litre 0 is not above":  Supplement{Name: "x", Salt: "Na2CO3"},
		"purity 1.2 is above 1":     Supplement{Name: "x", Salt: "Na2CO3", GramsPerL: 1, Purity: 1.2},
		"what it raises":            Supplement{Name: "x", LabelML: 10, LabelL: 100},
		`two rises of "calcium"`: Supplement{Name: "x", LabelML: 10, LabelL: 100,
			Label: []LabelRise{{"calcium", 1, ""}, {"calcium", 1, ""}}},
		"has 0 reasons":           Stock{Tank: "lagoon", Name: "x", Unit: "m"},
		"has 2 reasons":           Stock{Tank: "lagoon", Name: "x", Unit: "mL", PerDay: 1, Supplement: "soda ash"},
		"holds a supplement":      Stock{Tank: "lagoon", Name: "x", Unit: "tests", Supplement: "soda ash"},
		"not the parameter":       Stock{Tank: "lagoon", Name: "x", Unit: "m", PerDay: 1, Method: "card"},
		`"soon" is not a date`:    Refill{Time: testTime(0, 0), Tank: "lagoon", Stock: "x", Expires: "soon"},
		"amount -1 is below zero": Refill{Time: testTime(0, 0), Tank: "lagoon", Stock: "x", Amount: -1},
	} {
		_, err := b.Append(rec)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%#v: got %v, want it to say %q", rec, err, want)
		}
		if _, imported := b.Import([]Record{rec}); imported == nil || imported.Error() != err.Error() {
			t.Errorf("import says %v and append says %v", imported, err)
		}
	}
	if after, _ := b.Stamp(); after != before {
		t.Error("the book changed")
	}
}

func TestDraftAndTestDay(t *testing.T) {
	b := testBook(t)
	if err := b.SaveDraft(Draft{}, Draft{Tank: "lagoon"}); !errors.Is(err, ErrNotFound) {
		t.Errorf("a draft of an unknown tank: %v", err)
	}
	mustAppend(t, b, Tank{Name: "lagoon"})
	want := Draft{Tank: "lagoon", Started: testTime(0, 0), When: "2026-11-20 08:00", Fields: map[string]DraftField{
		"nitrate": {Text: "4.", Unit: "mg/L", Method: "card", Note: "n"}, "phosphate": {Text: "<0"}}}
	if err := b.SaveDraft(Draft{}, want); err != nil {
		t.Fatal(err)
	}
	mustView(t, b, func(v *View) error {
		d, found, err := v.Draft("lagoon")
		diff(t, "draft", d, want)
		if !found {
			t.Error("the draft is not there")
		}
		return err
	})
	old := want
	old.When, old.Fields = "", map[string]DraftField{draftWhenOld: {Text: "08:30"}, "nitrate": {Text: "4."}}
	read, err := readDraft("lagoon", appendDraft(nil, old))
	if err != nil || read.When != "08:30" || len(read.Fields) != 1 {
		t.Errorf("a draft of before: %+v, %v", read, err)
	}
	if _, err := b.SaveTestDay(want, []Reading{{}}); err == nil {
		t.Error("an empty reading was saved")
	}
	mustView(t, b, func(v *View) error {
		if _, found, _ := v.Draft("lagoon"); !found {
			t.Error("a failed test day lost the draft")
		}
		return nil
	})
	ids, err := b.SaveTestDay(want, []Reading{testReading("lagoon", "nitrate", testTime(0, 0), "4.1", 4.1)},
		Event{Time: testTime(0, 0), Tank: "lagoon", Text: "all open"})
	if err != nil || len(ids) != 2 {
		t.Fatal(ids, err)
	}
	mustView(t, b, func(v *View) error {
		if _, found, _ := v.Draft("lagoon"); found {
			t.Error("the draft is still there")
		}
		return nil
	})
	if err := b.SaveDraft(want, Draft{Tank: "lagoon"}); err != nil {
		t.Error(err)
	}
}
