package words_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

func TestAmount(t *testing.T) {
	for _, row := range []struct {
		v          float64
		unit, want string
	}{
		{0.9, "dKH", "0.9 dKH"}, // as typed
		{1.858, "dKH", "1.858 dKH"},
		{1340, "mg/L", "1340 mg/L"},
		{0.1 + 0.2, "dKH", "0.3 dKH"},
		{0.00651353, "mg/L", "0.006514 mg/L"}, // 0.1 mL of a recipe in a tank
		{2.125437, "ppb P", "2.125 ppb P"},
		{0.00000251, "mg/L", "0.00000251 mg/L"},
		{-0.3, "", "-0.3"},
		{1, "\x1b[2Jx", "1 x"},
	} {
		if got := words.Amount(row.v, row.unit); got != row.want {
			t.Errorf("%v: %q, want %q", row.v, got, row.want)
		}
	}
}

func TestEvery(t *testing.T) {
	for days, want := range map[float64]string{1: "every day", 7: "every 7 days", 1.5: "every 1.5 days",
		6.98: "every 7 days", 0.5: "every 0.5 days", 365: "every 365 days", 10.5: "every 10.5 days",
		0.25: "every 0.25 days"} {
		if got := words.Every(days); got != want {
			t.Errorf("%v: %q, want %q", days, got, want)
		}
	}
}

// A level that the decimals of its parameter would show as nothing keeps two digits; what is nothing is shown so.
func TestNumberOfASmallLevel(t *testing.T) {
	p := logbook.Parameter{Name: "phosphate", Unit: "mg/L", Digits: 3}
	for v, want := range map[float64]string{0: "0.000", 0.000092: "0.000092", 0.00046: "0.00046", -0.0002: "-0.00020",
		0.0006: "0.001", 0.03: "0.030", 1e-9: "0.000"} {
		if got := words.Number(p, v); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
}

// What was typed is shown as it was typed, and behind it, where its unit is another, what it is.
func TestReading(t *testing.T) {
	for _, c := range []struct{ parameter, typed, unit, want string }{
		{"phosphate", "12", "mg/L", "12 mg/L"},
		{"phosphate", "<0.02", "mg/L", "<0.02 mg/L"},
		{"phosphate", "12", "ppm", "12 ppm = 12 mg/L"},
		{"phosphate", "6", "ppb P", "6 ppb P = 0.018 mg/L"},
		{"phosphate", "<0.1", "ppb P", "<0.1 ppb P = <0.0003 mg/L"},
		{"alkalinity", "3", "meq/L", "3 meq/L = 8.41 dKH"},
		{"pH", "8.1", "pH", "8.1 pH"},
	} {
		p, _ := logbook.FindParameter(logbook.Standard(), c.parameter)
		r, err := logbook.ParseReading(p, c.typed, c.unit)
		if err != nil {
			t.Fatal(err)
		}
		if got := words.Reading(p, r); got != c.want {
			t.Errorf("%s %s of %s: %q, want %q", c.typed, c.unit, c.parameter, got, c.want)
		}
	}
}

// A day is counted at each midnight of the keeper's zone, and past the months in larger units.
func TestAge(t *testing.T) {
	zone := time.FixedZone("", 13*3600)
	now := time.Date(2026, 3, 14, 8, 0, 0, 0, zone)
	for _, c := range []struct {
		then       time.Time
		short, ago string
	}{
		{now.Add(-7 * time.Hour), "today", "today"},
		{now.Add(-11 * time.Hour), "1 d", "1 day ago"},
		{now.Add(-11 * time.Hour).UTC(), "1 d", "1 day ago"},
		{now.AddDate(0, 0, -99), "99 d", "99 days ago"},
		{now.AddDate(0, 0, -100), "14 w", "14 weeks ago"},
		{now.AddDate(0, 0, -700), "1 y", "1 year ago"},
		{now.Add(time.Hour), "today", "today"},
	} {
		if short, ago := words.Age(c.then, now), words.Ago(c.then, now); short != c.short || ago != c.ago {
			t.Errorf("%v: %q and %q, want %q and %q", c.then, short, ago, c.short, c.ago)
		}
	}
}

func TestDue(t *testing.T) {
	now := time.Date(2026, 3, 14, 20, 0, 0, 0, time.UTC)
	for hours, want := range map[int]string{-45: "2 d late", -21: "1 d late", -1: "today", 3: "today", 4: "in 1 d",
		200: "in 9 d"} {
		if got := words.Due(now.Add(time.Duration(hours)*time.Hour), now); got != want {
			t.Errorf("%d hours: %q, want %q", hours, got, want)
		}
	}
}

// What is shown in a unit of the parameter is, typed again, what it was but for the last decimal, whether it is a level
// or a change of one.
func TestShownAndTypedAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(logbook.Standard()).Draw(t, "parameter")
		units := water.Units(p.Name)
		if len(units) > 0 {
			p.Shown = rapid.SampledFrom(units).Draw(t, "unit")
		}
		// Half of a decimal in the unit, which the rounding of their number makes as much as two of the canonical one.
		most := 1.01 * 2 * math.Pow10(-p.Digits)
		v := rapid.Float64Range(math.Max(p.AskLow, 1), math.Max(p.AskHigh, 2)).Draw(t, "value")
		r, err := logbook.ParseReading(p, words.Number(p, v), p.ShownUnit())
		if err != nil || math.Abs(r.Value-v) > most {
			t.Fatalf("%v of %s is shown as %s, which is %v (%v)", v, p.Name, words.Quantity(p, v), r.Value, err)
		}
		change := rapid.Float64Range(-3, 3).Draw(t, "change")
		number, err := strconv.ParseFloat(words.Change(p, change, 1), 64)
		if err != nil {
			t.Fatal(err)
		}
		again, err := p.CanonicalChange(number, p.ShownUnit())
		if err != nil || math.Abs(again-change) > most {
			t.Fatalf("a change of %v of %s is shown as %v %s, which is %v (%v)", change, p.Name, number, p.ShownUnit(), again,
				err)
		}
	})
}

// A change is not a level: of a temperature the zero of the scale is left out, and a specific gravity is near that of
// the sea.
func TestRise(t *testing.T) {
	for _, c := range []struct {
		parameter, unit, rise, signed string
	}{
		{"temperature", "°F", "1.8 °F", "+1.80"},
		{"salinity", "SG 25/25", "0.0008 SG 25/25", "+0.00076"}, // 0.00076 a unit of salinity at 35
		{"alkalinity", "meq/L", "0.357 meq/L", "+0.3567"},
		{"phosphate", "ppb P", "326.1 ppb P", "+326.15"}, // 30.974/94.970
		{"phosphate", "", "1.000 mg/L", "+1.0000"},
	} {
		p, _ := logbook.FindParameter(logbook.Standard(), c.parameter)
		if c.unit != "" {
			p.Shown, _ = p.FindUnit(c.unit)
		}
		if rise, signed := words.Rise(p, 1), words.SignedChange(p, 1, 1); rise != c.rise || signed != c.signed {
			t.Errorf("%s in %s: %q and %q, want %q and %q", c.parameter, c.unit, rise, signed, c.rise, c.signed)
		}
	}
}

// A reading in the canonical unit claims no more digits than the test gave.
func TestValue(t *testing.T) {
	p, _ := logbook.FindParameter(logbook.Standard(), "phosphate")
	for _, c := range []struct{ typed, unit, want, inPPB string }{
		{"0.03", "mg/L", "0.03", "30"},
		{"<0.02", "mg/L", "<0.02", "<20"},
		{"33", "ppb", "0.033", "33"},
	} {
		r, err := logbook.ParseReading(p, c.typed, c.unit)
		if err != nil {
			t.Fatal(err)
		}
		if got, inPPB := words.Value(p, r), words.ValueIn(p, "ppb", r); got != c.want || inPPB != c.inPPB {
			t.Errorf("%s %s: %q and %q, want %q and %q", c.typed, c.unit, got, inPPB, c.want, c.inPPB)
		}
	}
}

func TestEntry(t *testing.T) {
	k := words.Known{Parameters: logbook.Standard(), Stocks: []logbook.Stock{{Name: "reservoir", Unit: "mL"}}}
	for _, c := range []struct {
		e    logbook.Entry
		want string
	}{
		{logbook.Reading{Parameter: "nitrate", Text: "5", Unit: "mg/L", Method: "card\x1b[2J"}, "nitrate 5 mg/L by card"},
		{logbook.Dosing{Parameter: "alkalinity", PerDay: 0.9, Unit: "dKH", Supplement: "soda ash"},
			"alkalinity dosing 0.9 dKH a day of soda ash"},
		{logbook.Dosing{Parameter: "alkalinity"}, "alkalinity dosing stopped"},
		{logbook.Dose{Parameter: "nitrate", Amount: 0.5, Unit: "mg/L"}, "nitrate dose of 0.5 mg/L"},
		{logbook.WaterChange{Fraction: 0.15}, "water change of 15 %"},
		{logbook.Event{Subject: "cup coral", Text: "stays\nclosed", Tags: []string{"coral", "pest"}},
			"cup coral: stays closed (coral, pest)"},
		{logbook.ChoreDone{Chore: "reactor media"}, "reactor media done"},
		{logbook.Refill{Stock: "reservoir", Amount: 2000, Expires: "2027-03-31"},
			"reservoir: 2000 mL there, expires 2027-03-31"},
		{logbook.Refill{Stock: "fleece", Amount: 2.5}, "fleece: 2.5 there"},
		{logbook.Acknowledgement{Parameter: "pH", Rule: "near_low"}, "seen: pH near its lower edge"},
	} {
		if got := k.Entry(c.e); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestMethod(t *testing.T) {
	for want, m := range map[string]logbook.Method{
		"steps of 1 ppb P, scatter 3 ppb P, sees from 1 ppb P": {Unit: "ppb P", Step: 1, SD: 3, Limit: 1},
		"marks 0 1 2.5 mg/L, scatter 5 % of the reading and 0.35 of a step": {Unit: "mg/L", Marks: []float64{0, 1, 2.5},
			SDRel: 0.05, SDSteps: 0.35},
		"steps of 0.1": {Step: 0.1},
	} {
		if got := words.Method(m); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestHang(t *testing.T) {
	got := words.Hang("! ", "  ", "nitrate is below  your band", 14, 0)
	if want := []string{"! nitrate is", "  below your", "  band"}; !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if got := words.Hang("! ", "  ", "nitrate is below your band", 14, 2); got[1] != "  below your …" {
		t.Errorf("%q", got)
	}
}

func TestTable(t *testing.T) {
	var table words.Table
	table.Add("", "älter", "")
	table.Add("nitrate\x1b[2J", "5")
	if got, want := strings.Join(table.Lines("  ", 0, nil), "\n"), "           älter\n  nitrate  5"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// Columns go by their ranks once much text has given way, and a cell goes on below itself.
func TestTableInLittleRoom(t *testing.T) {
	table := words.Table{Ranks: []int{0, 2, 1}}
	table.AddAs(words.Head, "tank", "of", "age", "what is left of it")
	table.Add("forereef", "soda ash", "3 d", "2645 mL left, until about 24 Mar (21 Mar to 29 Mar)")
	table.AddAs(words.Urgent, "lagoon", "", "12 d")
	ink := func(look words.Look, line string) string { return line + "|" + strings.Repeat("!", int(look)) }
	for w, want := range map[int]string{
		60: " tank      of        age   what is left of it|!, forereef  soda ash  3 d   2645 mL left, until about 24 Mar|," +
			"                           (21 Mar to 29 Mar)|, lagoon              12 d|!!!!",
		44: " tank      age   what is left of it|!, forereef  3 d   2645 mL left, until about|," +
			"                 24 Mar (21 Mar to 29 Mar)|, lagoon    12 d|!!!!",
		35: " tank      what is left of it|!, forereef  2645 mL left, until|,           about 24 Mar (21 Mar to|,          " +
			" 29 Mar)|, lagoon|!!!!",
		12: " tank  what|!,       is|!,       left|!,       of it|!, fore  2645|, reef  mL|,       left,|,       until|,   " +
			"    about|," +
			"       24|,       Mar|,       (21|,       Mar|,       to 29|,       Mar)|, lago|!!!!, on|!!!!",
	} {
		if got := strings.Join(table.Lines(" ", w, ink), ","); got != want {
			t.Errorf("%d cells: %q\nwant %q", w, got, want)
		}
	}
}

// What follows hangs under the last column, or below what it is about where there is no room beside it.
func TestFold(t *testing.T) {
	text := "  short\n\n  what is said of it goes on\n  --flag NAME  what it does in a few words\n  --a-long-flag NAME  " +
		"what it does in words"
	want := []string{"  short", "", "  what is said of it goes on", "  --flag NAME  what it does in a few",
		"               words",
		"  --a-long-flag NAME", "      what it does in words"}
	if got := words.Fold(text, 40); !slices.Equal(got, want) {
		t.Errorf("%q", got)
	}
	if got := words.Fold("  what is said of it goes on", 20); !slices.Equal(got,
		[]string{"  what is said", "      of it goes on"}) {
		t.Errorf("%q", got)
	}
	if got := words.Fold(text, 0); strings.Join(got, "\n") != text {
		t.Errorf("without a limit: %q", got)
	}
}

// The year is named where it could be another one.
func TestNearDay(t *testing.T) {
	now := time.Date(2026, 3, 7, 12, 0, 0, 0, time.UTC)
	for want, day := range map[string]time.Time{
		"7 Mar": now, "2 Jan": now.AddDate(0, 0, -64), "31 Dec 2025": now.AddDate(0, 0, -66), "6 Mar": now.AddDate(1, 0, -1),
		"7 Mar 2027": now.AddDate(1, 0, 0),
	} {
		if got := words.NearDay(day, now); got != want {
			t.Errorf("%s is %q, want %q", day, got, want)
		}
	}
}
