package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
	"leadline/tui/part"
)

func (p *parameterScreen) chartHeight() int {
	return max(6, min(24, (p.H-2)*3/5))
}

func (p *parameterScreen) View() string {
	out := p.summary()
	h := p.chartHeight()
	if p.aside.of != nothing {
		h = max(5, h-4)
	}
	if p.H >= 14 || p.aside.of == nothing { // else the words need all the rows there are
		c := p.chart(h)
		out = append(out, p.Drawn(c, p.W, h)...)
		out = append(out, p.caption(c))
		if c.Over != nil {
			out = append(out, p.overCaption(c))
		}
	}
	p.lines.Row = len(out)
	room := p.H - len(out)
	switch {
	case p.aside.of == theReasons:
		out = append(out, p.said(p.line.Reasons(p.now()), room)...)
	case p.aside.of == theDemand && p.aside.takes == nil:
		out = append(out, p.Dim.Render("  asking for the demand…"))
	case p.aside.of == theDemand:
		out = append(out, p.said(p.aside.takes, room)...)
	default:
		out = append(out, p.list(len(out), room)...)
	}
	return strings.Join(out, "\n")
}

// summary is the level, the direction and the standing, then the gravest alert.
func (p *parameterScreen) summary() []string {
	l := p.line
	if l.Assessment.N == 0 {
		return []string{part.Cut("no reading yet: t enters a test day", p.W)}
	}
	text := p.Ink(picture.ToneOf(l.BandState)).Render(l.BandWords()) + "  " + part.Clean(l.LevelText()) + "  " +
		headingText(l)
	if f := l.FloorDays(); f != "" {
		text += "  floor: " + f
	}
	rows := []string{part.Cut(text, p.W)}
	if len(l.Alerts) > 0 && p.H >= 18 {
		a := l.Alerts[0]
		rows = append(rows, words.Hang(p.Severity(a.Severity).Render(part.SignAlert)+" ", "  ",
			part.Clean(a.Headline), p.W, 2)...)
	}
	return rows
}

func (p *parameterScreen) chart(h int) picture.Chart {
	c := picture.Chart{Finding: p.line, Readings: p.shown, Now: p.now(), Warned: p.warned, Log: p.log,
		Bands: p.bands}
	c.From, c.To = p.span.ends(c.Now)
	if p.over.name != "" {
		c.Over = p.laid
	}
	for _, r := range slices.Backward(p.rows) {
		if _, reading := r.entry.(logbook.Reading); !reading && !r.struck {
			c.Done = append(c.Done, r.entry)
		}
	}
	if p.cursor >= 0 {
		n := c.Columns(p.W, h)
		p.cursor = min(p.cursor, n-1)
		c.Cursor = c.Moment(p.cursor, n)
	}
	return c
}

// caption gives the exact band, since a row of the chart is coarse; or what the cursor stands on.
func (p *parameterScreen) caption(c picture.Chart) string {
	if !c.Cursor.IsZero() {
		return part.Cut(p.underCursor(c), p.W)
	}
	var parts []string
	if p.over.name != "" { // two series in one picture: which is which
		parts = append(parts, picture.Level+" "+p.seriesName(p.tank.Name, p.name))
	}
	parts = append(parts, words.Of(c.Edges(""), picture.Mark.Text)...)
	if unit := words.Unit(p.line.Parameter); unit != "" {
		parts = append(parts, "in "+unit)
	}
	if p.log {
		parts = append(parts, "log scale")
	}
	marks := words.Of(c.Marks(), picture.Mark.Text)
	parts = append(parts, strings.Join(marks, " ")) // last: its letters can be guessed where there is no room
	return p.Dim.Render(part.Cut(strings.TrimRight(strings.Join(parts, "   "), " "), p.W))
}

// underCursor reads the chart at the cursor: the nearest reading, or the forecast.
func (p *parameterScreen) underCursor(c picture.Chart) string {
	at := c.Cursor
	text := at.Format("Mon 2 Jan 2006")
	if a, ok := c.ForecastAt(at); ok {
		return text + ": expected " + words.QuantityRange(p.line.Parameter, a.Mean, a.Lo, a.Hi)
	}
	r, ok := nearestReading(p.shown, at)
	if !ok {
		return text + ": no reading"
	}
	return fmt.Sprintf("%s: nearest reading %s%s on %s", text, r.Bound.Sign(), words.Quantity(p.line.Parameter, r.Value),
		words.Day(r.Time.In(p.tank.Zone())))
}

func nearestReading(rs []logbook.Reading, at time.Time) (logbook.Reading, bool) {
	if len(rs) == 0 {
		return logbook.Reading{}, false
	}
	return slices.MinFunc(rs, func(a, b logbook.Reading) int {
		return cmp.Compare(a.Time.Sub(at).Abs(), b.Time.Sub(at).Abs())
	}), true
}

// said lists what there is to say, one sentence after another, in at most room rows; j and k move through the rest.
func (p *parameterScreen) said(says []string, room int) []string {
	var out []string
	for _, r := range says {
		out = append(out, words.Hang("  - ", "    ", part.Clean(r), p.W, 0)...)
	}
	room = max(1, room)
	p.aside.room = room
	p.aside.top = max(0, min(p.aside.top, len(out)-room))
	out = out[p.aside.top:]
	if len(out) > room {
		out = append(out[:room-1:room-1], p.Dim.Render("    … j: more"))
	}
	return out
}

func (p *parameterScreen) list(row, room int) []string {
	rows := p.rows
	if len(rows) == 0 {
		return []string{p.Dim.Render(part.Cut("  nothing was written down in this stretch of time", p.W))}
	}
	out := drawRecords(&p.lines, rows, row, room, p.W, p.tank.Zone(), p.Theme)
	if p.unlisted && p.lines.Top+room > len(rows) {
		out = append(out, p.Dim.Render(part.Cut("  and older readings: + shows a shorter time", p.W)))
	}
	return out
}

// seriesName tells the two series of a chart apart: by tank where they are of two.
func (p *parameterScreen) seriesName(tank, parameter string) string {
	if p.over.tank == "" {
		return part.Clean(parameter)
	}
	return part.Clean(parameter) + " of " + part.Clean(tank)
}

// overCaption says what is laid over, and where its scale is another, which: the numbers beside the rows are not its
// own.
func (p *parameterScreen) overCaption(c picture.Chart) string {
	of := c.Over.Parameter
	name := p.seriesName(cmp.Or(p.over.tank, p.tank.Name), p.over.name)
	text := picture.OverSign + " " + name
	r, found := nearestReading(c.Over.Readings, c.Cursor)
	bottom, top, _ := c.Over.Ends()
	switch {
	case !found:
		text += ": no readings in this stretch of time"
	case !c.Cursor.IsZero():
		text += ": " + r.Bound.Sign() + words.Quantity(of, r.Value) + " on " + words.Day(r.Time.In(p.tank.Zone()))
	case c.Over.Shared:
	case top > bottom:
		lo, hi := words.Number(of, bottom), words.Quantity(of, top)
		text += " to its own scale: bottom " + lo + ", top " + hi
		if part.Width(text) > p.W {
			text = picture.OverSign + " own scale " + lo + "–" + hi + ", " + name
		}
	default:
		text += " to its own scale: half way up " + words.Quantity(of, bottom)
	}
	return p.Dim.Render(part.Cut(text, p.W))
}

func headingText(l alerts.Finding) string {
	return headingSign(l) + " " + l.HeadingWords()
}

func headingSign(l alerts.Finding) string {
	if l.Stale() {
		return "?"
	}
	switch l.Heading() {
	case trend.Rising:
		return part.SignUp
	case trend.Falling:
		return part.SignDown
	case trend.Steady:
		return part.SignFlat
	default:
		return "?"
	}
}
