package trend

import (
	"math"
	"slices"
)

// habit is what regular doses and water changes do on average. A tank that has its water changed every week and stays
// where it is, is one whose feeding makes up for the changes; and so for a weekly dose. The engine therefore counts a
// habit as part of the balance: "still" means still with the habit going on, a forecast goes on with it, and only a
// break with it is a change of course.
type habit struct {
	dose     float64 // anchors per day
	fraction float64 // of the water per day
	fresh    float64 // level of the new water, anchors
}

func (h habit) regular() bool { return h.dose != 0 || h.fraction != 0 }

// perDay is the habit's effect per day at a level, both in anchors.
func (h habit) perDay(level float64) float64 { return h.dose + h.fraction*(h.fresh-level) }

// near says whether two habits differ by less than a tenth of their size.
func (h habit) near(g habit) bool {
	close := func(a, b float64) bool { return math.Abs(a-b) <= 0.1*max(math.Abs(a), math.Abs(b)) }
	return close(h.dose, g.dose) && close(h.fraction, g.fraction) && math.Abs(h.fresh-g.fresh)*h.fraction < 0.01
}

const (
	habitInputs = 3   // so many inputs make a habit
	habitLooks  = 6   // so many of the latest are looked at
	habitSpan   = 13  // days that they must span, so that doses on successive days are none
	habitLapse  = 1.6 // gaps without an input after which a habit has lapsed
	habitEven   = 0.4 // how far a gap may differ from the median one, as a fraction
)

// habitAt finds the habits in force on a day among the inputs before it, which are in time order.
func habitAt(in []Input, day, anchor float64) habit {
	var h habit
	if every, last := regularly(in, Dose, day); every > 0 {
		h.dose = medianOf(last, func(i Input) float64 { return i.Amount }) / every / anchor
	}
	if every, last := regularly(in, Change, day); every > 0 {
		h.fresh = medianOf(last, func(i Input) float64 { return i.New }) / anchor
		h.fraction = medianOf(last, func(i Input) float64 { return i.Fraction }) / every
		if math.IsNaN(h.fresh) {
			h.fresh, h.fraction = 0, h.fraction/2 // as changeWater takes unknown water, on average
		}
	}
	return h
}

// regularly gives the median gap between the latest inputs of a kind where they come regularly up to the day, else 0.
func regularly(in []Input, kind InputKind, day float64) (every float64, last []Input) {
	for i := len(in) - 1; i >= 0 && len(last) < habitLooks; i-- {
		if in[i].Kind == kind {
			last = append(last, in[i])
		}
	}
	if len(last) < habitInputs || last[0].Day-last[len(last)-1].Day < habitSpan {
		return 0, nil
	}
	gaps := make([]float64, len(last)-1)
	for i := range gaps {
		gaps[i] = last[i].Day - last[i+1].Day
	}
	every = Median(gaps)
	even := 0
	for _, g := range gaps {
		if math.Abs(g-every) <= habitEven*every {
			even++
		}
	}
	if every <= 0 || 3*even < 2*len(gaps) || day-last[0].Day > habitLapse*every {
		return 0, nil
	}
	return every, last
}

func medianOf(in []Input, of func(Input) float64) float64 {
	v := make([]float64, len(in))
	for i := range v {
		v[i] = of(in[i])
	}
	return Median(v)
}

// adopt takes over the habit in force; courses keep what happens between inputs and change in what is net of them.
func (f *belief) adopt(h habit) {
	if h.near(f.habit) {
		return
	}
	old := f.habit
	f.habit = h
	f.reslope(func(level float64) float64 { return h.perDay(level) - old.perDay(level) })
}

// Median of some values; NaN of none, and where one is NaN.
func Median(v []float64) float64 {
	v = slices.Clone(v)
	slices.Sort(v)
	n := len(v)
	if n == 0 || math.IsNaN(v[0]) { // which stands before all numbers
		return math.NaN()
	}
	return (v[(n-1)/2] + v[n/2]) / 2
}
