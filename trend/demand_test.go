package trend

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// consumed is a made series: a level that falls by a steady demand, with what was done to it.
type consumed struct {
	obs    []Observation
	in     []Input
	demand float64
	set    DemandSettings
}

// drawConsumed draws a tank of constant demand without any noise in the readings. The level is stepped from event to
// event: between them it moves by (supply - demand) days.
func drawConsumed(t *rapid.T) consumed {
	c := consumed{demand: rapid.Float64Range(0.3, 3).Draw(t, "demand"), set: DemandSettings{Scale: 1}}
	sd := rapid.Float64Range(0.05, 0.2).Draw(t, "sd")
	level, supply, day := 8.0, 0.0, 0.0
	for range rapid.IntRange(20, 50).Draw(t, "events") {
		days := rapid.Float64Range(0.5, 5).Draw(t, "days")
		level += (supply - c.demand) * days
		day += days
		switch rapid.IntRange(0, 5).Draw(t, "what") {
		case 0:
			supply = rapid.Float64Range(0, 3).Draw(t, "supply")
			c.in = append(c.in, Input{Day: day, Kind: Dosing, Amount: supply})
		case 1:
			rise := rapid.Float64Range(0.1, 2).Draw(t, "dose")
			c.in = append(c.in, Input{Day: day, Kind: Dose, Amount: rise})
			level += rise
		case 2:
			f, fresh := rapid.Float64Range(0.05, 0.5).Draw(t, "fraction"), rapid.Float64Range(6, 12).Draw(t, "new")
			c.in = append(c.in, Input{Day: day, Kind: Change, Fraction: f, New: fresh})
			level += f * (fresh - level)
		default:
			c.obs = append(c.obs, Observation{Day: day, Value: level, Lo: level, Hi: level, SD: sd, Described: true})
		}
	}
	return c
}

func (c consumed) hindcast() []Demand { return HindcastDemand(c.obs, c.in, c.set) }

// sameDemands compares all numbers of two series of demands.
func sameDemands(t *rapid.T, got, want []Demand, scale float64) {
	t.Helper()
	for i := range want {
		g, w := got[i], want[i]
		pairs := [][2]float64{{g.PerDay, scale * w.PerDay}, {g.Lo, scale * w.Lo}, {g.Hi, scale * w.Hi},
			{g.Supply, scale * w.Supply},
			{g.Net, scale * w.Net}, {g.Growth, w.Growth}, {g.GrowthLo, w.GrowthLo}, {g.GrowthHi, w.GrowthHi}}
		for k, p := range pairs {
			if math.IsNaN(p[0]) != math.IsNaN(p[1]) || math.Abs(p[0]-p[1]) > 1e-5*(scale+math.Abs(p[1])) {
				t.Fatalf("reading %d, number %d: %v, want %v", i, k, p[0], p[1])
			}
		}
	}
}

// What dosing, doses and water changes put in is taken out again: with exact readings the demand is found whatever was
// done in between, and the growth of a steady one is about nothing.
func TestDemandIsWhatIsMissing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawConsumed(t)
		if len(c.obs) < 8 || c.obs[len(c.obs)-1].Day-c.obs[0].Day < 25 {
			t.Skip("too short")
		}
		d := EstimateDemand(c.obs, c.in, c.obs[len(c.obs)-1].Day, c.set)
		if math.Abs(d.PerDay-c.demand) > 0.06*c.demand+0.03 {
			t.Fatalf("demand %v, want %v", d.PerDay, c.demand)
		}
		if !(d.Lo < c.demand+0.01 && c.demand-0.01 < d.Hi) {
			t.Fatalf("demand %v outside %v to %v", c.demand, d.Lo, d.Hi)
		}
	})
}

// Conservation: a dose that lifts every later reading by its amount changes no estimate.
func TestADoseIsNoDemand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawConsumed(t)
		for i, in := range c.in {
			if in.Kind == Change {
				// a change would carry the rise on in part; the property holds for any readings
				c.in[i] = Input{Day: in.Day, Kind: Dose, Amount: 0.5}
			}
		}
		if len(c.obs) == 0 {
			t.Skip("no reading")
		}
		want := c.hindcast()
		day, rise := rapid.SampledFrom(c.obs).Draw(t, "reading").Day, rapid.Float64Range(-2, 5).Draw(t, "rise")
		lifted := consumed{set: c.set, in: slices.Clone(c.in)}
		at, _ := slices.BinarySearchFunc(lifted.in, day, func(in Input, d float64) int {
			if in.Day < d {
				return -1
			}
			return 1
		})
		lifted.in = slices.Insert(lifted.in, at, Input{Day: day, Kind: Dose, Amount: rise})
		for _, o := range c.obs {
			if o.Day >= day {
				o.Value, o.Lo, o.Hi = o.Value+rise, o.Lo+rise, o.Hi+rise
			}
			lifted.obs = append(lifted.obs, o)
		}
		sameDemands(t, lifted.hindcast(), want, 1)
	})
}

// Of what has a floor, demand and trend are one belief: what goes in less what is taken is the slope, ends and all.
func TestDemandOfWhatRunsOutIsTheTrend(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawConsumed(t)
		c.set.Trend = Settings{Floor: 2, Low: 3, High: 12}
		c.obs = c.obs[:min(len(c.obs), 9)]
		demands := HindcastDemand(c.obs, c.in, c.set)
		for i, a := range Hindcast(c.obs, c.in, c.set.Trend) {
			d := demands[i]
			if math.IsNaN(d.PerDay) {
				continue
			}
			in := d.Supply + d.Regular
			for k, p := range [][2]float64{{7 * (in - d.PerDay), a.SlopePerWeek}, {7 * (in - d.Hi), a.SlopeLo},
				{7 * (in - d.Lo), a.SlopeHi}, {7 * d.Net, a.SlopePerWeek}} {
				if math.Abs(p[0]-p[1]) > 1e-9 {
					t.Fatalf("reading %d, number %d: demand leaves %v a week, the trend says %v", i, k, p[0], p[1])
				}
			}
		}
	})
}

// Phosphate that stands for 40 weeks and then falls by 8 µg/L a week is taken up: four tests tell.
func TestDemandFollowsANewFall(t *testing.T) {
	var obs []Observation
	for week := range 44 {
		value := 0.080 - 0.008*math.Max(float64(week-39), 0)
		obs = append(obs, Observation{Day: float64(7 * week), Value: value, Lo: value - 0.0015, Hi: value + 0.0015, SD: 0.004,
			Described: true})
	}
	d := EstimateDemand(obs, nil, obs[43].Day,
		DemandSettings{Scale: 0.004, Trend: Settings{Floor: 0.02, Low: 0.03, High: 0.1}})
	if want := 0.008 / 7; !(0 < d.Lo && d.Lo < want && want < 1.1*d.Hi) {
		t.Errorf("the demand is %.5f (%.5f to %.5f), want %.5f", d.PerDay, d.Lo, d.Hi, want)
	}
}

// A water change is a step and no fall: with new water of a known level the reading after it, mixed as arithmetic says,
// changes the estimate no more than a reading without a change does.
func TestAWaterChangeIsAStep(t *testing.T) {
	var plain, changed consumed
	plain.set, changed.set = DemandSettings{Scale: 1}, DemandSettings{Scale: 1}
	const demand, f, fresh = 0.8, 0.3, 11.0
	level, mixed := 10.0, 10.0
	for day := 0.0; day <= 20; day += 2 {
		plain.obs = append(plain.obs, Observation{Day: day, Value: level, Lo: level, Hi: level, SD: 0.1})
		changed.obs = append(changed.obs, Observation{Day: day, Value: mixed, Lo: mixed, Hi: mixed, SD: 0.1})
		level -= 2 * demand
		mixed -= 2 * demand
		if day == 10 {
			changed.in = append(changed.in, Input{Day: 12, Kind: Change, Fraction: f, New: fresh})
			mixed = mixed*(1-f) + f*fresh
		}
	}
	a, b := plain.hindcast(), changed.hindcast()
	for i := 3; i < len(a); i++ {
		if math.Abs(a[i].PerDay-b[i].PerDay) > 0.01 {
			t.Errorf("reading %d: %v without a change, %v with", i, a[i].PerDay, b[i].PerDay)
		}
	}
}

// The unit does not matter, nor does the day from which days are counted.
func TestDemandScalesAndShifts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawConsumed(t)
		want := c.hindcast()
		k := rapid.SampledFrom([]float64{0.01, 0.3567, 17.85, 400}).Draw(t, "unit")
		shift := rapid.SampledFrom([]float64{0, -400, 20454.25}).Draw(t, "shift")
		moved := consumed{set: DemandSettings{Scale: k * c.set.Scale}}
		for _, o := range c.obs {
			o.Day += shift
			o.Value, o.Lo, o.Hi, o.SD = k*o.Value, k*o.Lo, k*o.Hi, k*o.SD
			moved.obs = append(moved.obs, o)
		}
		for _, in := range c.in {
			in.Day += shift
			in.Amount, in.New = k*in.Amount, k*in.New
			moved.in = append(moved.in, in)
		}
		sameDemands(t, moved.hindcast(), want, k)
	})
}

// Whatever the readings are, three of them over more than a day give finite numbers in order; and the hindcast says
// what an estimate as-of that reading says.
func TestDemandIsFinite(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawConsumed(t)
		for i := range c.obs {
			v := rapid.OneOf(rapid.Float64Range(0, 20), rapid.SampledFrom([]float64{0, 1e6, 8})).Draw(t, "value")
			c.obs[i].Value, c.obs[i].Lo, c.obs[i].Hi = v, v, v
			if rapid.IntRange(0, 9).Draw(t, "bound") == 0 {
				c.obs[i].Lo = math.Inf(-1)
			}
		}
		used := 0
		first := math.NaN()
		all := c.hindcast()
		for i, d := range all {
			if !math.IsInf(c.obs[i].Lo, 0) {
				if used == 0 {
					first = c.obs[i].Day
				}
				used++
			}
			if d.N != used {
				t.Fatalf("reading %d: n is %d, want %d", i, d.N, used)
			}
			told := used >= minDemandReadings
			if told && c.obs[i].Day-first < minDemandDays {
				continue
			}
			for _, v := range []float64{d.PerDay, d.Lo, d.Hi, d.Net, d.Growth, d.GrowthLo, d.GrowthHi} {
				if math.IsNaN(v) == told || math.IsInf(v, 0) {
					t.Fatalf("reading %d of %d used: %+v", i, used, d)
				}
			}
			if told && !(d.Lo < d.Hi && d.GrowthLo <= d.GrowthHi) {
				t.Fatalf("reading %d: %+v", i, d)
			}
		}
		if len(all) > 0 {
			i := rapid.IntRange(0, len(all)-1).Draw(t, "reading")
			got := EstimateDemand(c.obs[:i+1], c.in, c.obs[i].Day, c.set)
			if fmt.Sprint(got) != fmt.Sprint(all[i]) {
				t.Fatalf("as-of reading %d:\n%+v, hindcast\n%+v", i, got, all[i])
			}
		}
	})
}

func TestDemandBeforeItCanBeTold(t *testing.T) {
	reading := func(day, v float64) Observation { return Observation{Day: day, Value: v, Lo: v, Hi: v, SD: 0.1} }
	below := Observation{Day: 3, Value: 0.02, Lo: math.Inf(-1), Hi: 0.02, SD: 0.1, Bound: Below}
	in := []Input{{Day: 0, Kind: Dosing, Amount: 0.9}}
	for name, c := range map[string]struct {
		obs  []Observation
		code string
	}{
		"no reading":           {nil, "too-few"},
		"two readings":         {[]Observation{reading(1, 8), reading(2, 7)}, "too-few"},
		"two and a bound":      {[]Observation{reading(1, 8), reading(2, 7), below}, "bounds-left-out"},
		"a test and two again": {[]Observation{reading(1, 8), reading(1.01, 8.1), reading(1.02, 8)}, "too-close"},
	} {
		d := EstimateDemand(c.obs, in, 4, DemandSettings{Scale: 1})
		if !math.IsNaN(d.PerDay) || !math.IsNaN(d.Lo) || !math.IsNaN(d.Net) || d.Supply != 0.9 {
			t.Errorf("%s: %+v", name, d)
		}
		if !slices.ContainsFunc(d.Notes, func(n Note) bool { return n.Code == c.code }) {
			t.Errorf("%s: notes %v, want %s", name, d.Notes, c.code)
		}
	}
}

// What comes after the moment asked about is not looked at.
func TestDemandKnowsNothingOfLater(t *testing.T) {
	var obs []Observation
	for day := 0.0; day < 40; day += 2 {
		v := 9 - day*0.05
		obs = append(obs, Observation{Day: day, Value: v, Lo: v, Hi: v, SD: 0.1})
	}
	in := []Input{{Day: 25, Kind: Dosing, Amount: 3}, {Day: 26, Kind: Dose, Amount: 5}}
	got, want := EstimateDemand(obs, in, 20, DemandSettings{Scale: 1}),
		EstimateDemand(obs[:11], nil, 20, DemandSettings{Scale: 1})
	if fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%+v\n%+v", got, want)
	}
}

func TestDemandRefusesAScaleOfNothing(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	EstimateDemand(nil, nil, 0, DemandSettings{})
}

// A demand that changes at once, which no growth explains, is followed within some weeks, whether it was next to
// nothing before or much.
func TestDemandFollowsAnAbruptChange(t *testing.T) {
	for name, c := range map[string]struct{ before, after, start, scale, sd float64 }{
		"nitrate is dosed, and taken":  {0.02, 0.28, 5, 2, 0.4},
		"half of the corals are gone":  {1.6, 0.8, 8, 1, 0.12},
		"food is left out for nothing": {-0.2, 0.2, 10, 2, 0.4},
	} {
		var obs []Observation
		in := []Input{{Day: 0, Kind: Dosing, Amount: max(c.before, 0)}, {Day: 140, Kind: Dosing, Amount: max(c.after, 0)}}
		level, at140 := c.start, 0
		for day := 0.0; day < 220; day += 7 {
			o := Observation{Day: day, Value: level, Lo: level, Hi: level, SD: c.sd, Described: true}
			obs = append(obs, o)
			taken, supply := c.before, max(c.before, 0)
			if day >= 140 {
				taken, supply = c.after, max(c.after, 0)
			} else {
				at140 = len(obs)
			}
			level += 7 * (supply - taken)
			if day == 133 && name == "half of the corals are gone" {
				in[1].Day = 168 // the keeper goes on dosing for four weeks
			}
			if day >= 140 && day < in[1].Day {
				level += 7 * (max(c.before, 0) - supply)
			}
		}
		ds := HindcastDemand(obs, in, DemandSettings{Scale: c.scale})
		if before := ds[at140-1]; math.Abs(before.PerDay-c.before) > 0.1 {
			t.Errorf("%s: %v before, want %v", name, before.PerDay, c.before)
		}
		last := ds[len(ds)-1]
		if math.Abs(last.PerDay-c.after) > 0.25*math.Abs(c.after-c.before) {
			t.Errorf("%s: %v (%v to %v) in the end, want %v", name, last.PerDay, last.Lo, last.Hi, c.after)
		}
	}
}
