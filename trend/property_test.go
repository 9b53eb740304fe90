package trend

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// drawSeries is any plausible series of a nutrient with what was done to the water.
func drawSeries(t *rapid.T) ([]Observation, []Input) {
	var obs []Observation
	day := 0.0
	level := rapid.Float64Range(0.01, 0.4).Draw(t, "level")
	for range rapid.IntRange(0, 25).Draw(t, "readings") {
		day += rapid.SampledFrom([]float64{0, 1, 3.5, 6.8, 7, 15, 40}).Draw(t, "gap")
		level = min(level*math.Exp(rapid.Float64Range(-0.4, 0.35).Draw(t, "move")), 2)
		sd := rapid.Float64Range(0.001, 0.02).Draw(t, "sd")
		v := math.Round(level/0.003) * 0.003
		o := reading(day, v, 0.003, sd)
		switch rapid.IntRange(0, 9).Draw(t, "bound") {
		case 0:
			o = under(day, 0.02, sd)
		case 1:
			o = Observation{Day: day, Value: 0.3, Lo: 0.3, Hi: math.Inf(1), SD: sd, Bound: Above, Described: true}
		case 2:
			o.Value, o.Lo, o.Hi = 10*v, 10*v-0.0015, 10*v+0.0015 // a decimal slip
		}
		obs = append(obs, o)
	}
	if rapid.Bool().Draw(t, "undescribed") {
		undescribed(obs)
	}
	var in []Input
	for range rapid.IntRange(0, 5).Draw(t, "inputs") {
		i := Input{
			Day:    float64(rapid.IntRange(-80, 960).Draw(t, "at")) / 8,
			Kind:   InputKind(rapid.IntRange(0, 2).Draw(t, "kind")),
			Amount: rapid.Float64Range(0, 0.05).Draw(t, "amount"), Fraction: rapid.Float64Range(0, 0.6).Draw(t, "fraction"),
			New: rapid.SampledFrom([]float64{0, 0.01, math.NaN()}).Draw(t, "new"),
		}
		if i.Kind == Dosing {
			i.Amount /= 20
		}
		in = append(in, i)
	}
	return obs, in
}

// moved is a series shifted in time and scaled in value.
func moved(obs []Observation, in []Input, days, by float64) ([]Observation, []Input) {
	obs, in = slices.Clone(obs), slices.Clone(in)
	for i := range obs {
		obs[i].Day += days
		obs[i].Value *= by
		obs[i].Lo *= by
		obs[i].Hi *= by
		obs[i].SD *= by
		obs[i].Kits = slices.Clone(obs[i].Kits)
		for k := range obs[i].Kits {
			kit := &obs[i].Kits[k]
			kit.Lo, kit.Hi, kit.SD, kit.SDBelow, kit.SDAbove = by*kit.Lo, by*kit.Hi, by*kit.SD, by*kit.SDBelow, by*kit.SDAbove
		}
	}
	for i := range in {
		in[i].Day += days
		in[i].Amount *= by
		in[i].New *= by
	}
	return obs, in
}

// Factors are powers of two, so that only rounding of times is left, which may tip a cell at the end of a row.
func TestTimeAndUnitDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		obs, in := drawSeries(t)
		days := rapid.SampledFrom([]float64{-1024, 0.25, 16384}).Draw(t, "days")
		by := rapid.SampledFrom([]float64{1024, 0.25, 1 / 1024.0}).Draw(t, "by")
		asOf := 125.0
		if len(obs) > 0 {
			asOf = max(asOf, obs[len(obs)-1].Day)
		}
		a := Assess(obs, in, asOf, nutrient)
		obs2, in2 := moved(obs, in, days, by)
		set := nutrient
		set.Floor, set.Low, set.High = by*set.Floor, by*set.Low, by*set.High
		b := Assess(obs2, in2, asOf+days, set)
		if d := differ(reflect.ValueOf(engineNumbers(a, 1, 0)), reflect.ValueOf(engineNumbers(b, by, days)), 1e-3); d != "" {
			t.Fatalf("%s\n%v\n%v", d, engineNumbers(a, 1, 0), engineNumbers(b, by, days))
		}
		if a.Direction != b.Direction || a.BottomingOut != b.BottomingOut || a.BottomedOut != b.BottomedOut ||
			a.TestAgain != b.TestAgain {
			t.Fatalf("the words differ: %+v and %+v", a, b)
		}
	})
}

// engineNumbers are the engine's numbers in an assessment, brought back from a scale and a shift of time.
func engineNumbers(a Assessment, by, days float64) []float64 {
	out := []float64{
		a.Level / by, a.LevelLo / by, a.LevelHi / by, a.SlopePerWeek / by, a.SlopeLo / by, a.SlopeHi / by,
		a.PFloor14, a.PFloor28, a.PFloor42, a.FloorP10, a.FloorP50, a.FloorP90, a.NextTest, a.Surprise,
		a.Expected.Mean / by, a.Expected.Lo / by, a.Expected.Hi / by, a.BottomingOutSince - days, a.BottomedOutSince - days,
	}
	for _, f := range a.Forecast {
		out = append(out, f.Days, f.Mean/by, f.Lo/by, f.Hi/by)
	}
	return out
}

// What is documented as known is a number, what is a chance lies in 0 … 1, and what is an interval is one.
func TestNumbersAreSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		obs, in := drawSeries(t)
		for i, a := range Hindcast(obs, in, nutrient) {
			known := []float64{a.Level, a.LevelLo, a.LevelHi, a.PFloor14, a.PFloor28, a.PFloor42, a.NextTest}
			if slices.ContainsFunc(obs[:i+1], func(o Observation) bool { return o.Bound == Exact }) {
				known = append(known, a.SlopePerWeek, a.SlopeLo, a.SlopeHi)
			}
			for _, f := range a.Forecast {
				known = append(known, f.Mean, f.Lo, f.Hi)
				if !(0 <= f.Lo && f.Lo < f.Hi && f.Lo <= f.Mean && f.Mean <= f.Hi) {
					t.Fatalf("reading %d: forecast %+v", i, f)
				}
			}
			for _, x := range known {
				if math.IsNaN(x) || math.IsInf(x, 0) {
					t.Fatalf("reading %d: %+v", i, a)
				}
			}
			chances := []float64{0, a.PFloor14, a.PFloor28, a.PFloor42, 1}
			dates := []float64{0, a.FloorP10, a.FloorP50, a.FloorP90}
			if !slices.IsSorted(chances) || !slices.IsSorted(dates) ||
				!(0 < a.LevelLo && a.LevelLo <= a.Level && a.Level <= a.LevelHi) {
				t.Fatalf("reading %d: chances %v, dates %v, level %v %v %v", i, chances, dates, a.LevelLo, a.Level, a.LevelHi)
			}
			if s := a.Surprise; i > 0 && !(0 <= s && s <= 1) {
				t.Fatalf("reading %d: surprise %v", i, s)
			}
			if len(a.Forecast) != 4 {
				t.Fatalf("reading %d: %d forecasts", i, len(a.Forecast))
			}
		}
	})
}

// The order in which readings of one moment were written down tells nothing.
func TestOrderWithinAMomentDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var obs []Observation
		for i := range rapid.IntRange(1, 8).Draw(t, "readings") {
			obs = append(obs, reading(float64(7*i), 0.003*float64(rapid.IntRange(30, 40).Draw(t, "steps")), 0.003, 0.005))
		}
		day := float64(7 * len(obs))
		a := reading(day, 0.003*float64(rapid.IntRange(30, 40).Draw(t, "one")), 0.003, 0.005)
		b := reading(day, 0.003*float64(rapid.IntRange(30, 40).Draw(t, "other")), 0.003, 0.005)
		x := Assess(append(slices.Clone(obs), a, b), nil, day, nutrient)
		y := Assess(append(slices.Clone(obs), b, a), nil, day, nutrient)
		if d := differ(reflect.ValueOf(engineNumbers(x, 1, 0)), reflect.ValueOf(engineNumbers(y, 1, 0)), 1e-12); d != "" {
			t.Fatal(d)
		}
		h := Hindcast(append(slices.Clone(obs), b, a), nil, nutrient)
		if d := differ(reflect.ValueOf(engineNumbers(x, 1, 0)), reflect.ValueOf(engineNumbers(h[len(h)-1], 1, 0)),
			1e-12); d != "" {
			t.Fatalf("assessed and hindcast: %s", d)
		}
	})
}

// A method that scatters more tells less: with the same reports the interval of the level is wider. The domain is a
// series without surprises: where readings contradict each other, more scatter can reconcile two stories into one, and
// the interval may rightly shrink.
func TestMoreNoiseNeverNarrowsAnInterval(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 12).Draw(t, "readings")
		level := rapid.Float64Range(0.05, 0.2).Draw(t, "level")
		width := func(sd float64) float64 {
			var obs []Observation
			for i := range n {
				obs = append(obs, reading(float64(7*i), level, 0.003, sd))
			}
			a := Assess(obs, nil, float64(7*n-7), nutrient)
			return math.Log(a.LevelHi / a.LevelLo)
		}
		before := 0.0
		for _, rel := range []float64{0.03, 0.06, 0.12, 0.25} {
			w := width(rel * level)
			if w < 0.99*before {
				t.Fatalf("%d readings of %v: width %v at %v, %v with less scatter", n, level, w, rel, before)
			}
			before = w
		}
	})
}
