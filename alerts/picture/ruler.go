package picture

import (
	"math"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// Ruler draws where the level stands in the band. The edges of the band stand in the same columns on every line, a
// quarter from either end, so that the eye can run down a list of them:
//
//	⊥   ├──━━━●──────┤
//
// Left of the lower edge lies half a band's width, or everything down to zero where there is a floor. The thick line is
// the 80 % range of the forecast in 14 days, drawn from the level to its far end.
func Ruler(l alerts.Finding, w int) Row {
	m, ok := newMeasure(l, w)
	if !ok {
		return rowOf("no band"+strings.Repeat(" ", max(0, w-len("no band"))), Dim)[:max(0, w)]
	}
	row := rowOf(strings.Repeat(" ", w), Plain)
	span := func(from, to int, sign string, tone Tone) {
		for i := max(0, from); i <= min(w-1, to); i++ {
			row[i] = Cell{sign, tone}
		}
	}
	put := func(at int, sign string, tone Tone) { span(at, at, sign, tone) }
	left, right := m.left, m.right
	if math.IsNaN(l.Band.Low) && math.IsNaN(l.Band.Floor) {
		left = 0
	}
	if math.IsNaN(l.Band.High) {
		right = w - 1
	}
	span(left, right, bandDash, Band)
	a := l.Assessment
	if f, ok := alerts.ForecastIn(a, 14); ok && !math.IsNaN(f.Lo) && !math.IsNaN(f.Hi) {
		span(m.at(f.Lo), m.at(f.Hi), Soon, Forecast)
	}
	if !math.IsNaN(l.Band.Low) {
		put(left, bandLeft, Band)
	}
	if !math.IsNaN(l.Band.High) {
		put(right, bandRight, Band)
	}
	if !math.IsNaN(l.Band.Floor) {
		put(max(0, m.at(l.Band.Floor)), Floor, Bad)
	}
	if a.N > 0 && !math.IsNaN(a.Level) {
		tone, sign := ToneOf(l.BandState), Level
		if l.Stale() {
			tone, sign = Dim, StaleLevel
		}
		switch at := m.at(a.Level); {
		case at < 0:
			put(0, offLeft, tone)
		case at >= w:
			put(w-1, offRight, tone)
		default:
			put(at, sign, tone)
		}
	}
	return row
}

// ToneOf is the tone of a standing in the band.
func ToneOf(s alerts.BandState) Tone {
	switch s {
	case alerts.BandBelow, alerts.BandAbove:
		return Bad
	case alerts.BandNearLow, alerts.BandNearHigh:
		return Warn
	case alerts.BandInside:
		return Good
	default:
		return Accent
	}
}

// measure maps values to the columns of a ruler, in three straight pieces.
type measure struct {
	from, low, high, to float64
	left, right, w      int // columns of the edges, and how many there are
}

func newMeasure(l alerts.Finding, w int) (measure, bool) {
	b := l.Band
	low, high := b.Low, b.High
	if math.IsNaN(low) {
		low = b.Floor
	}
	switch {
	case w < 8 || math.IsNaN(low) && math.IsNaN(high):
		return measure{}, false
	case math.IsNaN(low):
		low = math.Max(l.Parameter.Min, 0)
		if !(low < high) {
			low = high - math.Max(math.Abs(high)/2, 1)
		}
	case math.IsNaN(high):
		high = low + math.Max(math.Abs(low)*2, 1e-9)
	}
	half := (high - low) / 2
	m := measure{low: low, high: high, from: low - half, to: high + half, left: w / 4, right: w - 1 - w/4, w: w}
	if !math.IsNaN(b.Floor) && b.Floor < low {
		m.from = math.Min(0, b.Floor)
	} else if m.from < 0 && l.Parameter.Min >= 0 {
		m.from = math.Min(0, low)
	}
	return m, true
}

// at is the column of a value; -1 and w where it lies beyond the ends.
func (m measure) at(v float64) int {
	along := func(a, b float64, from, to int) int {
		if !(b > a) {
			return from
		}
		return from + int(math.Round((v-a)/(b-a)*float64(to-from)))
	}
	switch {
	case v < m.from:
		return -1
	case v < m.low:
		return along(m.from, m.low, 0, m.left)
	case v <= m.high:
		return along(m.low, m.high, m.left, m.right)
	case v <= m.to:
		return along(m.high, m.to, m.right, m.w-1)
	default:
		return m.w
	}
}

// Latest parts the last stretch of days before asOf into equal shares and gives the last reading of each; nil where
// there is none.
func Latest(rs []logbook.Reading, asOf time.Time, days float64, shares int) []*logbook.Reading {
	out := make([]*logbook.Reading, shares)
	for i, r := range rs {
		if age := asOf.Sub(r.Time).Hours() / 24; age >= 0 && age < days {
			out[min(shares-1, int((1-age/days)*float64(shares)))] = &rs[i]
		}
	}
	return out
}

// Sparkline draws readings, one column each; nil is none. Its scale is the band where there is one, so that two
// sparklines of one parameter mean the same; those beyond it by more than half its width stand at the bottom or the
// top.
func Sparkline(rs []*logbook.Reading, b alerts.Band) string {
	vs := []float64{b.Low, b.High}
	for _, r := range rs {
		if r != nil {
			vs = append(vs, r.Value)
		}
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range vs {
		if !math.IsNaN(v) {
			lo, hi = math.Min(lo, v), math.Max(hi, v)
		}
	}
	if margin := (b.High - b.Low) / 2; !math.IsNaN(margin) {
		lo, hi = math.Max(lo, b.Low-margin), math.Min(hi, b.High+margin)
	}
	signs := []rune(bars)
	var out strings.Builder
	for _, r := range rs {
		switch {
		case r == nil:
			out.WriteString(NoData)
		case hi > lo:
			out.WriteRune(signs[max(0, min(len(signs)-1, int((r.Value-lo)/(hi-lo)*float64(len(signs)))))])
		default:
			out.WriteRune(signs[len(signs)/2])
		}
	}
	return out.String()
}
