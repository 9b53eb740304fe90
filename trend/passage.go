package trend

import "math"

// This file is about going below the floor: the chance that the true level, wobble and all, is there on any day from now
// to then. The course is followed exactly, by the filter's own steps. The wobble about it is not followed, but enters by
// the chance that a stretch of days passes without a dip below the floor, given where the course stands.

// passageStep is the length in days of the steps in which crossings are counted, up to the last of the horizons;
// passageStride is the longer one from there to Horizon.
const (
	passageStep   = 3.5
	passageStride = 13
)

// horizons are the days for which the chance of a crossing is given.
var horizons = [3]float64{14, 28, 42}

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
	return r * math.Log(normalCDF(z))
}

// dips tabulates logQuiet for every member and cell; cells outside the table are certain.
type dips struct {
	lo     int
	member [][]float64
}

func (f *filter) newDips() *dips {
	reach := int(math.Ceil(6 * f.widestWobble() / f.width))
	d := &dips{lo: max(-reach, f.bottom), member: make([][]float64, len(f.bank))}
	for b, m := range f.bank {
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

// aboveNow is the chance that the level is above the floor at this moment, for a course at a cell.
func (f *filter) aboveNow(b, cell int) float64 {
	pull, seen, variance := f.ahead(b)
	x := (1-pull)*f.logLevel(float64(cell)) + pull*seen
	z := x / math.Sqrt(variance)
	if z > 6 {
		return 1
	}
	return normalCDF(z)
}

// survive takes out of the table what is below the floor now.
func (f *filter) survive() {
	for b := range f.bank {
		for i := range f.n {
			if above := f.aboveNow(b, f.lo+i); above < 1 {
				f.scaleCell(b, i, above)
			}
		}
	}
}

// surviveStep takes out of the table what goes below the floor in a step that ends now.
func (f *filter) surviveStep(d *dips, days float64) {
	for b := range f.bank {
		for i := range f.n {
			if q := d.quiet(b, f.lo+i, days); q < 1 {
				f.scaleCell(b, i, q)
			}
		}
	}
}

func (f *filter) scaleCell(b, i int, by float64) {
	for k := range f.hyps {
		f.cells[(b*len(f.hyps)+k)*f.stride+i] *= by
	}
}

// mass is all the probability left in the table.
func (f *filter) mass() float64 {
	sum := 0.0
	for b := range f.bank {
		for k := range f.hyps {
			for _, p := range f.row(b, k) {
				sum += p
			}
		}
	}
	return sum
}
