package trend

import "math"

// dangers tabulates, for every member, hypothesis and cell, the chance that the level will be below the floor on some day
// within 42 days. It depends on the model alone and not on any reading, and so answers for all past moments of
// a series at the price of one forecast: it is the forecast's step turned about (the adjoint), from then to now.
type dangers struct {
	*dips
	lo, n int
	table []float64 // [(member·hypotheses + hypothesis)·n + cell − lo]
}

// safeWobbles is the logarithmic height above the floor, in wobbles, from which no crossing within 42 days is looked for.
const safeWobbles = 40

func (f *filter) newDangers() *dangers {
	d := &dangers{dips: f.newDips()}
	d.lo = d.dips.lo
	d.n = int(math.Ceil(safeWobbles*f.wobble/f.width)) - d.lo + 1
	rows := len(f.hyps) * d.n
	d.table = make([]float64, len(f.bank)*rows)
	drift := f.driftOf(passageStep)
	falls := d.falls(f, drift)
	now, later := make([]float64, rows), make([]float64, rows)
	for b := range f.bank {
		clear(later)
		for days := 0.0; days < alarmDays; days += passageStep {
			d.back(f, drift, b, falls, later, now)
			now, later = later, now
		}
		copy(d.table[b*rows:], later)
	}
	return d
}

// falls is the shift, in cells, of every constant-amount hypothesis at every cell.
func (d *dangers) falls(f *filter, drift *drift) [][]float64 {
	out := make([][]float64, len(f.hyps))
	for k, h := range f.hyps {
		if h.motion != absolute {
			continue
		}
		out[k] = make([]float64, d.n)
		for i := range out[k] {
			out[k][i] = drift.fall(f, h.rate, math.Exp(f.logLevel(float64(d.lo+i))))
		}
	}
	return out
}

// back is one step backwards for a member: the danger now from the danger a step later, which it overwrites.
func (d *dangers) back(f *filter, drift *drift, b int, falls [][]float64, later, now []float64) {
	n := d.n
	for i := range n {
		if q := d.quiet(b, d.lo+i, passageStep); q < 1 {
			for k := range f.hyps {
				later[k*n+i] = 1 - q*(1-later[k*n+i])
			}
		}
	}
	for k, h := range f.hyps {
		from, to := later[k*n:(k+1)*n], now[k*n:(k+1)*n]
		if h.motion == absolute {
			for i, fall := range falls[k] {
				at := float64(i) + fall
				whole := math.Floor(at)
				part := at - whole
				to[i] = (1-part)*dangerAt(from, int(whole)) + part*dangerAt(from, int(whole)+1)
			}
			continue
		}
		w, whole := drift.kernel(k)
		for i := range to {
			j := i + whole
			if j >= 1 && j+2 < n {
				to[i] = w[0]*from[j-1] + w[1]*from[j] + w[2]*from[j+1] + w[3]*from[j+2]
				continue
			}
			to[i] = w[0]*dangerAt(from, j-1) + w[1]*dangerAt(from, j) + w[2]*dangerAt(from, j+1) + w[3]*dangerAt(from, j+2)
		}
	}
	rest := now[:n]
	for i, still := range rest {
		begin := 0.0
		for k := 1; k < len(f.hyps); k++ {
			v := now[k*n+i]
			begin += drift.share[k] * v
			now[k*n+i] = (1-drift.end[k])*v + drift.end[k]*still
		}
		begin = drift.stay[b]*still + (1-drift.stay[b])*begin
		rest[i] = begin
	}
}

// dangerAt reads a row: below its first cell the level is under the floor, above its last there is no danger.
func dangerAt(row []float64, i int) float64 {
	switch {
	case i < 0:
		return 1
	case i >= len(row):
		return 0
	default:
		return row[i]
	}
}

// floorChances are the chances of being below the floor now, as believed, and on any day within alarmDays, as seen.
type floorChances struct{ now, soon float64 }

func (d *dangers) chances(f *filter) floorChances {
	mass, above, safe := 0.0, 0.0, 0.0
	for b := range f.bank {
		f.like = f.aboveNow(b, f.union(b), f.like)
		for k := range f.hyps {
			row, s := f.row(b, k)
			at := (b*len(f.hyps)+k)*d.n + f.lo - d.lo
			for i := s.from; i < s.to; i++ {
				p := row[i] * f.like[i]
				mass += row[i]
				above += p
				switch j := f.lo + i - d.lo; {
				case j < 0: // under the floor
				case j >= d.n:
					safe += p
				default:
					safe += p * (1 - d.table[at+i])
				}
			}
		}
	}
	return floorChances{now: 1 - above/mass, soon: seen(1 - safe/mass)}
}
