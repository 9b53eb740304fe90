package trend

import "math"

// dangers tabulates, for every member, hypothesis and cell, whatever the kind of kit, the chance that the level will be below the floor on some day
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
	d.table = make([]float64, len(f.model.bank)*rows)
	drift := f.driftOf(passageStep)
	aims := d.aims(f, drift)
	s := d.newSides(drift)
	buf := make([]float64, 2*rows+2*d.n)
	now, later, quiet, begin := buf[:rows], buf[rows:2*rows], buf[2*rows:2*rows+d.n], buf[2*rows+d.n:]
	for b := range f.model.bank {
		clear(later)
		quiet = d.quietOver(b, passageStep, quiet)
		for days := 0.0; days < alarmDays; days += passageStep {
			d.back(f, drift, b, aims, s, quiet, later, now, begin)
			now, later = later, now
		}
		copy(d.table[b*rows:], later)
	}
	return d
}

// aims are those of every cell under every constant-amount hypothesis; one cell beyond the table is enough on either side.
func (d *dangers) aims(f *filter, drift *drift) [][]aim {
	out := make([][]aim, len(f.hyps))
	shifts := make([]float64, d.n)
	for k, h := range f.hyps {
		if h.motion != absolute {
			continue
		}
		f.curveOf(k).over(span{0, d.n}, drift.amount[k]-float64(d.lo), shifts)
		out[k] = make([]aim, d.n)
		for i, shift := range shifts {
			at := min(max(float64(i)+shift, -1), float64(d.n))
			whole := math.Floor(at)
			out[k][i] = aim{int(whole), at - whole}
		}
	}
	return out
}

// sides is a row with what lies beyond the table on both sides of it: below, the level is under the floor; above, there is
// no danger.
type sides struct {
	row []float64
	pad int // cells on either side
}

func (d *dangers) newSides(drift *drift) sides {
	pad := 2
	for k := range drift.shift {
		_, whole := drift.kernel(k)
		pad = max(pad, whole+2, 1-whole)
	}
	s := sides{make([]float64, d.n+2*pad), pad}
	for i := range pad {
		s.row[i] = 1
	}
	return s
}

// quietOver are the chances that no dip comes within some days, of the cells from d.lo on where it is not certain.
func (d *dangers) quietOver(b int, days float64, buf []float64) []float64 {
	buf = buf[:0]
	for i := 0; i < min(d.n, len(d.member[b])); i++ {
		buf = append(buf, d.quiet(b, d.dips.lo+i, days))
	}
	return buf
}

// back is one step backwards for a member: the danger now from the danger a step later.
func (d *dangers) back(f *filter, drift *drift, b int, aims [][]aim, s sides, quiet, later, now, begin []float64) {
	n := d.n
	for k, h := range f.hyps {
		from, to := s.row[s.pad:s.pad+n], now[k*n:(k+1)*n]
		copy(from, later[k*n:(k+1)*n])
		for i, q := range quiet {
			from[i] = 1 - q*(1-from[i])
		}
		if h.motion == absolute {
			for i, a := range aims[k] {
				q := s.row[s.pad+a.at : s.pad+a.at+2]
				to[i] = (1-a.part)*q[0] + a.part*q[1]
			}
			continue
		}
		w, whole := drift.kernel(k)
		around := s.row[s.pad+whole-1:]
		for i := range to {
			q := around[i : i+4 : i+4]
			to[i] = w[0]*q[0] + w[1]*q[1] + w[2]*q[2] + w[3]*q[3]
		}
	}
	rest := now[:n]
	clear(begin)
	for k := 1; k < len(f.hyps); k++ {
		share, end := drift.share[k], drift.end[k]
		row := now[k*n : (k+1)*n]
		begin, rest := begin[:len(row)], rest[:len(row)]
		for i, v := range row {
			begin[i] += share * v
			row[i] = v + end*(rest[i]-v)
		}
	}
	for i, v := range begin {
		rest[i] = v + drift.stay[b]*(rest[i]-v)
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
	for b := 0; b < len(f.bank); {
		end := f.kin(b)
		var all span
		for c := b; c < end; c++ {
			all = all.with(f.union(c))
		}
		f.like = f.aboveNow(b, all, f.like)
		for r := b * len(f.hyps); r < end*len(f.hyps); r++ {
			s := f.spans[r]
			row := f.cells[r*f.n : (r+1)*f.n]
			t := r % (len(f.model.bank) * len(f.hyps))
			table := d.table[t*d.n : (t+1)*d.n]
			for i := s.from; i < s.to; i++ {
				p := row[i] * f.like[i]
				mass += row[i]
				above += p
				safe += p * (1 - dangerAt(table, f.lo+i-d.lo))
			}
		}
		b = end
	}
	return floorChances{now: 1 - above/mass, soon: seen(1 - safe/mass)}
}
