package alerts

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// duplicateHours is how close together two readings of a tank by the same method are taken as tests of the same water
// (common practice, no source): far less than what a tank consumes in a day.
const duplicateHours = 3

// Repeat is what the duplicate tests in the book say of a method.
type Repeat struct {
	Method   logbook.Method
	Estimate trend.Repeatability // unit of the method
}

// repeatLevel is the confidence of the interval, and of the smallest difference that two single tests can show.
const repeatLevel = 0.95

// RepeatabilityOf gathers the duplicate tests by a method, in all tanks, and estimates how far its single tests
// scatter. Of three tests in a row the first two are a pair. Readings known only as a bound make no pair.
func RepeatabilityOf(v *logbook.View, m logbook.Method) (Repeat, error) {
	p, err := v.Parameter(m.Parameter)
	if err != nil {
		return Repeat{}, err
	}
	unit, err := p.FindUnit(m.Unit)
	if err != nil {
		return Repeat{}, fmt.Errorf("method %s: %w", m.Name, err)
	}
	tanks, err := v.Tanks()
	if err != nil {
		return Repeat{}, err
	}
	var pairs [][2]float64
	for _, t := range tanks {
		// what a probe writes minute after minute is no test of the same water
		rs, _, err := DailyReadings(v, t.Name, p.Name, time.Time{}, time.Time{})
		if err != nil {
			return Repeat{}, err
		}
		pairs = append(pairs, duplicates(rs, m.Name, unit)...)
	}
	return Repeat{m, trend.RepeatabilityOf(pairs, repeatLevel)}, nil
}

// duplicates are the pairs of neighbouring readings by one method, close together in time, in the unit given.
func duplicates(rs []logbook.Reading, method string, unit water.Unit) [][2]float64 {
	var pairs [][2]float64
	for i := 1; i < len(rs); i++ {
		a, b := rs[i-1], rs[i]
		if a.Method != method || b.Method != method || a.Bound != logbook.Exact || b.Bound != logbook.Exact {
			continue
		}
		if b.Time.Sub(a.Time) > duplicateHours*time.Hour {
			continue
		}
		pairs = append(pairs, [2]float64{unit.FromCanonical(a.Value), unit.FromCanonical(b.Value)})
		i++
	}
	return pairs
}

// Text says in one sentence how far single tests scatter, beside what the method's description says.
func (r Repeat) Text() string {
	e := r.Estimate
	if math.IsNaN(e.SD) {
		for _, n := range e.Notes {
			return fmt.Sprintf("%s: %s; test the same water twice within %d hours", r.Method.Name, n.Text, duplicateHours)
		}
	}
	text := fmt.Sprintf("%s: single tests scatter by %.2g %s (95 %% %.2g to %.2g, %d duplicates); two single tests must "+
		"differ by %.2g to show a change",
		r.Method.Name, e.SD, r.Method.Unit, e.Interval.Lo, e.Interval.Hi, e.Pairs, e.Smallest)
	if r.Method.SD > 0 {
		text += fmt.Sprintf("; described as %.2g", r.Method.SD)
	}
	return text
}

// Readers is by how much one person reads above another: two look at one colour card and see two colours.
type Readers struct {
	Parameter logbook.Parameter
	Method    string
	A, B      string
	trend.Paired
}

// readersApart is how far apart in time two tests may be to count as of the same water, and readersFrom the readings
// that are looked at: of years ago eyes and kits were others. Chosen here.
const (
	readersApart = 24 * time.Hour
	readersFrom  = 3 * 365 * 24 * time.Hour
)

// CompareReaders compares two people who tested a parameter of a tank by the same method within a day of each other,
// method by method; those by which only one of them tested are left out, and so are readings that are only a bound.
// Each reading is in one pair at most, with the nearest in time.
func CompareReaders(v *logbook.View, tank logbook.Tank, p logbook.Parameter, a, b string, asOf time.Time) ([]Readers,
	error) {
	s, err := seriesBetween(v, tank, p, asOf.Add(-readersFrom), asOf)
	if err != nil {
		return nil, err
	}
	var all []Readers
	for _, method := range words.Once(words.Of(s.Readings, func(r logbook.Reading) string { return r.Method })) {
		x := Readers{Parameter: p, Method: method, A: a, B: b}
		var d []float64
		var steps float64 // sum of the variances that rounding gives
		byA, byB := s.readBy(method, a), s.readBy(method, b)
		for _, pair := range nearest(s.Readings, byA, byB) {
			d = append(d, s.Readings[pair[0]].Value-s.Readings[pair[1]].Value)
			for _, i := range pair {
				width := s.observations[i].Hi - s.observations[i].Lo
				steps += width * width / 12
			}
		}
		if x.Paired = trend.ComparePairs(d, math.Sqrt(steps/math.Max(1, float64(len(d)))), compareLevel); len(byA) > 0 &&
			len(byB) > 0 {
			all = append(all, x)
		}
	}
	return all, nil
}

func (s Series) readBy(method, who string) (places []int) {
	for i, r := range s.Readings {
		if r.Method == method && strings.EqualFold(r.Who, who) && r.Bound == logbook.Exact {
			places = append(places, i)
		}
	}
	return places
}

// nearest pairs readings of two people, the nearest in time first.
func nearest(rs []logbook.Reading, byA, byB []int) (pairs [][2]int) {
	var near [][2]int
	apart := func(pair [2]int) time.Duration { return rs[pair[0]].Time.Sub(rs[pair[1]].Time).Abs() }
	for _, i := range byA {
		for _, j := range byB {
			if apart([2]int{i, j}) <= readersApart {
				near = append(near, [2]int{i, j})
			}
		}
	}
	slices.SortStableFunc(near, func(x, y [2]int) int { return cmp.Compare(apart(x), apart(y)) })
	taken := map[int]bool{}
	for _, pair := range near {
		if !taken[pair[0]] && !taken[pair[1]] {
			taken[pair[0]], taken[pair[1]] = true, true
			pairs = append(pairs, pair)
		}
	}
	return pairs
}

// Text is the answer in words: "ann reads 0.4 mg/L above ben (80 % 0.1 to 0.7), from 7 pairs", or what it would take to
// tell.
func (r Readers) Text() string {
	pairs := words.Plural(r.N, "pair", "pairs") + " within a day"
	if r.Few {
		return fmt.Sprintf("not yet clear: %s, and it takes %d", pairs, trend.LeastPairs)
	}
	lo, hi := words.SignedChange(r.Parameter, r.Interval.Lo, 0), words.SignedChange(r.Parameter, r.Interval.Hi, 0)
	by := fmt.Sprintf("(%.0f %% %s to %s), from %s", 100*r.Interval.Level, lo, hi, pairs)
	switch {
	case r.Interval.Lo > 0:
		return fmt.Sprintf("%s reads %s above %s %s", r.A, words.Rise(r.Parameter, r.Shift), r.B, by)
	case r.Interval.Hi < 0:
		return fmt.Sprintf("%s reads %s below %s %s", r.A, words.Rise(r.Parameter, -r.Shift), r.B, by)
	}
	return fmt.Sprintf("no difference told: %s against %s %s %s", r.A, r.B,
		words.WithUnit(words.SignedChange(r.Parameter, r.Shift, 0), words.Unit(r.Parameter)), by)
}
