package trend

import (
	"math"
	"slices"
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
	up := max(z, 0)
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
	return min(max(x, 0), float64(r.n()-1))
}

// grid is what the tables of all members of a model have in common: rows of slopes and cells of levels, and where a
// step leads from each.
type grid struct {
	relative, absolute rates
	rows               int       // slopes: those of relative courses, those of absolute ones, and last stillness
	width              float64   // of a cell, logarithm
	start              []float64 // the share of each row among the courses that begin from stillness
	near, far          leap
}

func newGrid(by *model) *grid {
	t := &grid{
		relative: rates{0.04 * by.wobble, -12, 8}, absolute: rates{0.008, -16, 10},
		width: cellWidth * by.wobble,
	}
	t.rows = t.relative.n() + t.absolute.n() + 1
	t.start = make([]float64, t.rows)
	for _, c := range by.courses {
		for _, n := range threeNodes {
			row := t.row(c.motion, c.rate+n.at*c.spread)
			t.start[row.low] += (1 - row.part) * n.weight * c.onset / by.onset
			t.start[row.low+1] += row.part * n.weight * c.onset / by.onset
		}
	}
	t.near, t.far = t.leap(by, nearStep), t.leap(by, farStep)
	return t
}

// below holds, for a member's wobble, the chances of staying above the floor up to every horizon.
type below struct {
	*grid
	safe [horizons][restlessKinds][]float64
}

// tableFor is the table of a member, made when it is first called: who only judges a reading needs none.
func (by *model) tableFor(m member) func() *below {
	type key struct{ wobble, fade float64 }
	once, _ := by.tables.LoadOrStore(key{m.wobble, m.fade}, sync.OnceValue(func() *below { return newBelow(by, m) }))
	return once.(func() *below)
}

func newBelow(by *model, m member) *below {
	t := &below{grid: by.grid()}
	quiet := make([]float64, tableCells) // logarithm, per day
	for i := range quiet {
		quiet[i] = logQuiet(float64(i)*t.width/(m.wobble*by.wobble), m.fade)
	}
	near, far := t.near.calm(quiet), t.far.calm(quiet)
	certain := slices.Repeat([]float64{1}, t.rows*tableCells)
	var kinds sync.WaitGroup
	for r := range restlessKinds {
		t.safe[0][r] = certain
		kinds.Go(func() {
			for h := 1; h < horizons; h++ {
				l, calm := &t.near, near
				if h > nearSteps {
					l, calm = &t.far, far
				}
				leaves := soonChance(by.onset * by.restless[r] * l.days)
				t.safe[h][r] = t.back(l, calm, leaves, t.safe[h-1][r])
			}
		})
	}
	kinds.Wait()
	return t
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

func (t *grid) row(kind motion, slope float64) row {
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
func (t *grid) slope(row int) (motion, float64) {
	switch n := t.relative.n(); {
	case row < n:
		return relative, t.relative.slope(row)
	case row < t.rows-1:
		return absolute, t.absolute.slope(row - n)
	default:
		return still, 0
	}
}

// leap is what a step of some days does to every row and cell.
type leap struct {
	days float64
	end  []float64 // of a row: the chance that the course ends
	way  []way     // of a row and cell
}

// way is where a moving course stands half-way through a step and at its end; sinks: below the floor.
type way struct {
	half, then between
	sinks      bool
}

// between is a place in a row of a table: a cell, and how far it lies towards the next one.
type between struct {
	cell int
	part float64
}

func betweenAt(cells int, at float64) between {
	if at >= float64(cells-1) {
		return between{cells - 2, 1}
	}
	return between{int(at), at - float64(int(at))}
}

func (t *grid) leap(by *model, days float64) leap {
	rest := t.rows - 1
	l := leap{days: days, end: make([]float64, rest), way: make([]way, rest*tableCells)}
	for row := range rest {
		kind, slope := t.slope(row)
		l.end[row] = soonChance(by.endOf(kind, slope) * days)
		for i := range tableCells {
			w := &l.way[row*tableCells+i]
			p := piece{motion: kind, c: float64(i) * t.width, s: slope}
			p.move(days / 2)
			w.half = betweenAt(tableCells, max(p.c/t.width, 0))
			p.move(days / 2)
			if w.sinks = p.c < 0; !w.sinks {
				w.then = betweenAt(tableCells, p.c/t.width)
			}
		}
	}
	return l
}

// calm is the chance of a row and cell that no dip comes on the way of a step; 0 where it leads below the floor. quiet
// is logQuiet of a cell.
func (l *leap) calm(quiet []float64) []float64 {
	out := make([]float64, len(l.way), len(l.way)+len(quiet))
	for i := range l.way {
		if w := &l.way[i]; !w.sinks {
			out[i] = math.Exp(l.days * (quiet[i%tableCells] + 2*w.half.line(quiet) + w.then.line(quiet)) / 4)
		}
	}
	for _, q := range quiet {
		out = append(out, math.Exp(l.days*q))
	}
	return out
}

// back is one step backwards: what is safe from now, given what is safe from the step's end. leaves is the chance
// that a still course begins to move.
func (t *below) back(l *leap, calm []float64, leaves float64, later []float64) []float64 {
	now := make([]float64, len(later))
	rest := len(l.way)
	lastRest := later[rest:]
	for row, end := range l.end {
		first := row * tableCells
		from, to := later[first:first+tableCells], now[first:first+tableCells]
		for i := range to {
			if w, c := &l.way[first+i], calm[first+i]; c > 0 {
				to[i] = c * ((1-end)*w.then.curve(from) + end*w.half.line(lastRest))
			}
		}
	}
	to := now[rest:]
	for row, share := range t.start {
		if share > 0 {
			for i := range to {
				to[i] += share * (later[row*tableCells+i] + now[row*tableCells+i]) / 2
			}
		}
	}
	for i, begun := range to {
		to[i] = calm[rest+i] * ((1-leaves)*lastRest[i] + leaves*begun)
	}
	return now
}

// line reads a row between its cells, by a straight line.
func (b between) line(v []float64) float64 { return v[b.cell] + b.part*(v[b.cell+1]-v[b.cell]) }

// curve reads a row of chances between its cells, by a cubic through the four about it.
func (b between) curve(v []float64) float64 {
	if b.cell < 1 || b.cell+2 >= len(v) {
		return b.line(v)
	}
	four := v[b.cell-1 : b.cell+3 : b.cell+3]
	x0, x1, x2, x3, t := four[0], four[1], four[2], four[3], b.part
	x := x1 + 0.5*t*(x2-x0+t*(2*x0-5*x1+4*x2-x3+t*(3*(x1-x2)+x3-x0)))
	return min(max(x, 0), 1)
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
func (t *grid) cell(c float64) (low int, part float64) {
	at := min(max(c/t.width, 0), tableCells-1)
	low = min(int(at), tableCells-2)
	return low, at - float64(low)
}

// asLong is the level from which a fall that is so many times as fast takes as long to the floor as one from c.
func (of row) asLong(c, times float64) float64 {
	if of.even {
		return math.Log(max(1+(math.Exp(c)-1)*times, 1))
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
