package tui

import (
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/lipgloss"
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

// overlay is a second series drawn to its own scale.
type overlay struct {
	Readings []logbook.Reading
	lo, hi   float64
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

// grid is the plotting area: what stands in each cell, and how it is drawn.
type grid struct {
	cells  [][]string
	styles [][]lipgloss.Style
}

func newGrid(rows, columns int, plain lipgloss.Style) *grid {
	g := &grid{cells: make([][]string, rows), styles: make([][]lipgloss.Style, rows)}
	for r := range g.cells {
		g.cells[r] = make([]string, columns)
		g.styles[r] = make([]lipgloss.Style, columns)
		for c := range g.cells[r] {
			g.cells[r][c], g.styles[r][c] = " ", plain
		}
	}
	return g
}

// put marks a cell; row 0 is the lowest.
func (g *grid) put(row, column int, sign string, style lipgloss.Style) {
	r := len(g.cells) - 1 - row
	if r < 0 || r >= len(g.cells) || column < 0 || column >= len(g.cells[r]) {
		return
	}
	g.cells[r][column], g.styles[r][column] = sign, style
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
	g := newGrid(rows, columns, t.Plain)
	c.drawFan(g, y, t)
	for _, line := range []struct {
		v     float64
		sign  string
		style lipgloss.Style
	}{{c.Band.Low, t.Signs.BandLine, t.Band}, {c.Band.High, t.Signs.BandLine, t.Band}, {c.Band.Floor, t.Signs.FloorLine, t.Bad}} {
		if !math.IsNaN(line.v) {
			g.lay(constant(y.row(line.v), columns), asciigraph.CreateCharSet(line.sign), line.style)
			g.put(int(math.Round(y.row(line.v))), columns-1, line.sign, line.style)
		}
	}
	c.drawNow(g, t)
	g.lay(c.aheadLine(y, columns), asciigraph.CreateCharSet(t.Signs.Ahead), t.Forecast)
	if c.Over != nil {
		c.drawOverlay(g, t)
	}
	charset := asciigraph.DefaultCharSet
	if !t.Signs.UnicodeLine {
		charset = asciigraph.CharSet{Horizontal: "-", VerticalLine: "|", ArcDownRight: ".", ArcDownLeft: ".",
			ArcUpRight: "'", ArcUpLeft: "'", EndCap: "-", StartCap: "-", UpRight: "+", DownHorizontal: "+"}
	}
	g.lay(c.readingLine(y, columns), charset, t.Plain)
	c.drawCursor(g, t)
	for _, r := range c.Readings {
		sign, style := t.Signs.Level, t.Accent
		switch r.Bound {
		case logbook.Below:
			sign, style = t.Signs.Below, t.Warn
		case logbook.Above:
			sign, style = t.Signs.Above, t.Warn
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

// thin leaves out readings that no column of any chart could show apart: of every small stretch of time the first, the
// last, the lowest and the highest stay.
func thin(rs []logbook.Reading, from, to time.Time) []logbook.Reading {
	const stretches = 1000 // several for every column of a wide terminal
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

// column is where a moment falls; it may lie outside.
func (c chart) column(at time.Time, columns int) int {
	return int(math.Floor(float64(at.Sub(c.From)) / float64(c.To.Sub(c.From)) * float64(columns)))
}

// moment is the middle of a column.
func (c chart) moment(column, columns int) time.Time {
	return c.From.Add(time.Duration((float64(column) + 0.5) / float64(columns) * float64(c.To.Sub(c.From))))
}

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

// scale spans readings, band, floor and forecast. False where there is nothing to show.
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
	for _, p := range c.Ahead {
		if !p.Time.After(c.To) {
			add(p.Lo)
			add(p.Hi)
			add(p.Mean)
		}
	}
	if len(vs) == 0 {
		return yScale{}, false
	}
	add(c.Band.Low)
	add(c.Band.High)
	add(c.Band.Floor)
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

// lay plots one series of row numbers and copies it into the grid. The plotting library panics on an empty slice and on
// infinities, and prints nonsense where nothing is a number: such a series is left out.
func (g *grid) lay(rows []float64, charset asciigraph.CharSet, style lipgloss.Style) {
	any := false
	for _, v := range rows {
		if math.IsInf(v, 0) {
			return
		}
		any = any || !math.IsNaN(v)
	}
	if !any {
		return
	}
	top := float64(len(g.cells) - 1)
	picture := asciigraph.Plot(rows, asciigraph.Height(len(g.cells)-1), asciigraph.Offset(1), asciigraph.LowerBound(0),
		asciigraph.UpperBound(top), asciigraph.SeriesChars(charset), asciigraph.YAxisValueFormatter(func(float64) string { return "" }))
	for r, line := range strings.Split(picture, "\n") {
		if r >= len(g.cells) {
			return
		}
		for c, sign := range []rune(line) {
			if c > 0 && sign != ' ' { // column 0 is the library's own axis
				g.put(len(g.cells)-1-r, c-1, string(sign), style)
			}
		}
	}
}

func constant(v float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
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
			g.put(row, i, t.Signs.Fan, t.Forecast)
		}
	}
}

// drawNow marks the moment the forecast begins.
func (c chart) drawNow(g *grid, t *theme) {
	at := c.column(c.Now, len(g.cells[0]))
	if len(c.Ahead) > 0 {
		upright(g, at, t.Signs.NowLine, t.Dim)
	}
}

func (c chart) drawCursor(g *grid, t *theme) {
	if !c.Cursor.IsZero() {
		upright(g, c.column(c.Cursor, len(g.cells[0])), t.Signs.CursorLine, t.Accent)
	}
}

func upright(g *grid, column int, sign string, style lipgloss.Style) {
	for row := range g.cells {
		g.put(row, column, sign, style)
	}
}

// drawOverlay draws a second series to its own scale, marks only.
func (c chart) drawOverlay(g *grid, t *theme) {
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
		if hi > lo {
			row = int(math.Round((r.Value - lo) / (hi - lo) * float64(rows-1)))
		}
		g.put(row, c.column(r.Time, columns), "x", t.Warn)
	}
	c.Over.lo, c.Over.hi = lo, hi
}

// axis draws the time axis with the marks of what was done on it, and the dates below.
func (c chart) axis(columns int, t *theme) (axis, dates string) {
	cells := make([]string, columns)
	styles := make([]lipgloss.Style, columns)
	for i := range cells {
		cells[i], styles[i] = t.Signs.AxisLine, t.Dim
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
			cells[at], styles[at] = m.Sign, t.Accent
		}
	}
	return runs(cells, styles), strings.TrimRight(string(text), " ")
}
