package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

func (p *parameterScreen) chartHeight() int {
	return max(6, min(24, (p.h-2)*3/5))
}

func (p *parameterScreen) View() string {
	t := p.env.theme
	if !p.loaded {
		return p.loading.view(t, p.w)
	}
	out := p.summary()
	h := p.chartHeight()
	if p.why || p.demand {
		h = max(5, h-4)
	}
	if p.h >= 14 || !p.why && !p.demand { // else the words need all the rows there are
		c := p.chart(h)
		out = append(out, c.draw(t)...)
		out = append(out, p.caption(c))
		if p.over != "" {
			out = append(out, p.overCaption(c))
		}
	}
	p.listRow = len(out)
	room := p.h - len(out)
	switch {
	case p.why:
		out = append(out, p.said(p.line.Reasons(p.now()), room)...)
	case p.demand && p.takes == nil:
		out = append(out, t.Dim.Render("  asking for the demand…"))
	case p.demand:
		out = append(out, p.said(p.takes, room)...)
	default:
		out = append(out, p.list(room)...)
	}
	return strings.Join(out, "\n")
}

// summary is the level, the direction and the standing, then the gravest alert.
func (p *parameterScreen) summary() []string {
	t := p.env.theme
	l := p.line
	if l.Assessment.N == 0 {
		return []string{cut("no reading yet: t enters a test day", p.w)}
	}
	text := bandStyle(l.BandState, t).Render(standing(l.BandState)) + "  " + clean(l.LevelText()) + "  " + headingText(l, t.Signs)
	if f := floorShort(l); f != "—" {
		text += "  floor: " + f
	}
	rows := []string{cut(text, p.w)}
	if len(l.Alerts) > 0 && p.h >= 18 {
		a := l.Alerts[0]
		for i, s := range wrap(clean(a.Text), p.w-2, 2) {
			lead := "  "
			if i == 0 {
				lead = severityStyle(a.Severity, t).Render(t.Signs.Alert) + " "
			}
			rows = append(rows, lead+s)
		}
	}
	return rows
}

func (p *parameterScreen) chart(h int) chart {
	c := chart{
		From: p.from(), To: p.to(), Now: p.now(), Width: p.w, Height: h, Readings: p.shown, Band: p.line.Band,
		Log: p.log, Joined: joined(p.line), Number: func(v float64) string { return alerts.Number(p.line.Parameter, v) },
		Ahead: aheadOf(p.line, p.now()),
	}
	for _, r := range p.rows {
		if r.sign != "" && !r.struck {
			c.Marks = append(c.Marks, chartMark{r.entry.When(), r.signOf(p.env.theme.Signs)})
		}
	}
	// Where several fall into one column the last is seen: chores give way.
	chore := func(m chartMark) int {
		if m.Sign == p.env.theme.Signs.Chore {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(c.Marks, func(a, b chartMark) int { return chore(a) - chore(b) })
	for _, w := range p.warned {
		c.Marks = append(c.Marks, chartMark{w, p.env.theme.Signs.Alert})
	}
	if p.cursor >= 0 {
		n := c.columns()
		p.cursor = min(p.cursor, n-1)
		c.Cursor = c.moment(p.cursor, n)
	}
	if p.over != "" {
		c.Over = &overlay{Readings: p.laid.readings, shared: p.overTank != ""}
	}
	return c
}

// aheadOf is the forecast as moments, beginning with the level now.
func aheadOf(l alerts.Line, now time.Time) []aheadPoint {
	a := l.Assessment
	if a.N == 0 || math.IsNaN(a.Level) {
		return nil
	}
	out := []aheadPoint{{now, a.Level, a.LevelLo, a.LevelHi}}
	for _, f := range a.Forecast {
		if f.Days > 0 && !math.IsNaN(f.Mean) {
			out = append(out, aheadPoint{now.Add(hours(f.Days * 24)), f.Mean, f.Lo, f.Hi})
		}
	}
	return out
}

// caption gives the exact band, since a row of the chart is coarse; or what the cursor stands on.
func (p *parameterScreen) caption(c chart) string {
	t := p.env.theme
	if !c.Cursor.IsZero() {
		return cut(p.underCursor(c), p.w)
	}
	l := p.line
	var parts []string
	if p.over != "" { // two series in one picture: which is which
		parts = append(parts, t.Signs.Level+" "+p.seriesName(p.tank.Name, p.name))
	}
	number := func(v float64) string { return alerts.Number(l.Parameter, v) }
	if l.Band.Set() {
		lo, hi := "", ""
		if !math.IsNaN(l.Band.Low) {
			lo = number(l.Band.Low)
		}
		if !math.IsNaN(l.Band.High) {
			hi = number(l.Band.High)
		}
		parts = append(parts, t.Signs.BandLine+t.Signs.BandLine+" band "+lo+"–"+hi)
	}
	if !math.IsNaN(l.Band.Floor) {
		parts = append(parts, t.Signs.FloorLine+t.Signs.FloorLine+" floor "+number(l.Band.Floor))
	}
	if l.Parameter.Unit != "" {
		parts = append(parts, "in "+clean(l.Parameter.Unit))
	}
	if p.log {
		parts = append(parts, "log scale")
	}
	if text := marksText(c.Marks, t.Signs); text != "" { // last: its letters can be guessed where there is no room
		parts = append(parts, text)
	}
	return t.Dim.Render(cut(strings.Join(parts, "   "), p.w))
}

// marksText explains the marks that stand on the time axis.
func marksText(marks []chartMark, s signs) string {
	var out []string
	for _, x := range []struct{ sign, word string }{{s.Alert, "would have warned"}, {s.WaterChange, "water change"}, {s.Dose, "dose"}, {s.Dosing, "dosing"},
		{s.Event, "event"}, {s.Chore, "chore"}} {
		if slices.ContainsFunc(marks, func(m chartMark) bool { return m.Sign == x.sign }) {
			out = append(out, x.sign+" "+x.word)
		}
	}
	return strings.Join(out, " ")
}

// underCursor reads the chart at the cursor: the nearest reading, or the forecast.
func (p *parameterScreen) underCursor(c chart) string {
	at := c.Cursor
	text := at.Format("Mon 2 Jan 2006")
	if a, ok := c.aheadAt(at); ok {
		return fmt.Sprintf("%s: expected %s (%s–%s)", text, alerts.Quantity(p.line.Parameter, a.Mean),
			alerts.Number(p.line.Parameter, a.Lo), alerts.Number(p.line.Parameter, a.Hi))
	}
	r, ok := nearestReading(p.shown, at)
	if !ok {
		return text + ": no reading"
	}
	return fmt.Sprintf("%s: nearest reading %s%s on %s", text, r.Bound.Sign(), alerts.Quantity(p.line.Parameter, r.Value),
		r.Time.In(p.tank.Zone()).Format("2 Jan 2006"))
}

// nearestReading is the one nearest to a moment.
func nearestReading(rs []logbook.Reading, at time.Time) (logbook.Reading, bool) {
	best := -1
	for i, r := range rs {
		if best < 0 || gap(r.Time, at) < gap(rs[best].Time, at) {
			best = i
		}
	}
	if best < 0 {
		return logbook.Reading{}, false
	}
	return rs[best], true
}

func gap(a, b time.Time) time.Duration {
	if a.After(b) {
		return a.Sub(b)
	}
	return b.Sub(a)
}

// said lists what there is to say, one sentence after another, in at most room rows; j and k move through the rest.
func (p *parameterScreen) said(says []string, room int) []string {
	var out []string
	for _, r := range says {
		for i, s := range wrap(clean(r), p.w-4, 0) {
			lead := "    "
			if i == 0 {
				lead = "  - "
			}
			out = append(out, lead+s)
		}
	}
	room = max(1, room)
	p.saidTop = max(0, min(p.saidTop, len(out)-room))
	out = out[p.saidTop:]
	if len(out) > room {
		out = append(out[:room-1:room-1], p.env.theme.Dim.Render("    … j: more"))
	}
	return out
}

func (p *parameterScreen) list(room int) []string {
	t := p.env.theme
	if len(p.rows) == 0 {
		return []string{t.Dim.Render(cut("  nothing was written down in this stretch of time", p.w))}
	}
	p.top = window(p.top, p.at, len(p.rows), room)
	var out []string
	for i := p.top; i < min(len(p.rows), p.top+room); i++ {
		out = append(out, p.rows[i].row(i == p.at, p.w, p.tank.Zone(), t))
	}
	if p.unlisted && p.top+room > len(p.rows) {
		out = append(out, t.Dim.Render(cut("  and older readings: + shows a shorter time", p.w)))
	}
	return out
}
