package report

import (
	"math"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/guptarohit/asciigraph"

	"leadline/alerts"
	"leadline/logbook"
)

// leastWidth is the narrowest chart that still tells anything.
const leastWidth = 40

// Text draws the chart in characters, none of its lines wider than width, about so many rows high. The line only joins;
// the marks are readings.
func (c Chart) Text(width, rows int, private bool) string {
	width, rows = max(width, leastWidth), max(rows, 5)
	out := wrap(c.headline(private), width, "  ")
	out = append(out, wrap(c.states(), width, "  ")...)
	lo, hi, ok := c.span()
	if !ok {
		return strings.Join(append(out, "nothing to draw since "+dayText(c.From)), "\n") + "\n"
	}
	labels := c.labels(lo, hi, rows)
	gutter := 0
	for _, l := range labels {
		gutter = max(gutter, ansi.StringWidth(l))
	}
	g := &sheetOfCells{c: c, lo: lo, hi: hi, cells: blank(rows, width-gutter-1)}
	g.draw()
	for r, cells := range g.cells {
		corner := "│"
		if labels[r] != "" {
			corner = "┤"
		}
		out = append(out, strings.TrimRight(strings.Repeat(" ", gutter-ansi.StringWidth(labels[r]))+labels[r]+corner+string(cells), " "))
	}
	axis, dates := g.axis()
	out = append(out, strings.Repeat(" ", gutter)+"└"+axis, strings.Repeat(" ", gutter+1)+dates)
	out = append(out, packed(c.signs(), width)...)
	var events []string
	for _, e := range c.Done {
		if _, ok := e.(logbook.Event); ok && !private {
			events = append(events, ansi.Truncate("* "+shortDay(e.When().In(c.From.Location()))+"  "+entryText(e, private), width, "…"))
		}
	}
	return strings.Join(append(out, newest(events, 6)...), "\n") + "\n"
}

// signs says what the signs of the chart mean.
func (c Chart) signs() []string {
	out := []string{"● reading"}
	if c.bounded() {
		out = append(out, "▽ △ below, above what the method sees")
	}
	if len(c.fan()) > 1 {
		out = append(out, "┄ forecast of the true level, its mean", "░ its 10–90 % range")
	}
	if c.Line.Band.Set() {
		out = append(out, "─ band "+strings.TrimSpace(c.Line.BandText()+" "+said(c.Line.Parameter.Unit)))
	}
	if floor := c.Line.Band.Floor; !math.IsNaN(floor) {
		out = append(out, "═ floor "+said(alerts.Quantity(c.Line.Parameter, floor)))
	}
	done := map[logbook.Kind]bool{}
	for _, e := range c.Done {
		done[e.Kind()] = true
	}
	for _, k := range []struct {
		kind logbook.Kind
		text string
	}{{logbook.KindWaterChange, "≈ water change"}, {logbook.KindDose, "+ dose"}, {logbook.KindEvent, "* event"}} {
		if done[k.kind] {
			out = append(out, k.text)
		}
	}
	return out
}

// packed lays words out in lines of a width, none broken that finds room in a line of its own.
func packed(words []string, width int) []string {
	var out []string
	for _, w := range words {
		if n := len(out); n > 0 && ansi.StringWidth(out[n-1])+2+ansi.StringWidth(w) <= width {
			out[n-1] += "  " + w
		} else {
			out = append(out, ansi.Truncate(w, width, "…"))
		}
	}
	return out
}

// headline is what the chart is of.
func (c Chart) headline(private bool) string {
	text := said(c.Line.Parameter.Name)
	if u := said(c.Line.Parameter.Unit); u != "" {
		text += ", " + u
	}
	if !private {
		text += ", of " + said(c.Line.Tank.Name)
	}
	return text + ", as of " + dayText(c.AsOf)
}

// labels are the numbers beside the rows, from the top: exact ones at the band and the floor, then even ones where there
// is room.
func (c Chart) labels(lo, hi float64, rows int) []string {
	out := make([]string, rows)
	put := func(v float64, clear int) {
		if math.IsNaN(v) {
			return
		}
		row := rows - 1 - int(math.Round((v-lo)/(hi-lo)*float64(rows-1)))
		for near := max(0, row-clear); near <= min(rows-1, row+clear); near++ {
			if out[near] != "" {
				return
			}
		}
		out[row] = alerts.Number(c.Line.Parameter, v)
	}
	for _, edge := range []float64{c.Line.Band.Floor, c.Line.Band.Low, c.Line.Band.High} {
		put(edge, 0)
	}
	step, _ := niceStep((hi - lo) / 5)
	for k := math.Ceil(lo / step); k*step <= hi; k++ {
		put(k*step, 1)
	}
	return out
}

// sheetOfCells is the plotting area of a chart in characters.
type sheetOfCells struct {
	c      Chart
	lo, hi float64
	cells  [][]rune // from the top
}

func blank(rows, columns int) [][]rune {
	out := make([][]rune, rows)
	for r := range out {
		out[r] = []rune(strings.Repeat(" ", columns))
	}
	return out
}

func (g *sheetOfCells) columns() int { return len(g.cells[0]) }

// height is the row of a value, counted from the bottom, held inside the chart.
func (g *sheetOfCells) height(v float64) float64 {
	top := float64(len(g.cells) - 1)
	return math.Max(0, math.Min(top, (v-g.lo)/(g.hi-g.lo)*top))
}

func (g *sheetOfCells) put(column int, v float64, sign rune) {
	if column >= 0 && column < g.columns() {
		g.cells[len(g.cells)-1-int(math.Round(g.height(v)))][column] = sign
	}
}

func (g *sheetOfCells) column(t time.Time) int {
	return min(g.columns()-1, int(math.Floor(g.c.along(t)*float64(g.columns()))))
}

// share is the middle of a column, as a share of the chart's time.
func (g *sheetOfCells) share(column int) float64 {
	return (float64(column) + 0.5) / float64(g.columns())
}

func (g *sheetOfCells) draw() {
	fan := g.c.fan()
	for i := range g.columns() {
		if f, ok := g.fanAt(fan, i); ok {
			for r := int(math.Round(g.height(f.lo))); r <= int(math.Round(g.height(f.hi))); r++ {
				g.cells[len(g.cells)-1-r][i] = '░'
			}
		}
	}
	for _, edge := range []struct {
		v    float64
		sign rune
	}{{g.c.Line.Band.Low, '─'}, {g.c.Line.Band.High, '─'}, {g.c.Line.Band.Floor, '═'}} {
		for i := 0; i < g.columns() && !math.IsNaN(edge.v); i++ {
			g.put(i, edge.v, edge.sign)
		}
	}
	for i := range g.columns() {
		if f, ok := g.fanAt(fan, i); ok {
			g.put(i, f.mean, '┄')
		}
	}
	g.lay(g.joined())
	for _, r := range g.c.Readings {
		g.put(g.column(r.Time), r.Value, map[logbook.Bound]rune{logbook.Exact: '●', logbook.Below: '▽', logbook.Above: '△'}[r.Bound])
	}
}

// fanAt is the forecast in a column, straight between its points.
func (g *sheetOfCells) fanAt(fan []ahead, column int) (ahead, bool) {
	at := g.share(column)
	for i := 1; i < len(fan); i++ {
		a, b := fan[i-1], fan[i]
		from, to := g.c.along(a.at), g.c.along(b.at)
		if at < from || at > to {
			continue
		}
		mix := func(x, y float64) float64 { return x + (at-from)/(to-from)*(y-x) }
		return ahead{mean: mix(a.mean, b.mean), lo: mix(a.lo, b.lo), hi: mix(a.hi, b.hi)}, true
	}
	return ahead{}, false
}

// joined gives one row number a column: the last reading in it, or the straight line between two readings of one piece.
func (g *sheetOfCells) joined() []float64 {
	out := make([]float64, g.columns())
	for i := range out {
		out[i] = math.NaN()
	}
	for _, piece := range g.c.pieces() {
		for i, r := range piece {
			out[g.column(r.Time)] = g.height(r.Value)
			if i == 0 {
				continue
			}
			a, b := g.c.along(piece[i-1].Time), g.c.along(r.Time)
			for k := g.column(piece[i-1].Time) + 1; k < g.column(r.Time); k++ {
				out[k] = g.height(piece[i-1].Value + (g.share(k)-a)/(b-a)*(r.Value-piece[i-1].Value))
			}
		}
	}
	return out
}

// lay plots row numbers and copies the line into the cells. The plotting library takes no series without a number.
func (g *sheetOfCells) lay(rows []float64) {
	if len(g.c.Readings) == 0 {
		return
	}
	picture := asciigraph.Plot(rows, asciigraph.Height(len(g.cells)-1), asciigraph.Offset(1), asciigraph.LowerBound(0),
		asciigraph.UpperBound(float64(len(g.cells)-1)), asciigraph.YAxisValueFormatter(func(float64) string { return "" }))
	for r, line := range strings.Split(picture, "\n") {
		for c, sign := range []rune(line) {
			if r < len(g.cells) && c > 0 && c <= g.columns() && sign != ' ' { // column 0 is the library's own axis
				g.cells[r][c-1] = sign
			}
		}
	}
}

// axis is the time axis with the marks of what was done, and the dates below it.
func (g *sheetOfCells) axis() (axis, dates string) {
	line, text := []rune(strings.Repeat("─", g.columns())), []rune(strings.Repeat(" ", g.columns()))
	const label = 10 // "Mar 2026" and some air
	free := 0
	for _, t := range ticks(g.c.From, g.c.To(), g.columns()/label) {
		at := g.column(t.at)
		line[at] = '┬'
		if at >= free && at+len(t.label) <= len(text) {
			copy(text[at:], []rune(t.label))
			free = at + len(t.label) + 1
		}
	}
	line[g.column(g.c.AsOf)] = '┼'
	for _, e := range g.c.Done {
		at := g.column(e.When())
		switch e := e.(type) {
		case logbook.WaterChange:
			line[at] = '≈'
		case logbook.Dose:
			if e.Parameter == g.c.Line.Parameter.Name {
				line[at] = '+'
			}
		case logbook.Event:
			line[at] = '*'
		}
	}
	return string(line), strings.TrimRight(string(text), " ")
}
