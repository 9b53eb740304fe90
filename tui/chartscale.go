package tui

import (
	"math"
	"slices"
)

// yScale maps values to rows, counted from the bottom; in the grid's own units the plotting library cannot round two
// lines of one value to two rows.
type yScale struct {
	lo, hi float64 // transformed
	rows   int
	log    bool
	least  float64 // the smallest value a logarithmic scale shows
}

func (y yScale) transform(v float64) float64 {
	if y.log {
		return math.Log(math.Max(v, y.least))
	}
	return v
}

func (y yScale) value(row float64) float64 {
	v := y.lo + row/float64(y.rows-1)*(y.hi-y.lo)
	if y.log {
		return math.Exp(v)
	}
	return v
}

func (y yScale) row(v float64) float64 {
	r := (y.transform(v) - y.lo) / (y.hi - y.lo) * float64(y.rows-1)
	return math.Max(0, math.Min(float64(y.rows-1), r))
}

// scale spans readings, also those laid over of the same parameter, band, floor and forecast. False where there is nothing to show.
func (c chart) scale() (yScale, bool) {
	var vs []float64
	add := func(v float64) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			vs = append(vs, v)
		}
	}
	for _, r := range c.Readings {
		add(r.Value)
	}
	if c.Over != nil && c.Over.shared {
		for _, r := range c.Over.Readings {
			add(r.Value)
		}
	}
	measured := len(vs)
	add(c.Band.Low)
	add(c.Band.High)
	add(c.Band.Floor)
	// A forecast that runs away must not press what was measured flat: it reaches as far again on either side.
	least, most := math.Inf(-1), math.Inf(1)
	if measured > 1 {
		reach := math.Max(slices.Max(vs)-slices.Min(vs), math.Abs(slices.Max(vs))/10)
		least, most = slices.Min(vs)-reach, slices.Max(vs)+reach
	}
	foretold := false
	for _, p := range c.Ahead {
		if !p.Time.After(c.To) {
			foretold = true
			for _, v := range []float64{p.Lo, p.Hi, p.Mean} {
				add(math.Max(least, math.Min(most, v)))
			}
		}
	}
	if measured == 0 && !foretold {
		return yScale{}, false
	}
	y := yScale{log: c.Log}
	if c.Log {
		y.least = math.Inf(1)
		for _, v := range vs {
			if v > 0 {
				y.least = math.Min(y.least, v)
			}
		}
		if math.IsInf(y.least, 1) {
			y.log = false
		}
	}
	for i := range vs {
		vs[i] = y.transform(vs[i])
	}
	y.lo, y.hi = slices.Min(vs), slices.Max(vs)
	if y.hi-y.lo < 1e-9*math.Max(math.Abs(y.hi), 1e-6) {
		extent := math.Max(math.Abs(y.hi)*0.1, 1e-3)
		y.lo, y.hi = y.lo-extent, y.hi+extent
	}
	return y, true
}

// labels gives the numbers beside the rows: the exact band and floor, then the ends and the middle where there is room.
func (c chart) labels(y yScale, rows int) ([]string, int) {
	out := make([]string, rows)
	put := func(v float64, exact bool) {
		if math.IsNaN(v) {
			return
		}
		at := rows - 1 - int(math.Round(y.row(v)))
		for near := at - 1; near <= at+1; near++ {
			if near >= 0 && near < rows && out[near] != "" && (near == at || !exact) {
				return
			}
		}
		out[at] = c.Number(v)
	}
	put(c.Band.Floor, true)
	put(c.Band.Low, true)
	put(c.Band.High, true)
	put(y.value(float64(rows-1)), false)
	put(y.value(0), false)
	put(y.value(float64(rows-1)/2), false)
	w := 0
	for _, l := range out {
		w = max(w, width(l))
	}
	return out, w
}
