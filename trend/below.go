package trend

import (
	"math"
	"sync"
)

// This file is about going below the floor: the chance that the true level, wobble and all, is there on any day from
// now to a horizon, of a course whose level and slope are given. It depends on the model alone, and so is worked out
// once for every horizon: what passes a step safely must be safe for what is left.

// Horizons, in days: closely spaced up to alarmDays, the horizon of the alarm, and widely from there to Horizon.
const (
	alarmDays  = 42
	nearStep   = 3.5
	nearSteps  = 12 // to alarmDays
	farStep    = 13
	farSteps   = 6 // to Horizon
	horizons   = nearSteps + farSteps + 1
	cellWidth  = 0.5 // of the table, in wobbles
	tableCells = 81  // up to 40 wobbles above the floor; farther up all is as there
)

// horizonDays are the horizons, the first being now.
var horizonDays = func() (d [horizons]float64) {
	for i := range d {
		d[i] = nearStep*float64(min(i, nearSteps)) + farStep*float64(max(i-nearSteps, 0))
	}
	return d
}()

// logQuiet is the logarithm, per day, of the chance that the wobble does not carry the level below the floor, for a
// course that stands z wobble standard deviations above it and has not dipped just before.
//
// A wobble that were drawn afresh r times a day would stay above with chance Φ(z)^(r·days). A wobble that dies away
// within theta days behaves so with r rising with z: dips grow rarer and shorter. The curve was fitted to 40,000
// simulated Ornstein–Uhlenbeck paths on a quarter-day grid at theta = 3, 5 and 8, and is good to a tenth of r for z =
// 0.5 … 3.
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

// rates are the slopes that a table has rows for: even steps of the inverse hyperbolic sine, so that rows lie closely
// about zero and in equal ratios farther out.
type rates struct {
	unit        float64
	first, last int
}

const rateStep = 0.4

func (r rates) slope(i int) float64 { return r.unit * math.Sinh(rateStep*float64(r.first+i)) }
func (r rates) n() int              { return r.last - r.first + 1 }

// at is the row of a slope; rows may be fractions.
func (r rates) at(slope float64) float64 {
	x := math.Asinh(slope/r.unit)/rateStep - float64(r.first)
	return math.Min(math.Max(x, 0), float64(r.n()-1))
}

// below holds, for a member's wobble, the chances of staying above the floor up to every horizon.
type below struct {
	relative, absolute rates
	rows               int     // slopes: those of relative courses, those of absolute ones, and last stillness
	width              float64 // of a cell, logarithm
	safe               [horizons][restlessKinds][]float64
}

// tableFor is the table of a member, made when it is first called: who only judges a reading needs none.
func (by *model) tableFor(m member) func() *below {
	type key struct{ wobble, fade float64 }
	once, _ := by.tables.LoadOrStore(key{m.wobble, m.fade}, sync.OnceValue(func() *below { return newBelow(by, m) }))
	return once.(func() *below)
}

func newBelow(by *model, m member) *below {
	t := &below{
		relative: rates{0.04 * by.wobble, -12, 8}, absolute: rates{0.008, -16, 10},
		width: cellWidth * by.wobble,
	}
	t.rows = t.relative.n() + t.absolute.n() + 1
	quiet := make([]float64, tableCells) // logarithm, per day
	for i := range quiet {
		quiet[i] = logQuiet(float64(i)*t.width/(m.wobble*by.wobble), m.fade)
	}
	start := t.startRows(by)
	near, far := t.leap(by, nearStep, quiet), t.leap(by, farStep, quiet)
	for h := range t.safe {
		l, days := &near, float64(nearStep)
		if h > nearSteps {
			l, days = &far, farStep
		}
		for r := range t.safe[h] {
			now := make([]float64, t.rows*tableCells)
			t.safe[h][r] = now
			if h == 0 {
				for i := range now {
					now[i] = 1
				}
				continue
			}
			t.back(l, soonChance(by.onset*by.restless[r]*days), start, t.safe[h-1][r], now)
		}
	}
	return t
}

// startRows is the share of each row among the courses that begin from stillness.
func (t *below) startRows(by *model) []float64 {
	out := make([]float64, t.rows)
	for _, c := range by.courses {
		for _, n := range threeNodes {
			row := t.row(c.motion, c.rate+n.at*c.spread)
			out[row.low] += (1 - row.part) * n.weight * c.onset / by.onset
			out[row.low+1] += row.part * n.weight * c.onset / by.onset
		}
	}
	return out
}

// threeNodes are the Gauss–Hermite nodes of a standard normal variable.
var threeNodes = [3]struct{ at, weight float64 }{
	{-1.7320508075688772, 1.0 / 6}, {0, 2.0 / 3}, {1.7320508075688772, 1.0 / 6},
}

// row is the place of a slope in the table: a row and how far the slope lies towards the next one.
type row struct {
	low       int
	part      float64
	near, far float64 // slopes of the two rows, as multiples of the slope; 0 unless all three fall
	even      bool    // of a course by constant amounts
}

func (t *below) row(kind motion, slope float64) row {
	if kind == still {
		return row{low: t.rows - 2, part: 1}
	}
	of, first := t.relative, 0
	if kind != relative {
		of, first = t.absolute, t.relative.n()
	}
	at := of.at(slope)
	low := min(int(at), of.n()-2)
	r := row{low: first + low, part: at - float64(low), even: kind != relative}
	if upper := of.slope(low + 1); upper < 0 {
		r.near, r.far = of.slope(low)/slope, upper/slope
	}
	return r
}

// slope is the motion and the slope of a row.
func (t *below) slope(row int) (motion, float64) {
	switch n := t.relative.n(); {
	case row < n:
		return relative, t.relative.slope(row)
	case row < t.rows-1:
		return absolute, t.absolute.slope(row - n)
	default:
		return still, 0
	}
}

// leap is what a step of some days does to every row and cell: where a moving course then stands, in cells, or
// half-way, and the chance that no dip comes on the way.
type leap struct {
	end              []float64 // of a row: the chance that the course ends
	then, half, calm []float64 // of a row and cell; then is negative where the course goes below the floor
	rest             []float64 // of a cell: calm for stillness
}

func (t *below) leap(by *model, days float64, quiet []float64) leap {
	rest := t.rows - 1
	n := rest * tableCells
	l := leap{end: make([]float64, rest), then: make([]float64, n), half: make([]float64, n), calm: make([]float64, n)}
	for row := range rest {
		kind, slope := t.slope(row)
		l.end[row] = soonChance(by.endOf(kind, slope) * days)
		for i := range tableCells {
			at := row*tableCells + i
			p := piece{motion: kind, c: float64(i) * t.width, s: slope}
			p.move(days / 2)
			l.half[at] = math.Max(p.c/t.width, 0)
			p.move(days / 2)
			if l.then[at] = p.c / t.width; p.c >= 0 {
				l.calm[at] = math.Exp(days * (quiet[i] + 2*lineAt(quiet, l.half[at]) + lineAt(quiet, l.then[at])) / 4)
			}
		}
	}
	for _, q := range quiet {
		l.rest = append(l.rest, math.Exp(days*q))
	}
	return l
}

// back is one step backwards: what is safe from now, given what is safe from the step's end. leaves is the chance
// that a still course begins to move.
func (t *below) back(l *leap, leaves float64, start, later, now []float64) {
	rest := t.rows - 1
	lastRest := later[rest*tableCells:]
	for row := range rest {
		end := l.end[row]
		first := row * tableCells
		from, to := later[first:first+tableCells], now[first:first+tableCells]
		for i := range to {
			if at := first + i; l.then[at] >= 0 {
				to[i] = l.calm[at] * ((1-end)*curveAt(from, l.then[at]) + end*lineAt(lastRest, l.half[at]))
			}
		}
	}
	to := now[rest*tableCells:]
	for row, share := range start {
		if share > 0 {
			for i := range to {
				to[i] += share * (later[row*tableCells+i] + now[row*tableCells+i]) / 2
			}
		}
	}
	for i, begun := range to {
		to[i] = l.rest[i] * ((1-leaves)*lastRest[i] + leaves*begun)
	}
}

// lineAt reads a table between its points, by a straight line; beyond the last it is that.
func lineAt(v []float64, at float64) float64 {
	if at >= float64(len(v)-1) {
		return v[len(v)-1]
	}
	i := int(at)
	part := at - float64(i)
	return v[i] + part*(v[i+1]-v[i])
}

// curveAt reads a table of chances between its points, by a cubic through the four about it.
func curveAt(v []float64, at float64) float64 {
	i := int(at)
	if i < 1 || i+2 >= len(v) {
		return lineAt(v, at)
	}
	a, b, c, d := v[i-1], v[i], v[i+1], v[i+2]
	t := at - float64(i)
	x := b + 0.5*t*(c-a+t*(2*a-5*b+4*c-d+t*(3*(b-c)+d-a)))
	return math.Min(math.Max(x, 0), 1)
}

// spot is a place in the table: between two rows, and in each between two cells.
type spot struct {
	a, b               int // cells in the one row and the next
	w00, w01, w10, w11 float64
}

// spot finds a course at c. In each of the two rows it looks where a fall that fast takes as long to the floor, for
// it is the time that counts.
func (t *below) spot(of row, c float64) spot {
	ca, cb := c, c
	if of.near > 0 {
		ca, cb = of.asLong(c, of.near), of.asLong(c, of.far)
	}
	a, inA := t.cell(ca)
	b, inB := t.cell(cb)
	part := of.part
	return spot{
		of.low*tableCells + a, (of.low+1)*tableCells + b,
		(1 - part) * (1 - inA), (1 - part) * inA, part * (1 - inB), part * inB,
	}
}

// cell is the cell below a level and how far the level lies towards the next one.
func (t *below) cell(c float64) (low int, part float64) {
	at := math.Min(math.Max(c/t.width, 0), tableCells-1)
	low = min(int(at), tableCells-2)
	return low, at - float64(low)
}

// asLong is the level from which a fall that is so many times as fast takes as long to the floor as one from c.
func (of row) asLong(c, times float64) float64 {
	if of.even {
		return math.Log(math.Max(1+(math.Exp(c)-1)*times, 1))
	}
	return c * times
}

func (s *spot) read(v []float64) float64 {
	return s.w00*v[s.a] + s.w01*v[s.a+1] + s.w10*v[s.b] + s.w11*v[s.b+1]
}

// add reads all horizons wanted.
func (s spot) add(t *below, w [restlessKinds]float64, weight float64, wanted []int, out []float64) {
	for k, h := range wanted {
		for r, p := range w {
			out[k] += weight * p * s.read(t.safe[h][r])
		}
	}
}
