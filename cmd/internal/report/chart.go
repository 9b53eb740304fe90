package report

import (
	"math"
	"slices"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// ForecastDays is how far a chart looks ahead.
const ForecastDays = 42

// Chart is one parameter of a tank over a stretch of time, ready to be drawn. Its times are in the zone of From.
type Chart struct {
	Line     alerts.Line
	Readings []logbook.Reading // from From to AsOf
	Done     []logbook.Entry   // what was done to the tank and seen in it in that time
	From     time.Time
	AsOf     time.Time // here the forecast begins
}

// ChartOf collects a chart.
func ChartOf(v *logbook.View, t logbook.Tank, p logbook.Parameter, from, asOf time.Time) (Chart, error) {
	c := Chart{From: from, AsOf: asOf}
	var err error
	if c.Line, err = alerts.ExamineParameter(v, t, p, asOf, 0); err != nil {
		return Chart{}, err
	}
	if c.Readings, err = alerts.ShownReadings(v, t.Name, p.Name, from, asOf, stretches); err != nil {
		return Chart{}, err
	}
	c.Done, err = doneIn(v, t.Name, from, asOf)
	return c, err
}

// To is the right end of the chart.
func (c Chart) To() time.Time { return c.AsOf.AddDate(0, 0, ForecastDays) }

// along is where a moment lies between the ends of the chart: 0 at From, 1 at To.
func (c Chart) along(t time.Time) float64 {
	return float64(t.Sub(c.From)) / float64(c.To().Sub(c.From))
}

// ahead is a point of the forecast.
type ahead struct {
	at           time.Time
	mean, lo, hi float64
}

// fan is the forecast, its first point the level now; nothing where it is not known.
func (c Chart) fan() []ahead {
	as := c.Line.Assessment
	if as.N == 0 || math.IsNaN(as.Level) || len(as.Forecast) == 0 {
		return nil
	}
	out := []ahead{{c.AsOf, as.Level, as.LevelLo, as.LevelHi}}
	for _, f := range as.Forecast {
		if f.Days <= ForecastDays && !math.IsNaN(f.Mean) && !math.IsNaN(f.Lo) && !math.IsNaN(f.Hi) {
			out = append(out, ahead{c.AsOf.Add(time.Duration(f.Days * float64(24*time.Hour))), f.Mean, f.Lo, f.Hi})
		}
	}
	return out
}

// pieces are the readings in runs that a line joins: where a test was left out for long, it breaks.
func (c Chart) pieces() [][]logbook.Reading {
	longest := 35 * 24 * time.Hour
	if every := c.Line.EveryDays; every > 0 {
		longest = time.Duration(math.Max(10, 3.5*every) * float64(24*time.Hour))
	}
	var out [][]logbook.Reading
	for i, r := range c.Readings {
		if i == 0 || r.Time.Sub(c.Readings[i-1].Time) > longest {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], r)
	}
	return out
}

// stretches is how many stretches of time a picture can show apart: a pixel each.
const stretches = 720

// thinned leaves out readings that a picture could not show apart: of every small stretch of time the first, the last, the
// lowest and the highest stay. few says that nothing was left out.
func thinned(rs []logbook.Reading, along func(time.Time) float64) (out []logbook.Reading, few bool) {
	if len(rs) <= stretches/3 {
		return rs, true
	}
	for i := 0; i < len(rs); {
		at, low, high, j := math.Floor(along(rs[i].Time)*stretches), i, i, i
		for ; j < len(rs) && math.Floor(along(rs[j].Time)*stretches) == at; j++ {
			if rs[j].Value < rs[low].Value {
				low = j
			}
			if rs[j].Value > rs[high].Value {
				high = j
			}
		}
		keep := []int{i, low, high, j - 1}
		slices.Sort(keep)
		for _, k := range slices.Compact(keep) {
			out = append(out, rs[k])
		}
		i = j
	}
	return out, false
}

// span is the range of values shown: readings but for wild ones, band and floor whole, the mean forecast up to as far again
// on either side, and the fan as far as it leaves them room. False where there is nothing to show.
func (c Chart) span() (lo, hi float64, ok bool) {
	var vs []float64
	below, above := c.fences()
	beyond := func(i int) int { // on which side, if on any
		switch {
		case i < 0 || i >= len(c.Readings):
			return 0
		case c.Readings[i].Value < below:
			return -1
		case c.Readings[i].Value > above:
			return 1
		}
		return 0
	}
	for i, r := range c.Readings {
		if side := beyond(i); side == 0 || side == beyond(i-1) || side == beyond(i+1) {
			vs = append(vs, r.Value)
		}
	}
	fan := c.fan()
	if len(vs) == 0 {
		for _, f := range fan {
			vs = append(vs, f.mean)
		}
	}
	if len(vs) == 0 {
		return 0, 0, false
	}
	for _, edge := range []float64{c.Line.Band.Low, c.Line.Band.High, c.Line.Band.Floor} {
		if !math.IsNaN(edge) {
			vs = append(vs, edge)
		}
	}
	lo, hi = slices.Min(vs), slices.Max(vs)
	least, most := lo, hi
	reach := math.Max(most-least, 3*math.Pow10(-c.Line.Parameter.Digits))
	for _, f := range fan { // a forecast that runs away must not press what was measured flat
		lo, hi = math.Min(lo, math.Max(f.mean, least-reach)), math.Max(hi, math.Min(f.mean, most+reach))
	}
	least, most = lo, hi
	room := math.Max((hi-lo)/3, math.Pow10(-c.Line.Parameter.Digits))
	for _, f := range fan {
		lo, hi = math.Min(lo, math.Max(f.lo, least-room)), math.Max(hi, math.Min(f.hi, most+room))
	}
	air := math.Max(0.06*(hi-lo), math.Pow10(-c.Line.Parameter.Digits)/2)
	if c.Line.Parameter.Min >= 0 && lo-3*air < 0 {
		return 0, hi + air, true
	}
	return lo - air, hi + air, true
}

// fences are the values beyond which a reading that no other beside it bears out is drawn at the edge of the chart, with its
// number: one slip of the decimal point must not press all others flat. They lie twelve median deviations, or three widths of
// the band, from the median, and at a third and three times of it at the least.
func (c Chart) fences() (below, above float64) {
	if len(c.Readings) == 0 {
		return math.Inf(-1), math.Inf(1)
	}
	vs := make([]float64, len(c.Readings))
	for i, r := range c.Readings {
		vs[i] = r.Value
	}
	middle := median(vs)
	for i := range vs {
		vs[i] = math.Abs(vs[i] - middle)
	}
	room := 12 * math.Max(median(vs), math.Pow10(-c.Line.Parameter.Digits))
	if width := c.Line.Band.High - c.Line.Band.Low; width > 0 {
		room = math.Max(room, 3*width)
	}
	return math.Min(middle-room, middle/3), math.Max(middle+room, 3*middle)
}

func median(vs []float64) float64 {
	vs = slices.Sorted(slices.Values(vs))
	return (vs[(len(vs)-1)/2] + vs[len(vs)/2]) / 2
}

// states says in words where the parameter stands.
func (c Chart) states() string {
	if c.Line.Assessment.N == 0 {
		return "no readings"
	}
	return "level now " + c.Line.LevelText() + ", " + c.Line.SlopeText()
}

// bounded reports whether any reading tells only a bound.
func (c Chart) bounded() bool {
	return slices.ContainsFunc(c.Readings, func(r logbook.Reading) bool { return r.Bound != logbook.Exact })
}
