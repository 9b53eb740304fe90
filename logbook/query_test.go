package logbook

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"
)

// queryBook has names that are beginnings of one another, and readings on every day of March.
func queryBook(t *testing.T) *Book {
	b := testBook(t)
	var recs []Record
	for _, tank := range []string{"reef", "reef 2", "ree"} {
		recs = append(recs, Tank{Name: tank})
	}
	for day := range 31 {
		for _, tank := range []string{"reef", "reef 2", "ree"} {
			for _, parameter := range []string{"nitrate", "nitr", "alkalinity", "custom"} {
				recs = append(recs, testReading(tank, parameter, testTime(day, 0), "4", float64(day)))
			}
		}
	}
	mustImport(t, b, recs...)
	return b
}

func days(rs []Reading) (all []int) {
	for _, r := range rs {
		all = append(all, int(r.Value))
	}
	return all
}

// The unit that a parameter is shown in is told to the open book and not kept in it, and what is read without a unit
// from a file stays in the parameter's own.
func TestShowIn(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "reef"})
	b.ShowIn(map[string]string{"PO4": "ug/l as P", "nitrate": "furlong", "fosfate": "mg/L"})
	mustView(t, b, func(v *View) error {
		for name, want := range map[string]string{"phosphate": "ug/L P", "nitrate": "mg/L"} {
			p, err := v.Parameter(name)
			if typed, _ := p.TypedUnit(""); err != nil || p.ShownUnit() != want || typed.Name() != want {
				t.Errorf("%s is shown in %q and typed in %q (%v), want %q", name, p.ShownUnit(), typed, err, want)
			}
			if own, _ := p.FindUnit(""); own.Name() != p.Unit {
				t.Errorf("%s: what has no unit is in %q", name, own)
			}
		}
		p, err := v.Parameter("phosphate")
		if line := string(RecordJSON(p)); strings.Contains(line, "ug/L P") {
			t.Errorf("kept as %s", line)
		}
		return err
	})
}

func TestWindow(t *testing.T) {
	b := queryBook(t)
	open := time.Time{}
	for _, c := range []struct {
		name     string
		from, to time.Time
		want     []int
	}{
		{"both ends are in", testTime(3, 0), testTime(5, 0), []int{3, 4, 5}},
		{"just short of both", testTime(3, 0).Add(1), testTime(5, 0).Add(-1), []int{4}},
		{"another offset, same moment", testTime(3, 0).UTC(), testTime(3, 0).UTC(), []int{3}},
		{"open start", open, testTime(1, 0), []int{0, 1}},
		{"open end", testTime(29, 0), open, []int{29, 30}},
		{"back to front", testTime(5, 0), testTime(3, 0), nil},
		{"before all times", time.Date(1900, 1, 1, 0, 0, 0, 0, time.UTC), testTime(0, 0), []int{0}},
		{"all before 1970", open, time.Date(1960, 1, 1, 0, 0, 0, 0, time.UTC), nil},
		{"after all times", testTime(30, 0), time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC), []int{30}},
		{"all after 2262", time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC), open, nil},
	} {
		mustView(t, b, func(v *View) error {
			rs, err := v.Readings("reef", "nitrate", c.from, c.to)
			if got := days(rs); !slices.Equal(got, c.want) {
				t.Errorf("%s: days %v, want %v", c.name, got, c.want)
			}
			for _, r := range rs {
				if r.Tank != "reef" || r.Parameter != "nitrate" {
					t.Errorf("%s: a reading of %s %s", c.name, r.Tank, r.Parameter)
				}
			}
			return err
		})
	}
	mustView(t, b, func(v *View) error {
		for _, name := range []string{"", "nowhere", "reefs"} {
			if rs, err := v.Readings(name, "nitrate", open, open); err != nil || rs != nil {
				t.Errorf("readings of tank %q: %v %v", name, rs, err)
			}
			if ps, err := v.Measured(name); err != nil || ps != nil {
				t.Errorf("parameters of tank %q: %v %v", name, ps, err)
			}
			if es, err := v.Entries(name, KindReading, open, open); err != nil || es != nil {
				t.Errorf("entries of tank %q: %v %v", name, es, err)
			}
		}
		return nil
	})
}

func TestLastReadings(t *testing.T) {
	b := queryBook(t)
	for _, c := range []struct {
		to   time.Time
		n    int
		want []int
	}{
		{time.Time{}, 2, []int{29, 30}},
		{testTime(10, 0), 3, []int{8, 9, 10}},
		{testTime(10, 0).Add(-1), 1, []int{9}},
		{testTime(1, 0), 5, []int{0, 1}},
		{testTime(-1, 0), 5, nil},
		{time.Date(1960, 1, 1, 0, 0, 0, 0, time.UTC), 5, nil},
		{time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC), 1, []int{30}},
		{time.Time{}, 0, nil},
		{time.Time{}, 1000, days(make([]Reading, 0))},
	} {
		mustView(t, b, func(v *View) error {
			for _, tank := range []string{"ree", "reef", "reef 2"} { // first, middle and last in the file
				rs, err := v.LastReadings(tank, "nitrate", c.to, c.n)
				if err != nil {
					return err
				}
				if c.n == 1000 {
					if len(rs) != 31 {
						t.Errorf("%d readings, want 31", len(rs))
					}
				} else if got := days(rs); !slices.Equal(got, c.want) {
					t.Errorf("last %d to %v: days %v, want %v", c.n, c.to, got, c.want)
				}
			}
			return nil
		})
	}
}

func TestMeasuredInStandardOrder(t *testing.T) {
	b := queryBook(t)
	mustView(t, b, func(v *View) error {
		got, err := v.Measured("reef")
		order := map[string]int{}
		for i, p := range Standard() {
			order[p.Name] = i
		}
		want := []string{"alkalinity", "nitrate"}
		if order["nitrate"] < order["alkalinity"] {
			slices.Reverse(want)
		}
		want = append(want, "custom", "nitr") // described nowhere: last, by name
		diff(t, "measured", got, want)
		return err
	})
	mustAppend(t, b, Parameter{Name: "nitr", Unit: "mg/L"})
	mustView(t, b, func(v *View) error {
		got, err := v.Measured("reef")
		if i := len(got) - 2; got[i] != "nitr" {
			t.Errorf("a parameter of the book comes before one described nowhere: %v", got)
		}
		none, noneErr := v.Measured("nowhere")
		if none != nil || noneErr != nil {
			t.Error(none, noneErr)
		}
		return err
	})
}

func TestEntriesAndDosings(t *testing.T) {
	b := testBook(t)
	dosing := func(day int, parameter, supplement string, perDay float64) Dosing {
		return Dosing{Time: testTime(day, 0), Tank: "reef", Parameter: parameter, Supplement: supplement, PerDay: perDay,
			Unit: "dKH"}
	}
	recs := []Record{Tank{Name: "reef"}, Tank{Name: "reef 2"},
		dosing(0, "alkalinity", "soda ash", 1), dosing(5, "alkalinity", "soda ash", 2),
		dosing(9, "alkalinity", "soda ash", 0),
		dosing(3, "alkalinity", "bicarbonate", 3), dosing(4, "calcium", "chloride", 4),
		Dosing{Time: testTime(4, 0), Tank: "reef 2", Parameter: "alkalinity", Supplement: "soda ash", PerDay: 9}}
	mustAppend(t, b, recs...)
	perDay := func(ds []Dosing) (all []float64) {
		for _, d := range ds {
			all = append(all, d.PerDay)
		}
		return all
	}
	mustView(t, b, func(v *View) error {
		for _, c := range []struct {
			parameter string
			to        time.Time
			want      []float64
		}{
			{"alkalinity", testTime(5, 0), []float64{1, 3}}, // strictly before
			{"alkalinity", testTime(5, 0).Add(1), []float64{3, 2}},
			{"alkalinity", testTime(20, 0), []float64{3, 0}},
			{"", testTime(20, 0), []float64{3, 4, 0}},
			{"", time.Time{}, []float64{3, 4, 0}},
			{"", testTime(0, 0), nil},
			{"magnesium", time.Time{}, nil},
		} {
			ds, err := v.DosingsBefore("reef", c.parameter, c.to)
			if err != nil {
				return err
			}
			if got := perDay(ds); !slices.Equal(got, c.want) {
				t.Errorf("dosings of %q before %v: %v, want %v", c.parameter, c.to, got, c.want)
			}
		}
		es, err := v.Entries("reef", KindDosing, testTime(3, 0), testTime(5, 0))
		var got []float64
		for _, e := range es {
			got = append(got, e.(Dosing).PerDay)
		}
		if !slices.Equal(got, []float64{3, 4, 2}) {
			t.Errorf("dosings in time order: %v", got)
		}
		if _, err := v.Entries("reef", KindTank, time.Time{}, time.Time{}); err == nil {
			t.Error("tanks are no entries")
		}
		return err
	})
}

func TestNamesAreLookedUpKindly(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "reef"}, Parameter{Name: "iron", Code: "fe", Unit: "mg/L"},
		Parameter{Name: "nitrate", Code: "no3", Unit: "mg/L", Digits: 7})
	mustView(t, b, func(v *View) error {
		for text, want := range map[string]string{"NO3": "nitrate", "Nitrate": "nitrate", "FE": "iron", "po4": "phosphate"} {
			p, err := v.Parameter(text)
			if err != nil || p.Name != want {
				t.Errorf("%s: %s %v, want %s", text, p.Name, err, want)
			}
		}
		if p, _ := v.Parameter("no3"); p.Digits != 7 {
			t.Error("the book's own nitrate does not hold")
		}
		if _, err := v.Parameter(""); !errors.Is(err, ErrNotFound) {
			t.Errorf("no name: %v", err)
		}
		if _, err := v.Parameter("nirtate"); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), "iron") {
			t.Errorf("a slip: %v", err)
		}
		if t, err := v.Tank("Reef"); err != nil || t.Name != "reef" {
			return fmt.Errorf("in a capital: %q %w", t.Name, err)
		}
		if _, err := v.Tank("Reefs"); !errors.Is(err, ErrNotFound) || !strings.Contains(err.Error(), `"reef"`) {
			t.Errorf("a slip: %v", err)
		}
		ps, err := v.Parameters()
		if n := len(Standard()); len(ps) != n+1 || ps[n].Name != "iron" {
			t.Errorf("parameters: %v", ps)
		}
		return err
	})
}

func TestCount(t *testing.T) {
	b := testBook(t)
	ids := mustAppend(t, b, oneOfEach()...)
	if _, err := b.Strike(Strike{Target: ids[6], Time: testTime(1, 0)}, nil); err != nil {
		t.Fatal(err)
	}
	mustView(t, b, func(v *View) error {
		c, err := v.Count()
		diff(t, "counts", c, Counts{Tanks: 2, Readings: 3, Struck: 1, Entries: map[Kind]int{
			KindDosing: 1, KindDose: 1, KindWaterChange: 1, KindEvent: 1, KindChoreDone: 1, KindAcknowledgement: 3,
			KindRefill: 1}})
		return err
	})
}
