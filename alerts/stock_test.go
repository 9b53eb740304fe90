package alerts

import (
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"leadline/logbook"
)

func supplyBook(t testing.TB, recs ...logbook.Record) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "supply.book"))
	if err != nil {
		t.Fatal(err)
	}
	importInto(t, b, recs)
	return b
}

func importInto(t testing.TB, b *logbook.Book, recs []logbook.Record) {
	t.Helper()
	var batch logbook.Batch
	for _, rec := range recs {
		if err := batch.Add(rec); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.ImportBatch(&batch); err != nil {
		t.Fatal(err)
	}
}

func examined(t testing.TB, b *logbook.Book, asOf time.Time) Report {
	t.Helper()
	var r Report
	if err := b.View(func(v *logbook.View) (err error) { r, err = Examine(v, "forereef", asOf); return err }); err != nil {
		t.Fatal(err)
	}
	return r
}

func marchDay(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }

func near(t testing.TB, what string, got, want float64) {
	t.Helper()
	if !(math.Abs(got-want) <= 1e-9*math.Max(1, math.Abs(want))) {
		t.Errorf("%s: %v, want %v", what, got, want)
	}
}

// A bottle that serves two tanks is used up by the tests and the dosing of both.
func TestStockOfTwoTanks(t *testing.T) {
	recs := reservoir(
		logbook.Tank{Name: "lagoon", VolumeL: 200},
		logbook.Stock{Tank: "forereef", Name: "shared", Unit: "mL", Supplement: "soda ash", Shared: []string{"lagoon"}},
		logbook.Refill{Time: marchDay(1), Tank: "forereef", Stock: "shared", Amount: 5000},
		logbook.Dosing{Time: marchDay(1), Tank: "lagoon", Parameter: "alkalinity", PerDay: 1, Unit: "dKH",
			Supplement: "soda ash"},
		logbook.Stock{Tank: "forereef", Name: "reagent", Unit: "tests", Parameter: "phosphate", Shared: []string{"lagoon"}},
		logbook.Refill{Time: marchDay(1), Tank: "forereef", Stock: "reagent", Amount: 50})
	for d := 2; d < 7; d++ {
		for _, tank := range []string{"forereef", "lagoon"} {
			recs = append(recs, logbook.Reading{Time: marchDay(d), Tank: tank, Parameter: "phosphate", Text: "0.05", Value: 0.05,
				Unit: "mg/L"})
		}
	}
	for _, s := range examined(t, supplyBook(t, recs...), marchDay(11)).Stocks {
		switch s.Name {
		case "shared": // 1 dKH takes 20 mL of 200 L
			near(t, "left of the reservoir", s.Left, 5000-10*20)
		case "reagent":
			near(t, "left of the reagent", s.Left, 40)
		}
	}
}

// reservoir is a tank of 400 L with a supplement of which 10 mL raise 100 L by 1 dKH: 1 dKH takes 40 mL.
func reservoir(more ...logbook.Record) []logbook.Record {
	return append([]logbook.Record{
		logbook.Tank{Name: "forereef", VolumeL: 400},
		logbook.Supplement{Name: "soda ash", LabelML: 10, LabelL: 100,
			Label: []logbook.LabelRise{{Parameter: "alkalinity", Rise: 1, Unit: "dKH"},
				{Parameter: "calcium", Rise: 5, Unit: "mg/L"}}},
		logbook.Stock{Tank: "forereef", Name: "soda ash reservoir", Unit: "L", Supplement: "soda ash"},
	}, more...)
}

func TestReservoir(t *testing.T) {
	dosing := func(day int, parameter string, perDay float64) logbook.Dosing {
		return logbook.Dosing{Time: marchDay(day), Tank: "forereef", Parameter: parameter, PerDay: perDay,
			Supplement: "soda ash"}
	}
	b := supplyBook(t, reservoir(
		dosing(1, "alkalinity", 1), // 40 mL a day
		logbook.Refill{Time: marchDay(3), Tank: "forereef", Stock: "soda ash reservoir", Amount: 2},
		dosing(5, "alkalinity", 2), // 80 mL a day
		dosing(5, "calcium", 10),   // the same 80 mL, noted for its other effect
		// 20 mL
		logbook.Dose{Time: marchDay(6), Tank: "forereef", Parameter: "alkalinity", Amount: 0.5, Supplement: "soda ash"},
		// likewise
		logbook.Dose{Time: marchDay(6), Tank: "forereef", Parameter: "calcium", Amount: 2.5, Supplement: "soda ash"},
		logbook.Dose{Time: marchDay(6), Tank: "forereef", Parameter: "alkalinity", Amount: 3, Supplement: "another"},
	)...)
	s := examined(t, b, marchDay(8)).Stocks[0]
	// Two days at 40 mL, three at 80 mL and 20 mL at once are 340 mL.
	near(t, "used", s.Used, 0.34)
	near(t, "left", s.Left, 1.66)
	near(t, "per day", s.PerDay, 0.08)
	near(t, "days left", s.Out.P50, 1.66/0.08)
	// With the doser at 110 %, 1.1 x 0.34 L are gone and 1.1 x 0.08 L go each day; at 90 % likewise.
	near(t, "days left, early", s.Out.P10, (2-1.1*0.34)/(1.1*0.08))
	near(t, "days left, late", s.Out.P90, (2-0.9*0.34)/(0.9*0.08))
	if !strings.Contains(s.Text(marchDay(8)), "1.66 L left, until about 29 Mar (26 Mar to 31 Mar)") {
		t.Error(s.Text(marchDay(8)))
	}
}

func alertsBy(r Report, rule Rule) (found []Alert) {
	for _, a := range r.Alerts {
		if a.Rule == rule {
			found = append(found, a)
		}
	}
	return found
}

func TestStockAlertsOpenOnceAndStay(t *testing.T) {
	b := supplyBook(t, reservoir(
		// 0.1 L a day
		logbook.Dosing{Time: marchDay(1), Tank: "forereef", Parameter: "alkalinity", PerDay: 2.5, Supplement: "soda ash"},
		logbook.Refill{Time: marchDay(1), Tank: "forereef", Stock: "soda ash reservoir", Amount: 2},
	)...)
	// 2/(1.1 x 0.1) - 7 = 11.18 days after the refill.
	opened := marchDay(1).Add(time.Duration((2/0.11 - 7) * 24 * float64(time.Hour)))
	for day := 1; day <= 31; day++ {
		r := examined(t, b, marchDay(day))
		low := alertsBy(r, RuleStockLow)
		if want := marchDay(day).After(opened); (len(low) == 1) != want {
			t.Errorf("day %d: %d alerts, want one: %v", day, len(low), want)
		}
		if len(low) == 0 {
			continue
		}
		if gap := low[0].Since.Sub(opened); gap.Abs() > time.Minute || low[0].Subject != "soda ash reservoir" {
			t.Errorf("day %d: since %v, want %v, about %q", day, low[0].Since, opened, low[0].Subject)
		}
		severity := Notice
		if day >= 21 { // 20 days at 0.1 L
			severity = Warning
		}
		if low[0].Severity != severity || r.Stocks[0].Empty() != (severity == Warning) {
			t.Errorf("day %d: %v, %v L left", day, low[0].Severity, r.Stocks[0].Left)
		}
	}
	// An answer about it holds, and one about another stock does not.
	for subject, open := range map[string]bool{"soda ash reservoir": false, "": false, "floss": true} {
		ack := logbook.Acknowledgement{Time: marchDay(14), Tank: "forereef", Subject: subject, Rule: "stock_low"}
		as := alertsBy(examined(t, b, marchDay(15)), RuleStockLow)
		applyAnswers(as, []logbook.Entry{ack}, marchDay(15))
		if as[0].Open(marchDay(15)) != open {
			t.Errorf("answered about %q: open %v, want %v", subject, !open, open)
		}
	}
	// That it runs low was seen; that it is used up is more than that.
	for seen, open := range map[int]bool{14: true, 20: true, 22: false} {
		ack := logbook.Acknowledgement{Time: marchDay(seen), Tank: "forereef", Rule: "stock_low"}
		as := alertsBy(examined(t, b, marchDay(23)), RuleStockLow)
		applyAnswers(as, []logbook.Entry{ack}, marchDay(23))
		if as[0].Open(marchDay(23)) != open {
			t.Errorf("used up on day 21, answered on day %d: open %v, want %v", seen, !open, open)
		}
	}
}

func TestStockThatCannotBeTold(t *testing.T) {
	fill := logbook.Refill{Time: marchDay(1), Tank: "forereef", Stock: "soda ash reservoir", Amount: 2}
	for want, recs := range map[string][]logbook.Record{
		"amount not set":        reservoir(),
		"no dosing of soda ash": reservoir(fill),
		"not described as a supplement": {logbook.Tank{Name: "forereef", VolumeL: 400},
			logbook.Stock{Tank: "forereef", Name: "soda ash reservoir", Unit: "L", Supplement: "soda ash"}, fill},
		"net volume of the tank is not": append(reservoir(fill)[1:], logbook.Tank{Name: "forereef"}),
	} {
		r := examined(t, supplyBook(t, recs...), marchDay(9))
		s := r.Stocks[0]
		if said := s.Why + s.Basis; !strings.Contains(said, want) || len(r.Alerts) > 0 {
			t.Errorf("%q, want %q; alerts %v", said, want, r.Alerts)
		}
		if s.Text(marchDay(9)) == "" || !(math.IsNaN(s.Out.P50) || math.IsInf(s.Out.P50, 1)) {
			t.Errorf("%s: %+v", s.Text(marchDay(9)), s.Out)
		}
	}
}

func reagentTest(day int, method string) logbook.Reading {
	return logbook.Reading{Time: marchDay(day), Tank: "forereef", Parameter: "phosphate", Text: "0.05", Unit: "mg/L",
		Value: 0.05, Method: method}
}

func TestReagent(t *testing.T) {
	recs := []logbook.Record{
		logbook.Tank{Name: "forereef"},
		logbook.Stock{Tank: "forereef", Name: "reagent", Unit: "tests", Parameter: "phosphate", Method: "photometer-p"},
		logbook.Refill{Time: marchDay(3), Tank: "forereef", Stock: "reagent", Amount: 10, Expires: "2026-03-25"},
	}
	for i, day := range []int{1, 3, 7, 9, 13, 15} {
		// gaps of 2, 4, 2, 4, 2 days; the first two before the refill or with it
		recs = append(recs, reagentTest(day, "photometer-p"))
		if i%2 == 0 {
			recs = append(recs, reagentTest(day, "card"))
		}
	}
	b := supplyBook(t, recs...)
	s := examined(t, b, marchDay(16)).Stocks[0]
	near(t, "used", s.Used, 4)
	near(t, "left", s.Left, 6)
	near(t, "per day", s.PerDay, 5.0/14)
	// The last of six tests, five gaps of 14/5 days after the next, which comes 14/5 days after the one of a day ago. The
	// gaps' standard deviation is sqrt(4.8/4).
	near(t, "days left", s.Out.P50, 6*14.0/5-1)
	scatter := z80 * math.Sqrt(4.8/4) * math.Sqrt(6+36.0/5)
	middle := 6*14.0/5 - 1
	near(t, "days left, early", s.Out.P10, middle-math.Hypot(scatter, 0.1*middle))
	// It expires first, at the end of the 25th.
	for day, want := range map[int]Rule{16: "", 19: RuleStockLow, 25: RuleStockLow, 26: RuleExpired} {
		r := examined(t, b, marchDay(day))
		var got Rule
		for _, a := range r.Alerts {
			if a.Subject == "reagent" && (got == "" || a.Rule == RuleExpired) {
				got = a.Rule
			}
		}
		if got != want {
			t.Errorf("day %d: %q, want %q: %s", day, got, want, r.Stocks[0].Text(marchDay(day)))
		}
	}
}

// The tests of a kit are counted, and their rate is learned, among the readings of a probe; and a reagent that names no
// method counts no further than to its end.
func TestReagentAmongReadingsOfAProbe(t *testing.T) {
	l := probeLog{parameter: "phosphate", level: 0.1, noise: 0.01, low: 0, high: 1, every: 10 * time.Minute, days: 90}
	b := l.book(t)
	stock := func(name, method string) logbook.Stock {
		return logbook.Stock{Tank: "lagoon", Name: name, Unit: "tests", Parameter: "phosphate", Method: method}
	}
	filled := probeEnd.AddDate(0, 0, -50)
	recs := []logbook.Record{stock("any", ""), stock("kit", "photometer-p"),
		logbook.Refill{Time: filled, Tank: "lagoon", Stock: "any", Amount: 20},
		logbook.Refill{Time: filled, Tank: "lagoon", Stock: "kit", Amount: 20}}
	for day := 1; day < 90; day += 7 { // 7 of them since the refill
		recs = append(recs, logbook.Reading{Time: probeEnd.AddDate(0, 0, -day).Add(-time.Minute), Tank: "lagoon",
			Parameter: "phosphate",
			Text:      "0.1", Value: 0.1, Method: "photometer-p"})
	}
	importInto(t, b, recs)
	var stocks []Stock
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("lagoon")
		if err == nil {
			stocks, err = stocksOf(v, tank, probeEnd)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "used of any", stocks[0].Used, 20)
	near(t, "used of the kit", stocks[1].Used, 7)
	near(t, "tests a day", stocks[1].PerDay, 1.0/7)
	if !strings.Contains(stocks[1].Basis, "the last 13 tests came 7.0 days apart") {
		t.Error(stocks[1].Basis)
	}
}

func TestReagentWithFewTests(t *testing.T) {
	recs := []logbook.Record{
		logbook.Tank{Name: "forereef"},
		logbook.Stock{Tank: "forereef", Name: "reagent", Unit: "tests", Parameter: "phosphate"},
		logbook.Refill{Time: marchDay(1), Tank: "forereef", Stock: "reagent", Amount: 3},
		reagentTest(2, "a"), reagentTest(4, "b"),
	}
	s := examined(t, supplyBook(t, recs...), marchDay(5)).Stocks[0]
	if s.Left != 1 || !strings.Contains(s.Why, "needs 5 tests to learn how often, has 2") || !math.IsNaN(s.Out.P50) {
		t.Errorf("%+v", s)
	}
	every := 7.0
	recs[0] = logbook.Tank{Name: "forereef", Bands: map[string]logbook.Band{"phosphate": {EveryDays: &every}}}
	s = examined(t, supplyBook(t, recs...), marchDay(5)).Stocks[0]
	if s.Why != "" || s.Out.P50 != 6 || !math.IsNaN(s.Out.P10) || !strings.Contains(s.Basis, "as planned") {
		t.Errorf("%+v", s)
	}
}

func TestExpiryIsKeptWhenStockIsLookedAt(t *testing.T) {
	fill := func(amount float64, expires string) logbook.Refill {
		return logbook.Refill{Amount: amount, Expires: expires}
	}
	for _, c := range []struct {
		fills []logbook.Refill
		want  string
	}{
		{[]logbook.Refill{fill(50, "2026-05-31")}, "2026-06-01"},
		{[]logbook.Refill{fill(50, "2026-05-31"), fill(30, "")}, "2026-06-01"},
		{[]logbook.Refill{fill(50, "2026-05-31"), fill(50, ""), fill(30, "")}, "2026-06-01"},
		{[]logbook.Refill{fill(30, "2026-05-31"), fill(50, "")}, "0001-01-01"},
		{[]logbook.Refill{fill(30, "2026-05-31"), fill(50, "2026-07-01")}, "2026-07-02"},
	} {
		if got := expiryOf(c.fills, time.UTC).Format(time.DateOnly); got != c.want {
			t.Errorf("%+v: %s, want %s", c.fills, got, c.want)
		}
	}
}

// What is left is never below nothing, and a greater use never makes a stock last longer.
func TestRunDownProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amount := rapid.Float64Range(0, 1e4).Draw(t, "amount")
		perDay := rapid.Float64Range(0, 1e3).Draw(t, "per day")
		more := rapid.Float64Range(1, 10).Draw(t, "times as much")
		days := rapid.Float64Range(0, 1000).Draw(t, "days since")
		asOf := marchDay(1)
		filled := logbook.Refill{Time: asOf.Add(-time.Duration(days * dayNanos)), Amount: amount}
		at := func(rate float64) Stock {
			s := Stock{Filled: filled}
			s.runDown(rate*days, rate, doserShare, asOf)
			return s
		}
		a, b := at(perDay), at(perDay*more)
		for _, s := range []Stock{a, b} {
			if !(s.Left >= 0 && s.Left <= amount) || !(s.Out.P10 >= 0 && s.Out.P10 <= s.Out.P50 && s.Out.P50 <= s.Out.P90) {
				t.Fatalf("%+v", s)
			}
			if !s.Since.IsZero() && (s.Since.Before(filled.Time.Truncate(time.Second)) || s.Since.After(asOf.Add(time.Second))) {
				t.Fatalf("low since %v, filled %v, now %v", s.Since, filled.Time, asOf)
			}
		}
		if b.Left > a.Left || b.Out.P10 > a.Out.P10+1e-9 || b.Out.P50 > a.Out.P50+1e-9 || b.Out.P90 > a.Out.P90+1e-9 {
			t.Fatalf("%g a day: %+v, %g a day: %+v", perDay, a.Out, perDay*more, b.Out)
		}
	})
}

// The same through the book: a dosing raised on some day makes its reservoir end no later.
func TestRaisedDosingEndsTheReservoirEarlier(t *testing.T) {
	before := RunOut{math.Inf(1), math.Inf(1), math.Inf(1)}
	for _, perDay := range []float64{0, 0.1, 0.5, 1, 4, 40} {
		s := examined(t, supplyBook(t, reservoir(
			logbook.Refill{Time: marchDay(1), Tank: "forereef", Stock: "soda ash reservoir", Amount: 5},
			logbook.Dosing{Time: marchDay(1), Tank: "forereef", Parameter: "alkalinity", PerDay: 0.05, Supplement: "soda ash"},
			logbook.Dosing{Time: marchDay(4), Tank: "forereef", Parameter: "alkalinity", PerDay: perDay, Supplement: "soda ash"},
		)...), marchDay(9)).Stocks[0]
		if s.Left < 0 || s.Out.P50 > before.P50 || perDay > 0.1 && s.Out.P50 == before.P50 {
			t.Errorf("%g dKH a day: %+v after %+v", perDay, s.Out, before)
		}
		before = s.Out
	}
}

// A reagent that is used at random intervals runs out within the stated range about as often as is stated.
func TestReagentRangeCovers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for _, left := range []float64{1, 5, 20} {
		inside, trials := 0, 3000
		for range trials {
			gap := func() float64 { return 7 * (0.5 + rnd.Float64()) }
			var r testRate
			var gaps []float64
			for range 12 {
				gaps = append(gaps, gap())
				r.every += gaps[len(gaps)-1] / 12
			}
			for _, g := range gaps {
				r.sd += sq(g-r.every) / 11
			}
			r.sd, r.n = math.Sqrt(r.sd), len(gaps)
			end := 0.0
			for range int(left) {
				end += gap()
			}
			if o := r.end(left, 0); end >= o.P10 && end <= o.P90 {
				inside++
			}
		}
		// The habit of these testers does not change, so the range may hold more than 80 %, but not much less.
		if share := float64(inside) / float64(trials); share < 0.75 || share > 0.97 {
			t.Errorf("%g tests left: %.3f inside", left, share)
		}
	}
}
