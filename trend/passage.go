package trend

import "math"

// This file is about going below the floor: the chance that the true level, wobble and all, is there on any day from now
// to then. The course is followed exactly, by the filter's own steps. The wobble about it is not followed, but enters by
// the chance that a stretch of days passes without a dip below the floor, given where the course stands.

// passageStep is the length in days of the steps in which crossings are counted, up to the last of the horizons;
// passageStride is the longer one from there to Horizon.
const (
	passageStep   = 7.0
	passageStride = 13
)

// alarmDays is how far ahead the alarm looks.
const alarmDays = 42

// logQuiet is the logarithm, per day, of the chance that the wobble does not carry the level below the floor, for a course
// that stands z wobble standard deviations above it and has not dipped just before.
//
// A wobble that were drawn afresh r times a day would stay above with chance Φ(z)^(r·days). A wobble that dies away within
// theta days behaves so with r rising with z: dips grow rarer and shorter. The curve was fitted to 40,000 simulated
// Ornstein–Uhlenbeck paths on a quarter-day grid at theta = 3, 5 and 8, and is good to a tenth of r for z = 0.5 … 3.
func logQuiet(z, theta float64) float64 {
	if z > 6 {
		return 0
	}
	if z < -6 {
		z = -6
	}
	up := math.Max(z, 0)
	r := (0.25 + 0.05*up + 0.075*up*up) * math.Pow(5/theta, 0.75)
	return r * math.Log(quickCDF(z))
}

// dips tabulates logQuiet for every cell and for every member of the model's bank: a tank dips alike whatever it is tested
// with. Cells outside the table are certain.
type dips struct {
	lo     int
	member [][]float64
}

func (f *filter) newDips() *dips {
	reach := int(math.Ceil(6 * f.widestWobble() / f.width))
	d := &dips{lo: max(-reach, f.bottom), member: make([][]float64, len(f.model.bank))}
	for b, m := range f.model.bank {
		d.member[b] = make([]float64, reach-d.lo+1)
		for i := range d.member[b] {
			d.member[b][i] = logQuiet(f.logLevel(float64(d.lo+i))/(m.wobble*f.wobble), f.theta)
		}
	}
	return d
}

// quiet is the chance that no dip comes within some days at a cell.
func (d *dips) quiet(b, cell int, days float64) float64 {
	i := cell - d.lo
	switch {
	case i < 0:
		return 0
	case i >= len(d.member[b]):
		return 1
	default:
		return math.Exp(d.member[b][i] * days)
	}
}

func (f *filter) widestWobble() float64 {
	w := 0.0
	for _, m := range f.bank {
		w = math.Max(w, m.wobble)
	}
	return w * f.wobble
}

// aboveNow fills out with the chance that the level is above the floor at this moment, for a course at each column of s.
func (f *filter) aboveNow(b int, s span, out []float64) []float64 {
	out = sized(out, f.n)
	pull, seen, variance := f.ahead(b)
	scale := 1 / math.Sqrt(variance)
	for i := s.from; i < s.to; i++ {
		z := scale * ((1-pull)*f.logLevel(float64(f.lo+i)) + pull*seen)
		switch {
		case z > 5:
			out[i] = 1
		case z < -5:
			out[i] = 0
		default:
			out[i] = quickCDF(z)
		}
	}
	return out
}

// survive takes out of the table what is below the floor now, and returns the share that was not.
func (f *filter) survive() float64 {
	before, lost := 0.0, 0.0
	for b := range f.bank {
		f.like = f.aboveNow(b, f.union(b), f.like)
		all, gone := f.multiply(b, f.like)
		before, lost = before+all, lost+gone
	}
	return remaining(before, lost)
}

// surviveStep takes out of the table what goes below the floor in a step that ends now, and returns the share that did
// not. Shares are used, and not what is left, since a little is dropped from the ends of rows all the time.
func (f *filter) surviveStep(d *dips, days float64) float64 {
	before, lost := 0.0, 0.0
	f.like = sized(f.like, f.n)
	for b := range f.bank {
		u := f.union(b)
		for i := u.from; i < u.to; i++ {
			f.like[i] = d.quiet(b%len(d.member), f.lo+i, days)
		}
		all, gone := f.multiply(b, f.like)
		before, lost = before+all, lost+gone
	}
	return remaining(before, lost)
}

// remaining is the share that is not lost; of nothing, all remains.
func remaining(before, lost float64) float64 {
	if before <= 0 {
		return 1
	}
	return 1 - lost/before
}

// multiply multiplies every row of a member by the factors given for the columns, and forgets the lower end where nothing
// is left. It returns what there was and how much of it is gone.
func (f *filter) multiply(b int, by []float64) (before, lost float64) {
	for k := range f.hyps {
		row, s := f.row(b, k)
		for i := s.from; i < s.to; i++ {
			p := row[i]
			row[i] = p * by[i]
			before += p
			lost += p - row[i]
		}
		for s.from < s.to && row[s.from] < tinyCell {
			s.from++
		}
		f.spans[b*len(f.hyps)+k] = s
	}
	return before, lost
}
