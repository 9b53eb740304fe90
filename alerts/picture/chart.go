// Package picture says what is drawn of a tank's water, for every way of drawing it: which readings a chart shows, on
// what scale, with which band, forecast, marks and dates. It draws on character cells itself; the screens colour
// those, the text chart prints them, and a PNG or SVG is drawn from the same chart. The ruler and the sparkline of
// one row stand here too.
package picture

import (
	"cmp"
	"math"
	"slices"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// Chart is one parameter of a tank over a stretch of time, ready to be drawn. Dates are in the zone of From.
type Chart struct {
	Finding  alerts.Finding    // what it is of: parameter, band, floor and forecast
	Readings []logbook.Reading // in time order; those before From only lead the line in from the edge
	Done     []logbook.Entry   // what was done to the tank and seen in it, in time order
	Known    words.Known       // what puts it into words
	Warned   []time.Time       // when a hindcast would have begun to warn
	// that held one after the other; the last one holds now. None: that of the finding always
	Bands         []alerts.HeldBand
	From, Now, To time.Time // at Now the forecast begins
	Log           bool      // the scale is logarithmic
	Over          *Over
	Cursor        time.Time // zero: none
	Numbered      int       // of what was done so many are numbered on the axis, the newest

	axis *Scale // shared with another chart; nil: its own
}

// Over is a second series: on the axis of the first where both are of one parameter, else drawn to its own scale.
type Over struct {
	Parameter logbook.Parameter
	Readings  []logbook.Reading
	Shared    bool
}

// Ends are the lowest and the highest value of a series laid over; false where it has none.
func (o Over) Ends() (lo, hi float64, ok bool) {
	if len(o.Readings) == 0 {
		return 0, 0, false
	}
	vs := alerts.Values(o.Readings)
	return slices.Min(vs), slices.Max(vs), true
}

// Ahead is the forecast of the true level at a moment, with its 80 % range.
type Ahead struct {
	Time         time.Time
	Mean, Lo, Hi float64
}

// forecastDays is how far the chart of a file looks ahead.
const forecastDays = 42

// Of collects the chart of a parameter from a moment on, with the forecast as of another.
func Of(v *logbook.View, t logbook.Tank, p logbook.Parameter, from, asOf time.Time) (Chart, error) {
	c := Chart{From: from, Now: asOf, To: asOf.AddDate(0, 0, forecastDays)}
	var err error
	if c.Finding, err = alerts.ExamineParameter(v, t, p, asOf, 0); err != nil {
		return Chart{}, err
	}
	return c.filled(v)
}

// filled is a chart with the readings of its stretch of time, and one joining stretch more on the left, so that the
// line comes in from the edge; and with what was done.
func (c Chart) filled(v *logbook.View) (Chart, error) {
	tank := c.Finding.Tank.Name
	var errs [4]error
	c.Readings, errs[0] = Readings(v, tank, c.Finding.Parameter.Name, c.From.Add(-Joined(c.Finding)), c.Now)
	c.Known, errs[1] = words.Know(v, tank)
	c.Done, errs[2] = Done(v, tank, c.From, c.Now)
	c.Bands, errs[3] = alerts.BandsHeld(v, c.Finding.Tank, c.Finding.Parameter)
	return c, cmp.Or(errs[:]...)
}

// Held are the bands from the beginning of the chart to its end. The one that holds at its moment holds on.
func (c Chart) Held() []alerts.HeldBand {
	bands := words.Those(c.Bands, func(b alerts.HeldBand) bool {
		return b.From.Before(c.Now) && (b.To.IsZero() || b.To.After(c.From))
	})
	if len(c.Bands) < 2 || len(bands) == 0 {
		bands = []alerts.HeldBand{{Band: c.Finding.Band}}
	}
	bands[len(bands)-1].To = c.To
	if bands[0].From.Before(c.From) {
		bands[0].From = c.From
	}
	return bands
}

// Deeds is what was done that concerns the chart.
func (c Chart) Deeds(private bool) []Deed { return DeedsOf([]Chart{c}, private, c.Numbered) }

// DeedsOf is what was done that concerns any of the charts of a tank, at least one.
func DeedsOf(charts []Chart, private bool, most int) []Deed {
	done := words.Those(charts[0].Done, func(e logbook.Entry) bool {
		return slices.ContainsFunc(charts, func(c Chart) bool { return c.Concerns(e) })
	})
	return Deeds(done, charts[0].Known, private, most)
}

// Readings reads what a chart shows of a stretch of time.
func Readings(v *logbook.View, tank, parameter string, from, to time.Time) ([]logbook.Reading, error) {
	rs, err := alerts.ShownReadings(v, tank, parameter, from, to, stretches)
	return thin(rs, from, to), err
}

// Done is what was done and seen in a stretch of time, in time order. A stock filled up is none of it, unless it is
// what the water goes through, such as media.
func Done(v *logbook.View, tank string, from, to time.Time) ([]logbook.Entry, error) {
	stocks, err := v.Stocks(tank)
	if err != nil {
		return nil, err
	}
	done, err := alerts.Entries(v, tank, alerts.DoneKinds(), from, to)
	return slices.DeleteFunc(done, func(e logbook.Entry) bool {
		r, refill := e.(logbook.Refill)
		return refill && !slices.ContainsFunc(stocks, func(s logbook.Stock) bool { return s.Name == r.Stock && s.PerDay > 0 })
	}), err
}

// Joined is the longest gap between two readings that the line crosses: where a test was left out for long, it breaks.
func Joined(l alerts.Finding) time.Duration {
	days := 35.0
	if l.EveryDays > 0 {
		days = math.Max(10, 3.5*l.EveryDays)
	}
	return time.Duration(days * float64(24*time.Hour))
}

// Pieces are the readings in runs that a line joins.
func (c Chart) Pieces() [][]logbook.Reading {
	longest := Joined(c.Finding)
	var out [][]logbook.Reading
	for i, r := range c.Readings {
		if i == 0 || r.Time.Sub(c.Readings[i-1].Time) > longest {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], r)
	}
	return out
}

// Along is where a moment lies between the ends of the chart: 0 at From, 1 at To.
func (c Chart) Along(t time.Time) float64 { return float64(t.Sub(c.From)) / float64(c.To.Sub(c.From)) }

// Seen are the readings between the ends of the chart.
func (c Chart) Seen() []logbook.Reading {
	return words.Those(c.Readings, func(r logbook.Reading) bool {
		return !r.Time.Before(c.From) && !r.Time.After(c.To)
	})
}

// Bounded reports whether any reading seen tells only a bound.
func (c Chart) Bounded() bool {
	return slices.ContainsFunc(c.Seen(), func(r logbook.Reading) bool { return r.Bound != logbook.Exact })
}

// Fan is the forecast, from the level now to the end of the chart; nothing where it is not known.
func (c Chart) Fan() []Ahead {
	a := c.Finding.Assessment
	if a.N == 0 || math.IsNaN(a.Level+a.LevelLo+a.LevelHi) || !c.Now.Before(c.To) {
		return nil
	}
	out := []Ahead{{c.Now, a.Level, a.LevelLo, a.LevelHi}}
	for _, f := range a.Forecast {
		if !(f.Days > 0) || math.IsNaN(f.Mean+f.Lo+f.Hi) {
			continue
		}
		last, next := out[len(out)-1], Ahead{c.Now.Add(time.Duration(f.Days * float64(24*time.Hour))), f.Mean, f.Lo, f.Hi}
		if next.Time.After(c.To) {
			out = append(out, between(last, next, c.To))
			break
		}
		out = append(out, next)
	}
	if len(out) < 2 {
		return nil
	}
	return out
}

// ForecastAt is the forecast at a moment, straight between its points.
func (c Chart) ForecastAt(t time.Time) (Ahead, bool) {
	fan := c.Fan()
	for i := 1; i < len(fan); i++ {
		if !t.Before(fan[i-1].Time) && !t.After(fan[i].Time) {
			return between(fan[i-1], fan[i], t), true
		}
	}
	return Ahead{}, false
}

func between(a, b Ahead, t time.Time) Ahead {
	part := float64(t.Sub(a.Time)) / float64(b.Time.Sub(a.Time))
	mix := func(x, y float64) float64 { return x + part*(y-x) }
	return Ahead{t, mix(a.Mean, b.Mean), mix(a.Lo, b.Lo), mix(a.Hi, b.Hi)}
}

// stretches is how many parts of its time a chart can show apart: more than a pixel each of a picture, and several
// for every column of a wide terminal.
const stretches = 1000

// thin leaves out readings that no chart could show apart: of every small stretch of time the first, the last, the
// lowest and the highest stay.
func thin(rs []logbook.Reading, from, to time.Time) []logbook.Reading {
	if len(rs) <= 4*stretches {
		return rs
	}
	share := float64(to.Sub(from)) / stretches
	out := make([]logbook.Reading, 0, 4*stretches)
	for i := 0; i < len(rs); {
		at := math.Floor(float64(rs[i].Time.Sub(from)) / share)
		lowest, highest, j := i, i, i
		for ; j < len(rs) && math.Floor(float64(rs[j].Time.Sub(from))/share) == at; j++ {
			if rs[j].Value < rs[lowest].Value {
				lowest = j
			}
			if rs[j].Value > rs[highest].Value {
				highest = j
			}
		}
		keep := []int{i, lowest, highest, j - 1}
		slices.Sort(keep)
		for _, k := range slices.Compact(keep) {
			out = append(out, rs[k])
		}
		i = j
	}
	return out
}
