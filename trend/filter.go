package trend

import (
	"math"
	"slices"
)

// filter is what is believed about one series at one moment: a table of probabilities
//
//	member × hypothesis × cell
//
// over how much the tank wobbles, what its course is doing, and where that course stands. The table is moved on through
// time by predict and sharpened by every reading in update. It is the numerical filter of Kitagawa (1987, J. American
// Statistical Association 82, 1032: non-Gaussian state-space modelling; from memory): no Gaussian shape is assumed, so
// "dropped to 0.02" and "a blunder, still at 0.05" can stand side by side until the next reading decides.
//
// The true level is the course times exp(wobble). The wobble returns to zero within days (an Ornstein–Uhlenbeck process).
// It is not tabulated but carried in closed form: given the course it is Gaussian, and its mean is gain·(seen − course),
// one Kalman filter for every member of the bank (a Rao–Blackwell step).
type filter struct {
	*model
	scale
	bank    []member
	wobble  float64 // Settings.Wobble
	floored bool    // the anchor is a floor
	supply  float64 // standing supply in force, canonical unit per day
	habit   habit   // regular inputs, part of the balance that a still course keeps

	day      float64   // of the belief
	started  bool      // a reading has been seen
	lo, n    int       // the table's columns are the cells lo … lo+n−1
	levels   []float64 // level of each column, in anchors
	cells    []float64 // rows (member·hypotheses + hypothesis) of n columns each
	spare    []float64 // the other buffer of step
	room     []float64 // a copy's own buffer; for the other it borrows that of what it copies
	spans    []span    // of each row: where it holds anything; the rest of a row is rubbish
	others   []span    // the spans of spare
	ripple   []ripple  // the wobble, one per member
	marks    marks
	mean     float64 // of the course's logarithm after the last reading
	variance float64
	weight   []float64 // of each member after the last reading

	curves *curves
	*scratch
}

// span is a run of columns, from … to−1.
type span struct{ from, to int }

func (s span) empty() bool { return s.to <= s.from }

// with is the span that holds both.
func (s span) with(t span) span {
	switch {
	case s.empty():
		return t
	case t.empty():
		return s
	default:
		return span{min(s.from, t.from), max(s.to, t.to)}
	}
}

// scratch is room that is used again and again, by a filter and its copies, which take turns.
type scratch struct {
	copies [2]*filter
	drift  *drift
	raw    []float64 // chance of the report at each level
	smooth []float64 // the same averaged over the wobble
	like   []float64 // chance of the report given the course
	sums   []float64
	source []float64
	arrive []float64
	kernel []float64
	target []float64
	column []float64
	moved  []float64
	expect []float64 // see expectedAt
}

// ripple is the wobble given the course c at the last reading: Gaussian with mean gain·(seen − c) and variance spread.
type ripple struct {
	gain, seen, spread float64 // logarithms
	since              float64 // days since the last reading
}

func newFilter(m *model, s scale, bank []member, set Settings) *filter {
	f := &filter{model: m, scale: s, bank: bank, wobble: wobbleOf(set), floored: hasFloor(set)}
	c := newCurves(s.width)
	f.curves, f.scratch = &c, new(scratch)
	rows := len(bank) * len(m.hyps)
	f.spans, f.others = make([]span, rows), make([]span, rows)
	f.ripple = make([]ripple, len(bank))
	f.weight = make([]float64, len(bank))
	for b := range f.ripple {
		f.ripple[b].spread = sq(bank[b].wobble * f.wobble)
		f.weight[b] = bank[b].weight
	}
	return f
}

func sq(x float64) float64 { return x * x }

// row is the table's row of a member and hypothesis; whole, with the rubbish outside its span.
func (f *filter) row(b, k int) ([]float64, span) {
	r := b*len(f.hyps) + k
	return f.cells[r*f.n : (r+1)*f.n], f.spans[r]
}

// What the copies of a filter are for.
const (
	thePresent = iota
	theFuture
)

// copyFor is a copy that can be moved on without touching what f believes, good until the next one for the same use or
// until f is moved on.
func (f *filter) copyFor(use int) *filter {
	c := f.copies[use]
	if c == nil {
		c = new(filter)
		f.copies[use] = c
	}
	was := *c
	*c = *f
	c.room = append(was.room[:0], f.cells...)
	c.cells = c.room
	c.spans = append(was.spans[:0], f.spans...)
	c.others = append(was.others[:0], f.others...)
	c.ripple = append(was.ripple[:0], f.ripple...)
	c.weight = append(was.weight[:0], f.weight...)
	return c
}

// clone is a copy with buffers of its own.
func (f *filter) clone() *filter {
	c := *f
	c.cells, c.spare, c.room = slices.Clone(f.cells), make([]float64, len(f.cells)), nil
	c.spans, c.others = slices.Clone(f.spans), slices.Clone(f.others)
	c.ripple, c.weight = slices.Clone(f.ripple), slices.Clone(f.weight)
	return &c
}

// kin is the end of the run of members from b on that differ in restlessness alone. Their wobbles are one and the same.
func (f *filter) kin(b int) int {
	end := b + 1
	for end < len(f.bank) && f.bank[end].wobble == f.bank[b].wobble && f.bank[end].sameMethod(f.bank[b]) {
		end++
	}
	return end
}

const (
	tableUp   = 45   // wobbles above the first reading, or the floor, that the table holds at the start
	tableDown = 40   // and below
	tinyCell  = 3e-5 // probability of a cell at the end of a row that is not followed further
)

// start spreads the belief over all levels that the first reading does not rule out.
func (f *filter) start(o Observation) {
	f.day, f.started = o.Day, true
	s := f.reach(o)
	lo := max(min(s.from, int(-tableDown*f.wobble/f.width)), f.bottom)
	hi := max(s.to, int(tableUp*f.wobble/f.width), f.reachUp(s.to))
	f.lo, f.n = lo, hi-lo
	rows := len(f.bank) * len(f.hyps)
	f.cells, f.spare = make([]float64, rows*f.n), make([]float64, rows*f.n)
	f.relevel()
	f.like = sized(f.like, f.n)
	total := 0.0
	for i := s.from - lo; i < s.to-lo; i++ {
		f.like[i] = 1
		if f.floored {
			f.like[i] = math.Exp(-0.5 * sq((f.logLevel(float64(f.lo+i))-f.startLevel)/f.startSD))
		}
		total += f.like[i]
	}
	for b, m := range f.bank {
		for k, share := range f.shares() {
			row, _ := f.row(b, k)
			f.spans[b*len(f.hyps)+k] = span{s.from - lo, s.to - lo}
			for i := s.from - lo; i < s.to-lo; i++ {
				row[i] = m.weight * share * f.like[i] / total
			}
		}
	}
	f.mean = f.logLevel(float64(s.from+s.to) / 2)
	f.variance = sq(f.logLevel(float64(s.to-s.from)) / 4)
	for b := range f.ripple {
		f.ripple[b].since = 0
	}
}

// reach is the run of cells (not columns) that a reading speaks of: its interval, four and a half standard deviations and
// a few wobbles on both sides.
func (f *filter) reach(o Observation) span {
	margin := 4.5*o.SD + 0.4*f.wobble*math.Abs(o.Value)
	low, high := o.Lo-margin, o.Hi+margin
	if math.IsInf(o.Hi, 1) {
		high = 3*math.Max(o.Lo, o.Value) + margin
	}
	from := max(int(math.Floor(f.cell(low)))-6, f.bottom)
	return span{from, max(int(math.Ceil(f.cell(high)))+7, from+leastCells)}
}

// reachUp is the cell up to which the fastest course of a constant amount could lead from a cell within the horizon: dosing
// can be set as high as anybody likes.
func (f *filter) reachUp(from int) int {
	fastest := 0.0
	for _, h := range f.hyps {
		if h.motion == absolute {
			fastest = math.Max(fastest, h.rate)
		}
	}
	return int(math.Log(math.Exp(f.logLevel(float64(from)))+fastest*Horizon)/f.width) + 1
}

// leastCells is the least number of cells that a belief is spread over at the start.
const leastCells = 3

// relevel fills in the levels of the table's columns.
func (f *filter) relevel() {
	f.levels = make([]float64, f.n)
	for i := range f.levels {
		f.levels[i] = math.Exp(f.logLevel(float64(f.lo + i)))
	}
}

// extend makes the table hold the cells s as well.
func (f *filter) extend(s span) {
	if s.from >= f.lo && s.to <= f.lo+f.n {
		return
	}
	lo := min(s.from, f.lo)
	n := max(s.to, f.lo+f.n) - lo
	cells := make([]float64, len(f.spans)*n)
	for r := range f.spans {
		copy(cells[r*n+f.lo-lo:], f.cells[r*f.n:(r+1)*f.n])
		f.spans[r].from += f.lo - lo
		f.spans[r].to += f.lo - lo
	}
	f.cells, f.spare = cells, make([]float64, len(cells))
	f.lo, f.n = lo, n
	f.relevel()
}

// sized returns a slice of length n, s itself where there is room.
func sized[T any](s []T, n int) []T {
	if cap(s) < n {
		return make([]T, n, n+n/2)
	}
	return s[:n]
}

// longestStep is the longest stretch, in days, over which a change of course is allowed only at the beginning; mostSteps
// bounds the work of a long silence.
const (
	longestStep = 7.5
	mostSteps   = 12
)

// predict moves the belief on by some days in which nothing out of the ordinary is put in. The courses are net of regular
// inputs, which are applied one by one as they come; so between them the level drifts the other way.
func (f *filter) predict(days float64) {
	if days <= 0 {
		return
	}
	steps := math.Min(math.Ceil(days/longestStep-1e-9), mostSteps)
	for range int(steps) {
		f.step(days / steps)
		if f.habit.regular() {
			f.mapLevels(func(level float64) float64 { return level - f.habit.perDay(level)*days/steps })
		}
	}
	f.age(days)
}

// age lets days pass.
func (f *filter) age(days float64) {
	f.day += days
	for b := range f.ripple {
		f.ripple[b].since += days
	}
}

// union is the span of all rows of a member.
func (f *filter) union(b int) span {
	var u span
	for k := range f.hyps {
		u = u.with(f.spans[b*len(f.hyps)+k])
	}
	return u
}
