package trend

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"
)

// nutrient are the settings of most tests here: phosphate in mg/L.
var nutrient = Settings{Floor: 0.03, Low: 0.045, High: 0.2, Wobble: 0.1}

// reading is a report by an instrument of the given step and scatter.
func reading(day, value, step, sd float64) Observation {
	o := Observation{Day: day, Value: value, Lo: value - step/2, Hi: value + step/2, SD: sd, Described: true}
	if o.Lo < 0 {
		o.Lo = math.Inf(-1)
	}
	return o
}

// under is a "<limit".
func under(day, limit, sd float64) Observation {
	return Observation{Day: day, Value: limit, Lo: math.Inf(-1), Hi: limit, SD: sd, Bound: Below, Described: true}
}

// readingsOf are readings of phosphate seven days apart.
func readingsOf(values ...float64) []Observation {
	var obs []Observation
	for i, v := range values {
		obs = append(obs, reading(float64(7*i), v, 0.003, 0.004))
	}
	return obs
}

// falling is a made-up series that holds for n readings and then falls by a seventh a week.
func falling(n int) []Observation {
	r := rand.New(rand.NewPCG(3, 4))
	level := 0.12
	values := make([]float64, n+12)
	for i := range values {
		if i >= n {
			level *= 1 - 1.0/7
		}
		values[i] = math.Round(level*math.Exp(0.06*r.NormFloat64())/0.003) * 0.003
	}
	return readingsOf(values...)
}

func sameValue(t *testing.T, what string, a, b any) {
	t.Helper()
	if d := differ(reflect.ValueOf(a), reflect.ValueOf(b), 1e-9); d != "" {
		t.Errorf("%s: %s", what, d)
	}
}

// differ compares two values of a type by their fields, numbers to a relative tolerance, NaN equal to NaN.
func differ(a, b reflect.Value, tol float64) string {
	switch a.Kind() {
	case reflect.Float64:
		x, y := a.Float(), b.Float()
		if x == y || math.IsNaN(x) && math.IsNaN(y) || math.Abs(x-y) <= tol*(math.Abs(x)+math.Abs(y)+1) {
			return ""
		}
		return ": not the same number"
	case reflect.Struct:
		for i := range a.NumField() {
			if d := differ(a.Field(i), b.Field(i), tol); d != "" {
				return a.Type().Field(i).Name + d
			}
		}
	case reflect.Slice:
		if a.Len() != b.Len() {
			return ": not as many"
		}
		for i := range a.Len() {
			if d := differ(a.Index(i), b.Index(i), tol); d != "" {
				return d
			}
		}
	case reflect.Pointer:
		if a.IsNil() != b.IsNil() {
			return ": one is missing"
		}
		if !a.IsNil() {
			return differ(a.Elem(), b.Elem(), tol)
		}
	default:
		if !a.Equal(b) {
			return ": not the same"
		}
	}
	return ""
}

func TestHindcastIsAssessAsOfEachReading(t *testing.T) {
	obs := falling(10)
	obs[4].Value, obs[4].Lo, obs[4].Hi = 0.9, 0.8985, 0.9015 // a blunder
	obs[9].Described = false
	obs[20] = under(obs[20].Day, 0.02, 0.004)
	in := []Input{
		{Day: -3, Kind: Dosing, Amount: 0.002}, {Day: 30.5, Kind: Change, Fraction: 0.2, New: math.NaN()},
		{Day: 44, Kind: Dose, Amount: 0.03}, {Day: 90, Kind: Dosing, Amount: 0.004},
	}
	for i, h := range Hindcast(obs, in, nutrient) {
		sameValue(t, "as-of reading", h, Assess(obs[:i+1], in, obs[i].Day, nutrient))
		sameValue(t, "later readings are not looked at", h, Assess(obs, in, obs[i].Day, nutrient))
	}
}

// Looking back from the newest reading finds the flags that following the series from the oldest one finds, at every
// reading of series that fall to the floor and recover.
func TestFlagsBackwardsAreThoseForwards(t *testing.T) {
	r := rand.New(rand.NewPCG(21, 22))
	raised := 0
	for series := range 300 {
		var obs []Observation
		day, level, share := 0.0, 1+3*r.Float64(), 0.0
		for range 16 {
			if r.IntN(6) > 0 { // else at the same moment as the last
				day += float64(1 + r.IntN(10))
			}
			if r.IntN(5) == 0 {
				share = 0.5 * r.NormFloat64()
			}
			level = math.Min(math.Max(level*math.Exp(share), 0.2), 8)
			obs = append(obs, reading(day, 0.03*level*math.Exp(0.1*r.NormFloat64()), 0.003, 0.004))
		}
		forwards := newEngine(obs, nil, nutrient)
		var moments []*engine
		for i, o := range byMoment(obs) {
			forwards.read(o, false)
			if i < len(obs)-1 && obs[i+1].Day == o.Day {
				continue
			}
			moments = append(moments, forwards.clone())
			sameValue(t, fmt.Sprintf("series %d, reading %d", series, i), flagsAfter(moments), forwards.flags)
			if forwards.flags.bottomingOut.up || forwards.flags.bottomedOut.up {
				raised++
			}
		}
	}
	if raised < 300 {
		t.Errorf("raised at %d readings: too few to tell anything", raised)
	}
}

func TestAFallIsCalledBeforeTheFloorAndClearedAfterRecovery(t *testing.T) {
	obs := falling(12)
	last := obs[len(obs)-1].Day
	for i := range 8 { // brought back
		obs = append(obs, reading(last+float64(7*(i+1)), 0.12, 0.003, 0.004))
	}
	var warned, out, cleared float64 = math.NaN(), math.NaN(), math.NaN()
	for _, a := range Hindcast(obs, nil, nutrient) {
		if a.BottomingOut && math.IsNaN(warned) {
			warned = a.AsOf
		}
		if a.BottomedOut && math.IsNaN(out) {
			out = a.AsOf
		}
		if !a.BottomingOut && !math.IsNaN(out) && math.IsNaN(cleared) {
			cleared = a.AsOf
		}
		if a.BottomingOut != !math.IsNaN(a.BottomingOutSince) || a.BottomingOutSince > a.AsOf {
			t.Errorf("day %v: bottoming out %v since %v", a.AsOf, a.BottomingOut, a.BottomingOutSince)
		}
	}
	// The level passes 0.03 about nine weeks into the fall, which begins with reading 12 at day 84: 0.12·(6/7)^9 = 0.030.
	if floor := 84 + 8*7.0; !(warned > 84 && warned <= floor-7) {
		t.Errorf("warned on day %v, the fall begins on day 84 and reaches the floor on day %v", warned, floor)
	}
	if !(out > warned) || !(cleared > last && cleared <= last+21) {
		t.Errorf("warned %v, bottomed out %v, cleared %v; recovery begins after day %v", warned, out, cleared, last)
	}
}

func TestSteadyTanksAreSteady(t *testing.T) {
	a := Assess(readingsOf(0.12, 0.117, 0.123, 0.12, 0.12, 0.117, 0.126, 0.12, 0.12, 0.12), nil, 63, nutrient)
	if a.Direction != Steady || a.BottomingOut || a.PFloor42 > 0.08 || !math.IsInf(a.FloorP50, 1) {
		t.Errorf("%v, bottoming out %v, chance %v, floor date %v", a.Direction, a.BottomingOut, a.PFloor42, a.FloorP50)
	}
	if !(a.LevelLo < 0.12 && 0.12 < a.LevelHi && a.SlopeLo < 0 && 0 < a.SlopeHi) {
		t.Errorf("level %v … %v, slope %v … %v", a.LevelLo, a.LevelHi, a.SlopeLo, a.SlopeHi)
	}
}

func TestDirections(t *testing.T) {
	down := Assess(readingsOf(0.2, 0.18, 0.16, 0.141, 0.126, 0.111, 0.1), nil, 42, nutrient)
	up := Assess(readingsOf(0.1, 0.111, 0.126, 0.141, 0.16, 0.18, 0.2), nil, 42, nutrient)
	if down.Direction != Falling || up.Direction != Rising {
		t.Errorf("%v and %v", down.Direction, up.Direction)
	}
	// the fall is about 0.012 a week at the end
	if !(down.SlopeLo < -0.012 && -0.012 < down.SlopeHi && down.SlopeHi < 0) {
		t.Errorf("slope %v (%v … %v) per week", down.SlopePerWeek, down.SlopeLo, down.SlopeHi)
	}
}

func TestTooFewReadingsAreUnknown(t *testing.T) {
	a := Assess(nil, nil, 5, nutrient)
	if a.N != 0 || a.Direction != Unknown || !math.IsNaN(a.Level) || !math.IsNaN(a.PFloor42) || len(a.Notes) == 0 {
		t.Errorf("no reading: %+v", a)
	}
	for n := 1; n < fewestReadings; n++ {
		a := Assess(readingsOf(0.2, 0.1)[:n], nil, 7, nutrient)
		if a.Direction != Unknown || a.Notes[0].Code != "too-few" || math.IsNaN(a.Level) || math.IsNaN(a.PFloor42) {
			t.Errorf("%d readings: direction %v, notes %v, level %v", n, a.Direction, a.Notes, a.Level)
		}
	}
}

func TestAllCensoredIsUnknown(t *testing.T) {
	var obs []Observation
	for i := range 9 {
		obs = append(obs, under(float64(7*i), 0.02, 0.004))
	}
	a := Assess(obs, nil, 60, nutrient)
	if a.Direction != Unknown || !math.IsNaN(a.SlopePerWeek) || a.Notes[0].Code != "all-censored" {
		t.Errorf("direction %v, slope %v, notes %v", a.Direction, a.SlopePerWeek, a.Notes)
	}
	if !(a.LevelLo > 0 && a.LevelHi < 0.03) || !a.BottomedOut {
		t.Errorf("level %v … %v, bottomed out %v", a.LevelLo, a.LevelHi, a.BottomedOut)
	}
}

func TestABlunderIsNotBelievedButASecondLowReadingIs(t *testing.T) {
	obs := readingsOf(0.12, 0.117, 0.123, 0.12, 0.12, 0.117, 0.012)
	a := Assess(obs, nil, 42, nutrient)
	if a.Surprise > suspectTail || a.BottomedOut || !(a.LevelHi > 0.06) {
		t.Errorf("one low reading: tail %v, bottomed out %v, level up to %v", a.Surprise, a.BottomedOut, a.LevelHi)
	}
	if !a.TestAgain && !a.BottomingOut {
		t.Error("one low reading that may be a sudden fall asks for nothing")
	}
	obs = append(obs, reading(44, 0.012, 0.003, 0.004))
	if a := Assess(obs, nil, 44, nutrient); !a.BottomedOut || a.LevelHi > 0.03 {
		t.Errorf("a second one: bottomed out %v, level up to %v", a.BottomedOut, a.LevelHi)
	}
}

func TestJudge(t *testing.T) {
	obs := readingsOf(0.12, 0.117, 0.123, 0.12, 0.12, 0.117)
	like, slip := Judge(obs, nil, reading(42, 0.12, 0.003, 0.004), nutrient),
		Judge(obs, nil, reading(42, 1.2, 0.003, 0.004), nutrient)
	if like.Suspect || like.Tail < 0.3 || !(like.Expected.Lo < 0.12 && 0.12 < like.Expected.Hi) {
		t.Errorf("a reading like the others: %+v", like)
	}
	if !slip.Suspect || slip.Tail > 1e-3 {
		t.Errorf("a decimal slip: %+v", slip)
	}
	sameValue(t, "what is expected does not depend on the reading", like.Expected, slip.Expected)
	if j := Judge(nil, nil, obs[0], nutrient); j.Suspect || !math.IsNaN(j.Tail) {
		t.Errorf("a first reading: %+v", j)
	}
	all := append(append([]Observation(nil), obs...), reading(42, 1.2, 0.003, 0.004))
	a := Assess(all, nil, 42, nutrient)
	sameValue(t, "Assess says the same of its latest reading", Judgement{a.Expected, a.Surprise, true}, slip)
}

func TestAWaterChangeIsAStepAndNotATrend(t *testing.T) {
	obs := readingsOf(0.12, 0.12, 0.12, 0.12, 0.12, 0.06, 0.06, 0.06)
	change := []Input{{Day: 30, Kind: Change, Fraction: 0.5, New: 0}}
	with, without := Assess(obs, change, 49, nutrient), Assess(obs, nil, 49, nutrient)
	if with.Direction == Falling || !(with.PFloor42 < without.PFloor42) {
		t.Errorf("told: %v, chance %.3f; not told: chance %.3f", with.Direction, with.PFloor42, without.PFloor42)
	}
	// Nobody has tested since: the level is where the arithmetic puts it, 0.5·0.12.
	at := Assess(obs[:5], change, 30, nutrient)
	if math.Abs(at.Level/0.06-1) > 0.03 {
		t.Errorf("level %v after half the water was changed, want 0.060", at.Level)
	}
	dose := []Input{{Day: 30, Kind: Dose, Amount: 0.08}}
	if a := Assess(obs[:5], dose, 30, nutrient); math.Abs(a.Level/0.2-1) > 0.03 {
		t.Errorf("level %v after a dose, want 0.200", a.Level)
	}
}

func TestAChangeOfDosingShiftsTheSlope(t *testing.T) {
	obs := readingsOf(0.12, 0.12, 0.12, 0.12, 0.12, 0.12)
	before := Assess(obs, nil, 35, nutrient).SlopePerWeek
	for _, perDay := range []float64{0.001, -0.001} {
		in := []Input{{Day: -1, Kind: Dosing, Amount: 0.002}, {Day: 35, Kind: Dosing, Amount: 0.002 + perDay}}
		got := Assess(obs, in, 35, nutrient).SlopePerWeek - before
		if math.Abs(got-7*perDay) > 0.1*7*math.Abs(perDay) {
			t.Errorf("%+v per day more shifts the slope by %v per week, want %v", perDay, got, 7*perDay)
		}
	}
}

func TestAHabitIsPartOfTheBalance(t *testing.T) {
	// A tank held level by feeding against a weekly change of 15 %: tested half-way between the changes.
	var obs []Observation
	var in []Input
	for i := range 12 {
		obs = append(obs, reading(float64(7*i), 0.12, 0.003, 0.004))
		in = append(in, Input{Day: float64(7*i) + 3.5, Kind: Change, Fraction: 0.15, New: 0})
	}
	a := Assess(obs, in, 77, nutrient)
	if a.Direction == Falling || a.Direction == Rising || math.Abs(a.SlopePerWeek) > 0.003 {
		t.Errorf("%v, slope %v per week", a.Direction, a.SlopePerWeek)
	}
	for _, f := range a.Forecast {
		if !(f.Lo < 0.125 && 0.11 < f.Hi) {
			t.Errorf("in %v days %v … %v", f.Days, f.Lo, f.Hi)
		}
	}
}

func TestWhatIf(t *testing.T) {
	obs := readingsOf(0.16, 0.141, 0.126, 0.111, 0.1, 0.09, 0.08)
	now := Assess(obs, nil, 42, nutrient)
	sameValue(t, "nothing more", now, WhatIf(obs, nil, 42, nil, nutrient))
	more := WhatIf(obs, nil, 42, []Input{{Day: 42, Kind: Dosing, Amount: 0.002}}, nutrient)
	if !(more.PFloor42 < now.PFloor42) || !(more.Forecast[2].Mean > now.Forecast[2].Mean+0.02) {
		t.Errorf("dosing more: chance %v, was %v; in 28 days %v, was %v", more.PFloor42, now.PFloor42, more.Forecast[2].Mean,
			now.Forecast[2].Mean)
	}
	sameValue(t, "the present is not touched", []float64{more.Level, more.SlopePerWeek},
		[]float64{now.Level, now.SlopePerWeek})
	change := WhatIf(obs, nil, 42, []Input{{Day: 46, Kind: Change, Fraction: 0.5, New: 0}}, nutrient)
	if !(change.Forecast[0].Mean < 0.65*now.Forecast[0].Mean) {
		t.Errorf("after half the water: %v, was %v", change.Forecast[0].Mean, now.Forecast[0].Mean)
	}
}

func TestWithoutAFloor(t *testing.T) {
	set := Settings{Floor: math.NaN(), Low: 7.5, High: 9, Wobble: 0.02}
	var obs []Observation
	for i := range 10 {
		v := 8.4
		if i > 4 {
			v -= 0.15 * float64(i-4)
		}
		obs = append(obs, reading(float64(3*i), math.Round(v*10)/10, 0.1, 0.1))
	}
	a := Assess(obs, nil, 27, set)
	if a.Direction != Falling || !math.IsNaN(a.PFloor42) || !math.IsNaN(a.FloorP50) || a.BottomingOut {
		t.Errorf("%v, floor %v, %v", a.Direction, a.PFloor42, a.FloorP50)
	}
	if !(a.LevelLo < 7.65 && 7.65 < a.LevelHi) || !(a.NextTest < 14) {
		t.Errorf("level %v … %v, next test in %v days", a.LevelLo, a.LevelHi, a.NextTest)
	}
	set.Low, set.High = math.NaN(), math.NaN()
	if a := Assess(obs, nil, 27, set); !math.IsNaN(a.NextTest) {
		t.Errorf("neither floor nor band: next test in %v days", a.NextTest)
	}
}

// An all-zero series (ammonia in a sound tank) and one that starts with a blunder must not upset the scale.
func TestZerosAndABadStart(t *testing.T) {
	set := Settings{Floor: math.NaN(), Low: math.NaN(), High: 0.05}
	var zeros []Observation
	for i := range 8 {
		zeros = append(zeros, reading(float64(7*i), 0, 0.02, 0.01))
	}
	if a := Assess(zeros, nil, 49, set); !(a.LevelHi < 0.03) || math.IsNaN(a.Level) {
		t.Errorf("zeros: level %v up to %v", a.Level, a.LevelHi)
	}
	set = Settings{Floor: math.NaN(), Low: 400, High: 450, Wobble: 0.02}
	obs := []Observation{reading(0, 42, 5, 5)}
	for i := 1; i < 5; i++ {
		obs = append(obs, reading(float64(7*i), 420, 5, 5))
	}
	if a := Assess(obs, nil, 28, set); !(a.LevelLo < 420 && 420 < a.LevelHi && a.LevelLo > 380) {
		t.Errorf("after a slip at the start: level %v … %v, want 420", a.LevelLo, a.LevelHi)
	}
}

// Nitrate that falls by 0.9 mg/L a week from 9.6 to the floor of 1.0, tested weekly with a meter of ±0.3 and 5 %: made
// by hand. The ruler warns from the fifth reading on; the flag is up by the sixth, four weeks before the floor, and
// stays.
func TestAStraightFallIsWarnedOfWeeksAhead(t *testing.T) {
	set := Settings{Floor: 1, Low: 3, High: 12, Wobble: 0.1}
	var obs []Observation
	for i, v := range []float64{9.6, 8.8, 7.7, 6.9, 5.9, 5.1, 4.0, 3.1, 2.2, 1.1} {
		obs = append(obs, reading(float64(7*i), v, 0.1, math.Hypot(0.3, 0.05*v)))
	}
	for i, a := range Hindcast(obs, nil, set) {
		if warned := i >= 5; a.BottomingOut != warned && i != 4 {
			t.Errorf("reading %d (%v): bottoming out %v, chance within 42 days %.2f", i+1, obs[i].Value, a.BottomingOut,
				a.PFloor42)
		}
		if i == 8 && !(-1.1 < a.SlopePerWeek && a.SlopePerWeek < -0.8 && a.SlopeLo < -0.94 && -0.94 < a.SlopeHi) {
			t.Errorf("at 2.2: falls %.2f a week (%.2f to %.2f), want 0.8 to 1.1", a.SlopePerWeek, a.SlopeLo, a.SlopeHi)
		}
		if i == 8 && !(a.FloorP50 > 3 && a.FloorP50 < 14) {
			t.Errorf("at 2.2: the floor in %.0f days, want about 9", a.FloorP50)
		}
	}
}

// "Falling 0.4 a week" speaks of the falls that are believed, not of the chance that there is none.
func TestASlopeIsThatOfTheWaySaid(t *testing.T) {
	slopes := mixture{{0.6, -1, 0.1}, {0.3, 0, 0.1}, {0.1, 2, 0.1}}
	for d, want := range map[Direction]float64{Falling: -1, Rising: 2, Steady: -0.4, Unknown: -0.4} {
		check(t, d.String(), slopes.heading(d).mean(), want, 1e-9, 0)
	}
	if d := slopes.likelier(); d != Falling {
		t.Errorf("of six in ten that fall the likelier is %v", d)
	}
	if d := slopes[1:].likelier(); d != Unknown {
		t.Errorf("where nothing moves in three of four the likelier is %v", d)
	}
}
