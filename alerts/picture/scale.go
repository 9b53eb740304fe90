package picture

import (
	"math"
	"slices"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// Scale is the axis of values.
type Scale struct {
	Lo, Hi float64 // at the bottom and the top
	Log    bool
}

// At is how high a value stands: 0 at the bottom, 1 at the top, where all that lies beyond is held.
func (s Scale) At(v float64) float64 {
	lo, hi := s.Lo, s.Hi
	if s.Log {
		lo, hi, v = math.Log(lo), math.Log(hi), math.Log(math.Max(v, lo))
	}
	return math.Max(0, math.Min(1, (v-lo)/(hi-lo)))
}

// Beyond reports whether a value does not lie on the axis.
func (s Scale) Beyond(v float64) bool { return v < s.Lo || v > s.Hi }

// niceStep is the smallest of 1, 2 and 5 times a power of ten that is not under a step, and the decimals it needs.
func niceStep(least float64) (step float64, digits int) {
	power := math.Floor(math.Log10(least))
	for _, m := range []float64{1, 2, 5, 10} {
		if step = m * math.Pow(10, power); step >= least*(1-1e-9) {
			break
		}
	}
	return step, max(0, int(-math.Floor(math.Log10(step)+1e-9)))
}

// unit is the last decimal that the parameter is shown with, in its canonical unit.
func (c Chart) unit() float64 { return math.Pow10(-c.Finding.Parameter.Digits) }

// Steps are values on the axis of the chart that are round in the unit shown, about so many, none closer together than
// the last decimal there; and the decimals they need. On a logarithmic axis those of every decade come first.
func (c Chart) Steps(s Scale, about float64) (vs []float64, digits int) {
	p := c.Finding.Parameter
	s.Lo, s.Hi = p.Shown.FromCanonical(s.Lo), p.Shown.FromCanonical(s.Hi)
	defer func() {
		for i, v := range vs {
			vs[i] = p.Shown.Canonical(v)
		}
	}()
	if s.Log {
		for power := math.Pow(10, math.Floor(math.Log10(s.Lo))); power <= s.Hi; power *= 10 {
			for _, m := range []float64{1, 2, 5} {
				if !s.Beyond(m * power) {
					vs = append(vs, m*power)
				}
			}
		}
	}
	step, digits := niceStep(math.Max((s.Hi-s.Lo)/about, math.Pow10(-p.DigitsIn(p.Shown))))
	for k := math.Ceil(s.Lo / step); k*step <= s.Hi; k++ {
		vs = append(vs, k*step)
	}
	return vs, digits
}

// Scale is the range of values shown: the readings but for wild ones among the older, also those laid over of the same
// parameter, the level now, band and floor where they are near, the mean forecast up to as far again on either side,
// and its range as far as that leaves it room. Airy leaves air beyond them; rows of cells, which are coarse, have
// enough of their own. False where there is nothing to show.
func (c Chart) Scale(airy bool) (Scale, bool) {
	if c.axis != nil {
		return *c.axis, true
	}
	vs, fan := c.held(c.Seen()), c.Fan()
	if c.Over != nil && c.Over.Shared {
		vs = append(vs, c.held(c.Over.Readings)...)
	}
	if len(vs) == 0 && len(fan) == 0 {
		return Scale{}, false
	}
	if len(vs) == 0 {
		for _, f := range fan {
			vs = append(vs, f.Mean)
		}
	} else if len(fan) > 0 {
		vs = append(vs, fan[0].Mean)
	}
	lo, hi := c.withEdges(slices.Min(vs), slices.Max(vs))
	least, most := lo, hi
	reach := math.Max(most-least, 3*c.unit())
	for _, f := range fan { // a forecast that runs away must not press what was measured flat
		lo, hi = math.Min(lo, math.Max(f.Mean, least-reach)), math.Max(hi, math.Min(f.Mean, most+reach))
	}
	least, most = lo, hi
	room := math.Max((hi-lo)/3, c.unit())
	for _, f := range fan {
		lo, hi = math.Min(lo, math.Max(f.Lo, least-room)), math.Max(hi, math.Min(f.Hi, most+room))
	}
	for _, f := range fan {
		vs = append(vs, f.Mean, f.Lo)
	}
	if vs = slices.DeleteFunc(vs, func(v float64) bool { return !(v > 0) }); c.Log && len(vs) > 0 {
		lo = math.Max(lo, math.Max(slices.Min(vs), hi*1e-6)) // six decades are as many as a chart can tell apart
		air := math.Max(math.Pow(hi/lo, 0.06), 1.05)
		if !airy && hi > lo*1.05 {
			air = 1
		}
		return Scale{lo / air, hi * air, true}, true
	}
	air := math.Max(0.06*(hi-lo), 2*c.unit())
	fromZero := c.Finding.Parameter.Min >= 0 && lo >= 0 && lo-3*air < 0
	if !airy && hi-lo > 2*c.unit() {
		air = 0
	}
	if fromZero {
		return Scale{Lo: 0, Hi: hi + air}, true
	}
	return Scale{Lo: lo - air, Hi: hi + air}, true
}

// withEdges widens a range of values to half the width of the band, by which a change is judged, and then takes in the
// edges of the band and the floor that lie no farther off than half of that. What is farther would press it flat.
func (c Chart) withEdges(lo, hi float64) (float64, float64) {
	b := c.Finding.Band
	if lack := (b.High-b.Low)/2 - (hi - lo); lack > 0 {
		lo, hi = lo-lack/2, hi+lack/2
		if c.Finding.Parameter.Min >= 0 {
			lo = math.Max(lo, math.Min(0, lo+lack/2))
		}
	}
	near := math.Max(hi-lo, 3*c.unit()) / 2
	least, most := lo-near, hi+near
	for _, edge := range []float64{b.Floor, b.Low, b.High} {
		if edge >= least && edge <= most {
			lo, hi = math.Min(lo, edge), math.Max(hi, edge)
		}
	}
	return lo, hi
}

// held are the values of readings that the axis holds: on a logarithmic one all, else all but those beyond the fences
// that no other beside them bears out. The newest is held: none has come after it that could.
func (c Chart) held(rs []logbook.Reading) []float64 {
	vs := alerts.Values(rs)
	if c.Log || len(vs) == 0 {
		return vs
	}
	below, above := c.fences(vs)
	beyond := func(i int) int { // on which side, if on any
		switch {
		case i < 0 || i >= len(vs):
			return 0
		case vs[i] < below:
			return -1
		case vs[i] > above:
			return 1
		}
		return 0
	}
	var out []float64
	for i, v := range vs {
		if side := beyond(i); side == 0 || i == len(vs)-1 || side == beyond(i-1) || side == beyond(i+1) {
			out = append(out, v)
		}
	}
	return out
}

// fences are the values beyond which a reading that no other beside it bears out is drawn at the edge of the chart,
// with its number: one slip of the decimal point must not press all others flat. They lie twelve median deviations,
// or three widths of the band, from the median, and at a third and three times of it at the least.
func (c Chart) fences(vs []float64) (below, above float64) {
	middle := trend.Median(vs)
	off := words.Of(vs, func(v float64) float64 { return math.Abs(v - middle) })
	room := 12 * math.Max(trend.Median(off), c.unit())
	if width := c.Finding.Band.High - c.Finding.Band.Low; width > 0 {
		room = math.Max(room, 3*width)
	}
	return math.Min(middle-room, middle/3), math.Max(middle+room, 3*middle)
}

// Tick is a date on a time axis.
type Tick struct {
	At    time.Time
	Label string
}

// Ticks are the dates to print on an axis as long as so many characters: the finest of days, weeks, months, quarters
// and whole numbers of years whose labels find room, each at its start in the zone of from. Where months find room
// without their year, each January is named by it.
func Ticks(from, to time.Time, room int) []Tick {
	for _, by := range []struct {
		layout              string
		label               int // its width, with some air
		years, months, days int
	}{{"2 Jan", 9, 0, 0, 1}, {"2 Jan", 9, 0, 0, 7}, {"Jan 2006", 10, 0, 1, 0}, {"Jan", 6, 0, 1, 0},
		{"Jan 2006", 10, 0, 3, 0}, {"Jan", 6, 0, 3, 0},
		{"2006", 6, 1, 0, 0}, {"2006", 6, 2, 0, 0}, {"2006", 6, 5, 0, 0}, {"2006", 6, 10, 0, 0}, {"2006", 6, 20, 0, 0}} {
		var out []Tick
		at := startOf(from, by.years, by.months, by.days)
		for ; !at.After(to) && len(out)*by.label <= room; at = at.AddDate(by.years, by.months, by.days) {
			if !at.Before(from) {
				layout := by.layout
				if layout == "Jan" && at.Month() == time.January {
					layout = "2006"
				}
				out = append(out, Tick{at, at.Format(layout)})
			}
		}
		if len(out)*by.label <= room {
			return out
		}
	}
	return nil
}

// startOf is the beginning of the years, the quarter, month, week (a Monday) or day that holds a moment.
func startOf(t time.Time, years, months, days int) time.Time {
	y, m, d := t.Date()
	switch {
	case years > 0:
		y, m, d = y/years*years, time.January, 1
	case months > 0:
		m, d = (m-1)/time.Month(months)*time.Month(months)+1, 1
	case days == 7:
		d -= int(t.Weekday()+6) % 7
	}
	return time.Date(y, m, d, 0, 0, 0, 0, t.Location())
}
