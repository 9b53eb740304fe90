package tui

import (
	"math"
	"slices"
	"strings"
	"time"

	"github.com/guptarohit/asciigraph"

	"leadline/alerts"
	"leadline/logbook"
)

// chart is a picture of readings over time. Column i is a stretch of time; the line joins readings, only the marks are
// readings.
type chart struct {
	From, To      time.Time
	Now           time.Time // where the forecast begins
	Width, Height int       // of the whole picture
	Readings      []logbook.Reading
	Band          alerts.Band
	Ahead         []aheadPoint // the forecast, its first point the level now
	Marks         []chartMark
	Log           bool
	Cursor        time.Time // zero: none
	Joined        time.Duration
	Number        func(float64) string
	Over          *overlay
}

// aheadPoint is the forecast at a moment.
type aheadPoint struct {
	Time         time.Time
	Mean, Lo, Hi float64
}

// chartMark is something done or seen, shown on the time axis.
type chartMark struct {
	Time time.Time
	Sign string
}

// overlay is a second series: on the axis of the first where both are of one parameter, else drawn to its own scale.
type overlay struct {
	Readings []logbook.Reading
	shared   bool
	lo, hi   float64 // of its own scale
}

const (
	chartFeet    = 2 // the axis and its dates
	chartMinRows = 3
	leastColumns = 8
)

// columns is how many columns of time the picture has.
func (c chart) columns() int {
	y, ok := c.scale()
	if !ok {
		return leastColumns
	}
	y.rows = max(chartMinRows, c.Height-chartFeet)
	_, gutter := c.labels(y, y.rows)
	return max(leastColumns, c.Width-gutter-1)
}

// draw returns the rows of the picture, none wider than Width and no more than Height.
func (c chart) draw(t *theme) []string {
	rows := c.Height - chartFeet
	if rows < chartMinRows || c.Width < 20 || !c.To.After(c.From) {
		return nil
	}
	y, ok := c.scale()
	if !ok {
		return []string{t.Dim.Render("no readings to draw in this stretch of time")}
	}
	y.rows = rows
	labels, gutter := c.labels(y, rows)
	columns := c.Width - gutter - 1
	if columns < leastColumns {
		return nil
	}
	g := newGrid(rows, columns, &t.Plain)
	c.drawFan(g, y, t)
	for _, line := range []struct {
		v     float64
		sign  string
		style *ink
	}{{c.Band.Low, t.Signs.BandLine, &t.Band}, {c.Band.High, t.Signs.BandLine, &t.Band}, {c.Band.Floor, t.Signs.FloorLine, &t.Bad}} {
		if !math.IsNaN(line.v) {
			g.level(int(math.Round(y.row(line.v))), line.sign, line.style)
		}
	}
	c.drawNow(g, t)
	g.lay(c.aheadLine(y, columns), asciigraph.CreateCharSet(t.Signs.Ahead), &t.Forecast)
	if c.Over != nil {
		c.drawOverlay(g, y, t)
	}
	charset := asciigraph.DefaultCharSet
	if !t.Signs.UnicodeLine {
		charset = asciigraph.CharSet{Horizontal: "-", VerticalLine: "|", ArcDownRight: ".", ArcDownLeft: ".",
			ArcUpRight: "'", ArcUpLeft: "'", EndCap: "-", StartCap: "-", UpRight: "+", DownHorizontal: "+"}
	}
	g.lay(c.readingLine(y, columns), charset, &t.Plain)
	c.drawCursor(g, t)
	for _, r := range c.Readings {
		sign, style := t.Signs.Level, &t.Accent
		switch r.Bound {
		case logbook.Below:
			sign, style = t.Signs.Below, &t.Warn
		case logbook.Above:
			sign, style = t.Signs.Above, &t.Warn
		}
		g.put(int(math.Round(y.row(r.Value))), c.column(r.Time, columns), sign, style)
	}
	var out []string
	for r := range rows {
		out = append(out, t.Dim.Render(padLeft(labels[r], gutter)+axisTick(labels[r], t))+runs(g.cells[r], g.styles[r]))
	}
	axis, dates := c.axis(columns, t)
	return append(out, strings.Repeat(" ", gutter)+t.Dim.Render(cornerOf(t))+axis, strings.Repeat(" ", gutter+1)+t.Dim.Render(dates))
}

func axisTick(label string, t *theme) string {
	switch {
	case !t.Signs.UnicodeLine:
		return "|"
	case label != "":
		return "┤"
	default:
		return "│"
	}
}

func cornerOf(t *theme) string {
	if t.Signs.UnicodeLine {
		return "└"
	}
	return "+"
}

// column is where a moment falls; it may lie outside.
func (c chart) column(at time.Time, columns int) int {
	return int(math.Floor(float64(at.Sub(c.From)) / float64(c.To.Sub(c.From)) * float64(columns)))
}

// moment is the middle of a column.
func (c chart) moment(column, columns int) time.Time {
	return c.From.Add(time.Duration((float64(column) + 0.5) / float64(columns) * float64(c.To.Sub(c.From))))
}

// readingLine gives one row number per column: the last reading in it, or the straight line in time between two readings
// that are close enough to be joined.
func (c chart) readingLine(y yScale, columns int) []float64 {
	out := constant(math.NaN(), columns)
	for i, r := range c.Readings {
		at := c.column(r.Time, columns)
		if i > 0 {
			c.join(out, y, c.Readings[i-1], r)
		}
		if at >= 0 && at < columns {
			out[at] = y.row(r.Value)
		}
	}
	return out
}

func (c chart) join(out []float64, y yScale, a, b logbook.Reading) {
	span := b.Time.Sub(a.Time)
	if span <= 0 || span > c.Joined {
		return
	}
	n := len(out)
	for i := max(0, c.column(a.Time, n)+1); i < min(n, c.column(b.Time, n)); i++ {
		part := float64(c.moment(i, n).Sub(a.Time)) / float64(span)
		out[i] = y.row(a.Value) + part*(y.row(b.Value)-y.row(a.Value))
	}
}

// aheadAt is the forecast at a moment, straight between its points.
func (c chart) aheadAt(at time.Time) (aheadPoint, bool) {
	for i := 1; i < len(c.Ahead); i++ {
		a, b := c.Ahead[i-1], c.Ahead[i]
		if at.Before(a.Time) || at.After(b.Time) {
			continue
		}
		part := float64(at.Sub(a.Time)) / float64(b.Time.Sub(a.Time))
		mix := func(x, y float64) float64 { return x + part*(y-x) }
		return aheadPoint{at, mix(a.Mean, b.Mean), mix(a.Lo, b.Lo), mix(a.Hi, b.Hi)}, true
	}
	return aheadPoint{}, false
}

func (c chart) aheadLine(y yScale, columns int) []float64 {
	out := constant(math.NaN(), columns)
	for i := range out {
		if p, ok := c.aheadAt(c.moment(i, columns)); ok && !math.IsNaN(p.Mean) {
			out[i] = y.row(p.Mean)
		}
	}
	return out
}

// drawFan shades the 80 % range of the forecast.
func (c chart) drawFan(g *grid, y yScale, t *theme) {
	columns := len(g.cells[0])
	for i := range columns {
		p, ok := c.aheadAt(c.moment(i, columns))
		if !ok || math.IsNaN(p.Lo) || math.IsNaN(p.Hi) {
			continue
		}
		for row := int(math.Round(y.row(p.Lo))); row <= int(math.Round(y.row(p.Hi))); row++ {
			g.put(row, i, t.Signs.Fan, &t.Forecast)
		}
	}
}

// drawNow marks the moment the forecast begins.
func (c chart) drawNow(g *grid, t *theme) {
	at := c.column(c.Now, len(g.cells[0]))
	if len(c.Ahead) > 0 {
		upright(g, at, t.Signs.NowLine, &t.Dim)
	}
}

func (c chart) drawCursor(g *grid, t *theme) {
	if !c.Cursor.IsZero() {
		upright(g, c.column(c.Cursor, len(g.cells[0])), t.Signs.CursorLine, &t.Accent)
	}
}

// drawOverlay draws a second series, marks only.
func (c chart) drawOverlay(g *grid, y yScale, t *theme) {
	vs := make([]float64, 0, len(c.Over.Readings))
	for _, r := range c.Over.Readings {
		vs = append(vs, r.Value)
	}
	if len(vs) == 0 {
		return
	}
	lo, hi := slices.Min(vs), slices.Max(vs)
	rows, columns := len(g.cells), len(g.cells[0])
	for _, r := range c.Over.Readings {
		row := (rows - 1) / 2
		switch {
		case c.Over.shared:
			row = int(math.Round(y.row(r.Value)))
		case hi > lo:
			row = int(math.Round((r.Value - lo) / (hi - lo) * float64(rows-1)))
		}
		g.put(row, c.column(r.Time, columns), t.Signs.Over, &t.Warn)
	}
	c.Over.lo, c.Over.hi = lo, hi
}

// axis draws the time axis with the marks of what was done on it, and the dates below.
func (c chart) axis(columns int, t *theme) (axis, dates string) {
	cells := make([]string, columns)
	styles := make([]*ink, columns)
	for i := range cells {
		cells[i], styles[i] = t.Signs.AxisLine, &t.Dim
	}
	text := []rune(strings.Repeat(" ", columns))
	free := 0
	for _, tick := range ticks(c.From, c.To, columns) {
		at := c.column(tick.at, columns)
		if at < 0 || at >= columns {
			continue
		}
		label := []rune(tick.label)
		if at < free || at+len(label) > columns {
			continue
		}
		cells[at] = t.Signs.CornerTick
		copy(text[at:], label)
		free = at + len(label) + 2
	}
	for _, m := range c.Marks {
		if at := c.column(m.Time, columns); at >= 0 && at < columns {
			cells[at], styles[at] = m.Sign, &t.Accent
		}
	}
	return runs(cells, styles), strings.TrimRight(string(text), " ")
}
