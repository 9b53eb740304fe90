package tui

import (
	"math"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// sparkline draws the readings of the last stretch of days before asOf, one column an equal share of it: the last
// reading of each share. Its scale is the band where there is one, so that two sparklines of one parameter mean the
// same; readings beyond it stand at the bottom or the top.
func sparkline(rs []logbook.Reading, b alerts.Band, asOf time.Time, days float64, columns int, s signs) string {
	if columns <= 0 {
		return ""
	}
	cells := make([]float64, columns)
	for i := range cells {
		cells[i] = math.NaN()
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, r := range rs {
		age := asOf.Sub(r.Time).Hours() / 24
		if age < 0 || age >= days {
			continue
		}
		i := min(columns-1, int((1-age/days)*float64(columns)))
		cells[i] = r.Value
		lo, hi = math.Min(lo, r.Value), math.Max(hi, r.Value)
	}
	if !math.IsNaN(b.Low) {
		lo = math.Min(b.Low, lo)
	}
	if !math.IsNaN(b.High) {
		hi = math.Max(b.High, hi)
	}
	if !math.IsNaN(b.Low) && !math.IsNaN(b.High) {
		margin := (b.High - b.Low) / 2
		lo, hi = math.Max(lo, b.Low-margin), math.Min(hi, b.High+margin)
	}
	var out strings.Builder
	for _, v := range cells {
		if math.IsNaN(v) {
			out.WriteString(s.NoData)
			continue
		}
		out.WriteString(s.Spark[share(v, lo, hi, len(s.Spark))])
	}
	return out.String()
}

// share is which of n equal parts of lo..hi holds v; the middle where there is no extent.
func share(v, lo, hi float64, n int) int {
	if !(hi > lo) {
		return n / 2
	}
	return max(0, min(n-1, int((v-lo)/(hi-lo)*float64(n))))
}
