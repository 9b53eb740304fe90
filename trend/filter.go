package trend

import "math"

// filter is what is believed about one series at one moment: a table of probabilities
//
//	cells[member][hypothesis][cell]
//
// over how much the tank wobbles, what its course is doing, and where that course stands. The table is moved on through
// time by predict and sharpened by every reading in update. It is the numerical filter of Kitagawa (1987, J. American
// Statistical Association 82, 1032: non-Gaussian state-space modelling; from memory): no Gaussian shape is assumed, so
// "dropped to 0.02" and "a blunder, still at 0.05" can stand side by side until the next reading decides.
//
// The true level is the course times exp(wobble). The wobble returns to zero within days (an Ornstein–Uhlenbeck process),
// is not tabulated, but carried in closed form: given the course it is Gaussian, and its mean is gain·(seen − course),
// one Kalman filter for every member of the bank.
type filter struct {
	*model
	scale
	bank    []member
	wobble  float64 // Settings.Wobble
	floored bool    // the anchor is a floor
	supply  float64 // standing supply in force, canonical unit per day
	habit   habit   // regular inputs, part of the balance that a still course keeps

	day    float64 // of the belief
	lo, n  int     // cells lo … lo+n−1 are in the table
	cells  []float64
	spare  []float64 // the other buffer of predict
	stride int       // cells of room per row
	ripple []ripple  // the wobble, one per member

	levels []float64 // level of each cell of the table, in anchors
	like   []float64 // scratch: chance of the report at each cell, per member
	raw    []float64 // scratch: chance of the report at each level
	smooth []float64 // scratch: the same averaged over the wobble
	sums   []float64 // scratch
	kernel []float64 // scratch
	target []float64 // scratch
	column []float64 // scratch
}

// ripple is the wobble given the course c at the last reading: Gaussian with mean gain·(seen − c) and variance spread.
type ripple struct {
	gain, seen, spread float64 // logarithms
	since              float64 // days since the last reading
}

func newFilter(m *model, s scale, bank []member, set Settings) *filter {
	f := &filter{model: m, scale: s, bank: bank, wobble: wobbleOf(set), floored: hasFloor(set)}
	f.ripple = make([]ripple, len(bank))
	for b := range f.ripple {
		f.ripple[b].spread = sq(bank[b].wobble * f.wobble)
	}
	return f
}

func sq(x float64) float64 { return x * x }

// row is the table's row of a member and hypothesis.
func (f *filter) row(b, k int) []float64 {
	at := (b*len(f.hyps) + k) * f.stride
	return f.cells[at : at+f.n]
}

// clone is a copy that can be moved on without touching f.
func (f *filter) clone() *filter {
	c := *f
	c.cells = append([]float64(nil), f.cells...)
	c.ripple = append([]ripple(nil), f.ripple...)
	c.levels = append([]float64(nil), f.levels...)
	c.spare, c.like, c.raw, c.smooth, c.sums, c.kernel, c.target, c.column = nil, nil, nil, nil, nil, nil, nil, nil
	return &c
}

// start spreads the belief over all levels that the first reading does not rule out.
func (f *filter) start(o Observation) {
	f.day = o.Day
	f.lo, f.n = f.reach(o)
	f.stride = f.n + 40
	f.cells = make([]float64, len(f.bank)*len(f.hyps)*f.stride)
	shares := f.shares()
	for b, m := range f.bank {
		for k, share := range shares {
			row := f.row(b, k)
			for i := range row {
				x := f.logLevel(float64(f.lo + i))
				row[i] = m.weight * share * math.Exp(-0.5*sq((x-f.startLevel)/f.startSD))
			}
		}
	}
	f.relevel()
}

// reach is the run of cells that a reading speaks of: its interval and four and a half standard deviations on both sides,
// and the wobble.
func (f *filter) reach(o Observation) (lo, n int) {
	sd := o.SD
	margin := 4.5*sd + 0.4*f.wobble*math.Abs(o.Value)
	low, high := o.Lo-margin, o.Hi+margin
	if math.IsInf(o.Hi, 1) {
		high = 3*math.Max(o.Lo, o.Value) + margin
	}
	lo = int(math.Floor(f.cell(low))) - 6
	hi := int(math.Ceil(f.cell(high))) + 6
	if lo < f.bottom {
		lo = f.bottom
	}
	return lo, max(hi-lo+1, leastCells)
}

// relevel refreshes the levels of the table's cells.
func (f *filter) relevel() {
	f.levels = sized(f.levels, f.n)
	step := math.Exp(f.width)
	for i := range f.levels {
		if i%16 == 0 {
			f.levels[i] = math.Exp(f.logLevel(float64(f.lo + i)))
		} else {
			f.levels[i] = f.levels[i-1] * step
		}
	}
}

// sized returns a slice of length n, s itself where there is room.
func sized(s []float64, n int) []float64 {
	if cap(s) < n {
		return make([]float64, n, n+n/2)
	}
	return s[:n]
}

// longestStep is the longest stretch, in days, over which a change of course is allowed only at the beginning.
const longestStep = 4

// mostSteps bounds the work of a long silence.
const mostSteps = 20

// leastCells is the least number of cells in the table.
const leastCells = 3

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

// step moves the belief on by one short stretch: courses begin and end, then move, then creep.
func (f *filter) step(days float64) {
	drift := f.newDrift(days)
	low, high := drift.reach(f)
	lo := max(f.lo-low, f.bottom)
	n := f.lo + f.n + high - lo
	room := f.stride
	if n > room {
		room = n + n/2
	}
	rows := len(f.bank) * len(f.hyps)
	f.spare = sized(f.spare, rows*room)
	clear(f.spare)
	f.sums = sized(f.sums, f.n)
	for b := range f.bank {
		f.comeToRest(b, drift)
		for k := range f.hyps {
			at := (b*len(f.hyps) + k) * room
			drift.move(f, b, k, f.spare[at:at+n], f.lo-lo)
		}
	}
	f.cells, f.spare = f.spare, f.cells
	f.lo, f.n, f.stride = lo, n, room
	f.relevel()
}

// comeToRest sums, for every cell, what comes to rest there during the step.
func (f *filter) comeToRest(b int, d *drift) {
	sums := f.sums[:f.n]
	clear(sums)
	for k := 1; k < len(f.hyps); k++ {
		e := d.end[k]
		row := f.row(b, k)
		for i, p := range row {
			sums[i] += e * p
		}
	}
}
