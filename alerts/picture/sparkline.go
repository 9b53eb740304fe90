package picture

import (
	"math"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

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
