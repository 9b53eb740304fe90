package picture

import (
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
	"github.com/guptarohit/asciigraph"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// Cell is one character of a picture: its sign, one column wide, and what it means, for those who colour it.
type Cell struct {
	Sign string
	Tone Tone
}

// Tone is what a cell means.
type Tone int

const (
	Plain    Tone = iota
	Dim           // what may be overlooked
	Band          // the band
	Forecast      // what is expected
	Good
	Warn // also what tells only a bound, and what is laid over
	Bad  // also the floor
	Accent
)

// Row is a row of cells, from the left.
type Row []Cell

func (r Row) String() string {
	var b strings.Builder
	for _, c := range r {
		b.WriteString(c.Sign)
	}
	return b.String()
}

func rowOf(text string, tone Tone) Row {
	out := make(Row, 0, len(text))
	for _, sign := range text {
		out = append(out, Cell{string(sign), tone})
	}
	return out
}

const (
	feet         = 2 // the axis and its dates
	leastRows    = 3
	leastWidth   = 20
	leastColumns = 8

	dotsWide, dotsHigh = 2, 4     // the dots of a cell
	noDots             = '\u2800' // the Braille pattern without any; its bits are the dots
)

type sheet struct {
	Chart
	scale  Scale
	labels []string // beside the rows, from the top
	gutter int      // the width of the widest
	cells  []Row    // from the top
}

func (c Chart) sheet(width, height int) (g sheet, ok bool) {
	g = sheet{Chart: c, cells: make([]Row, max(leastRows, height-feet))}
	if g.scale, ok = c.Scale(false); ok {
		g.label()
	}
	columns := max(leastColumns, width-g.gutter-1)
	g.clear(columns)
	return g, ok
}

func (g *sheet) clear(columns int) {
	for r := range g.cells {
		g.cells[r] = rowOf(strings.Repeat(" ", columns), Plain)
	}
}

// Columns is how many columns of time the chart has when it is drawn in such a size.
func (c Chart) Columns(width, height int) int {
	g, _ := c.sheet(width, height)
	return g.columns()
}

// Column is the column, of so many, in which a moment falls; it may lie outside.
func (c Chart) Column(t time.Time, columns int) int {
	return int(math.Floor(c.Along(t) * float64(columns)))
}

// Moment is the middle of a column.
func (c Chart) Moment(column, columns int) time.Time {
	return c.From.Add(time.Duration((float64(column) + 0.5) / float64(columns) * float64(c.To.Sub(c.From))))
}

// Draw draws the chart in at most so many rows, none wider than asked. Column i is a stretch of time. What moves is
// drawn in dots, eight to a cell: the line, which joins readings, and the forecast with its range. Only the marks are
// readings; what stands still, such as the band's edges, is drawn in whole cells. Nothing where there is no room.
func (c Chart) Draw(width, height int) []Row {
	if height-feet < leastRows || width < leastWidth || !c.To.After(c.From) {
		return nil
	}
	g, ok := c.sheet(width, height)
	switch {
	case !ok:
		return []Row{rowOf(ansi.Truncate("no readings to draw in this stretch of time", width, "…"), Dim)}
	case g.gutter+1+leastColumns > width:
		return nil
	}
	g.plot()
	var out []Row
	for r, cells := range g.cells {
		tick := "│"
		if g.labels[r] != "" {
			tick = "┤"
		}
		label := strings.Repeat(" ", g.gutter-ansi.StringWidth(g.labels[r])) + g.labels[r]
		out = append(out, append(rowOf(label+tick, Dim), cells...))
	}
	axis, dates := g.axis(g.Deeds(false))
	blank := strings.Repeat(" ", g.gutter)
	return append(out, append(rowOf(blank+"└", Dim), axis...), rowOf(blank+" "+dates, Dim))
}

// label gives the numbers beside the rows: the exact band and floor, then round ones where there is room.
func (g *sheet) label() {
	g.labels = make([]string, len(g.cells))
	put := func(v float64, clear int) {
		if math.IsNaN(v) || g.scale.Beyond(v) {
			return
		}
		at := len(g.cells) - 1 - g.row(v)
		for near := max(0, at-clear); near <= min(len(g.cells)-1, at+clear); near++ {
			if g.labels[near] != "" {
				return
			}
		}
		g.labels[at] = words.Number(g.Finding.Parameter, v)
		g.gutter = max(g.gutter, ansi.StringWidth(g.labels[at]))
	}
	for _, edge := range []float64{g.Finding.Band.Floor, g.Finding.Band.Low, g.Finding.Band.High} {
		put(edge, 0)
	}
	steps, _ := g.Steps(g.scale, math.Max(6, float64(len(g.cells))/2))
	for _, v := range steps {
		put(v, 1)
	}
}

func (g *sheet) columns() int { return len(g.cells[0]) }

// height is where a value stands, in dots from the bottom.
func (g *sheet) height(v float64) float64 { return g.scale.At(v) * float64(g.dots()-1) }

// dots is how many there are one above the other.
func (g *sheet) dots() int { return len(g.cells) * dotsHigh }

func (g *sheet) row(v float64) int { return int(math.Round(g.height(v))) / dotsHigh }

func (g *sheet) column(t time.Time) int { return g.Column(t, g.columns()) }

// put marks a cell; row 0 is the lowest.
func (g *sheet) put(row, column int, sign string, tone Tone) {
	if r := len(g.cells) - 1 - row; r >= 0 && r < len(g.cells) && column >= 0 && column < g.columns() {
		g.cells[r][column] = Cell{sign, tone}
	}
}

// dot adds a dot to the others of its cell, and takes the place of any other sign; dot 0, 0 is the lowest on the left.
func (g *sheet) dot(x, y int, tone Tone) {
	row, column := len(g.cells)-1-y/dotsHigh, x/dotsWide
	if x < 0 || y < 0 || row < 0 || column >= g.columns() {
		return
	}
	cell := &g.cells[row][column]
	dots, _ := utf8.DecodeRuneInString(cell.Sign)
	if !isDots(dots) {
		dots = noDots
	}
	bit := [dotsHigh][dotsWide]rune{{6, 7}, {2, 5}, {1, 4}, {0, 3}}[y%dotsHigh][x%dotsWide]
	*cell = Cell{string(dots | 1<<bit), tone}
}

func isDots(r rune) bool { return r >= noDots && r <= noDots+0xff }

// level draws a line at one height from end to end; nothing where the value is not known or not on the axis. Where
// another line or the forecast stands in the same row, they take turns, so that both are seen.
func (g *sheet) level(of func(alerts.Band) float64, sign string, tone Tone) {
	const turn = 2
	for _, held := range g.Held() {
		v := of(held.Band)
		row, end := len(g.cells)-1-g.row(v), min(g.column(held.To), g.columns())
		for column := g.column(held.From); column < end && !math.IsNaN(v) && !g.scale.Beyond(v); column++ {
			if column/turn%2 == 1 || g.cells[row][column].Sign == " " {
				g.put(g.row(v), column, sign, tone)
			}
		}
	}
}

func (g *sheet) upright(t time.Time, sign string, tone Tone) {
	for row := range g.cells {
		g.put(row, g.column(t), sign, tone)
	}
}

func (g *sheet) plot() {
	n := g.columns() * dotsWide
	for x := range n { // the 80 % range of the forecast
		if p, ok := g.ForecastAt(g.Moment(x, n)); ok {
			g.shade(x, p.Lo, p.Hi, Forecast)
		}
	}
	g.level(func(b alerts.Band) float64 { return b.Low }, BandLine, Band)
	g.level(func(b alerts.Band) float64 { return b.High }, BandLine, Band)
	g.level(func(b alerts.Band) float64 { return b.Floor }, FloorLine, Bad)
	g.upright(g.Now, nowLine, Dim)
	mean := slices.Repeat([]float64{math.NaN()}, n)
	for x := range mean {
		if p, ok := g.ForecastAt(g.Moment(x, n)); ok && !g.scale.Beyond(p.Mean) {
			mean[x] = g.height(p.Mean)
		}
	}
	g.lay(mean, Forecast)
	g.layOver()
	g.lay(g.joined(g.columns()*dotsWide, g.height), Plain)
	if !g.Cursor.IsZero() {
		g.upright(g.Cursor, cursorLine, Accent)
	}
	for _, r := range g.Readings {
		if g.scale.Beyond(r.Value) {
			g.tellBeyond(r)
		}
	}
	for _, r := range g.Readings {
		tone := Accent
		if r.Bound != logbook.Exact {
			tone = Warn
		}
		g.put(g.row(r.Value), g.column(r.Time), ReadingSign(r.Bound), tone)
	}
}

// shade puts every fourth dot of a column of dots, and the outermost of every second one, between two values.
func (g *sheet) shade(x int, lo, hi float64, tone Tone) {
	least, most := int(math.Round(g.height(lo))), int(math.Round(g.height(hi)))
	for y := least; y <= most; y++ {
		if (y+2*(x%dotsWide))%4 == 0 || x%dotsWide == 0 && (y == least || y == most) {
			g.dot(x, y, tone)
		}
	}
}

// joined gives the line of readings one height for each of n columns: that of the last reading in it, or the straight
// line in time between two that are close enough to be joined; NaN where there is none.
func (c Chart) joined(n int, height func(v float64) float64) []float64 {
	out := slices.Repeat([]float64{math.NaN()}, n)
	for _, piece := range c.Pieces() {
		a := piece[0]
		for _, r := range piece {
			at := c.Column(r.Time, n)
			for x := max(0, c.Column(a.Time, n)+1); x < min(n, at); x++ {
				part := float64(c.Moment(x, n).Sub(a.Time)) / float64(r.Time.Sub(a.Time))
				out[x] = height(a.Value) + part*(height(r.Value)-height(a.Value))
			}
			if at >= 0 && at < n {
				out[at] = height(r.Value)
			}
			a = r
		}
	}
	return out
}

// lay plots a line on the grid of dots. The plotting library takes no series without a number, and draws from each to
// the next: one more, which is none, lets it draw the last. Of a step's two corners, one is a dot: the line stays thin.
func (g *sheet) lay(heights []float64, tone Tone) {
	if !slices.ContainsFunc(heights, func(v float64) bool { return !math.IsNaN(v) }) {
		return
	}
	const dot, none = "•", " "
	top := g.dots() - 1
	plot := asciigraph.Plot(append(heights, math.NaN()), asciigraph.Height(top), asciigraph.Offset(1),
		asciigraph.LowerBound(0), asciigraph.UpperBound(float64(top)),
		asciigraph.YAxisValueFormatter(func(float64) string { return "" }),
		asciigraph.SeriesChars(asciigraph.CharSet{Horizontal: dot, VerticalLine: dot, ArcDownLeft: dot, ArcUpLeft: dot,
			EndCap:       dot,
			ArcDownRight: none, ArcUpRight: none, StartCap: none}))
	for r, line := range strings.Split(plot, "\n") {
		for c, sign := range []rune(line) {
			if string(sign) == dot {
				g.dot(c-1, top-r, tone) // column 0 is the library's own axis
			}
		}
	}
}

// layOver draws a second series, marks only.
func (g *sheet) layOver() {
	if g.Over == nil {
		return
	}
	lo, hi, _ := g.Over.Ends()
	for _, r := range g.Over.Readings {
		row := (len(g.cells) - 1) / 2
		switch {
		case g.Over.Shared:
			row = g.row(r.Value)
		case hi > lo:
			row = int(math.Round((r.Value - lo) / (hi - lo) * float64(len(g.cells)-1)))
		}
		g.put(row, g.column(r.Time), OverSign, Warn)
	}
}

// tellBeyond writes the number of a reading that the scale leaves out beside its mark.
func (g *sheet) tellBeyond(r logbook.Reading) {
	at, text := g.column(r.Time)+1, r.Bound.Sign()+words.Number(g.Finding.Parameter, r.Value)
	if at < 1 || at > g.columns() {
		return
	}
	if at+len(text) > g.columns() {
		at -= 1 + len(text)
	}
	for i, sign := range []rune(text) {
		g.put(g.row(r.Value), at+i, string(sign), Plain)
	}
}

func (g *sheet) axis(deeds []Deed) (axis Row, dates string) {
	axis = rowOf(strings.Repeat(bandDash, g.columns()), Dim)
	text := []rune(strings.Repeat(" ", g.columns()))
	free := 0
	for _, t := range Ticks(g.From, g.To, g.columns()) {
		if at := g.column(t.At); at >= free && at+len(t.Label) <= len(text) {
			axis[at].Sign = "┬"
			copy(text[at:], []rune(t.Label))
			free = at + len(t.Label) + 2
		}
	}
	g.mark(axis, deeds)
	for _, t := range g.Warned {
		if at := g.column(t); at >= 0 && at < len(axis) {
			axis[at] = Cell{warned, Accent}
		}
	}
	return axis, strings.TrimRight(string(text), " ")
}

// mark puts what was done into a row. Where several marks fall into one column, the latest is seen: chores give way,
// and what has no number to what has; numbers stand side by side.
func (g *sheet) mark(row Row, deeds []Deed) {
	weight := func(d Deed) int {
		switch {
		case d.Number > 0:
			return 2
		case markOf(d.Kind) == markOf(logbook.KindChoreDone):
			return 0
		}
		return 1
	}
	deeds = slices.Clone(deeds)
	slices.SortStableFunc(deeds, func(a, b Deed) int { return weight(a) - weight(b) })
	numbered := map[int]bool{}
	for _, d := range deeds {
		for _, t := range d.Times {
			at := g.column(t)
			for d.Number > 0 && at >= 0 && at+1 < len(row) && numbered[at] {
				at++
			}
			if at >= 0 && at < len(row) && d.Sign() != "" {
				row[at] = Cell{d.Sign(), Accent}
				numbered[at] = d.Number > 0
			}
		}
	}
}
