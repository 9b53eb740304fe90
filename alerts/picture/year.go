package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// YearDays is the stretch of time in which a tank's whole course is looked at.
const YearDays = 365

// YearNumbered is how many of the things that were done are numbered in it; on an axis of characters a number has one.
const YearNumbered = 9

// Course collects the charts of some parameters, or of all that any of the tanks measures, from a moment to another,
// without level and forecast: as many of each tank, in one order, and those of one parameter on one axis.
func Course(v *logbook.View, tanks []logbook.Tank, parameters []logbook.Parameter, usual logbook.Order, from,
	to time.Time) ([][]Chart, error) {
	shown := parameters
	for _, t := range tanks {
		all, err := alerts.ParametersOf(v, t)
		if err != nil {
			return nil, err
		}
		for _, p := range all {
			if len(parameters) == 0 && !slices.ContainsFunc(shown, func(q logbook.Parameter) bool { return q.Name == p.Name }) {
				shown = append(shown, p)
			}
		}
	}
	if len(parameters) == 0 {
		tanks[0].OrderOr(usual).Sort(shown)
	}
	out := make([][]Chart, len(tanks))
	for _, p := range shown {
		row, seen := make([]Chart, len(tanks)), len(parameters) > 0
		for i, t := range tanks {
			c := Chart{From: from, Now: to, To: to}
			var err error
			c.Finding.Tank, c.Finding.Parameter = t, p
			if c.Finding.Band, err = alerts.BandOf(t, p); err != nil {
				return nil, err
			}
			if row[i], err = c.filled(v); err != nil {
				return nil, err
			}
			seen = seen || len(row[i].Seen()) > 0
		}
		if len(row) > 1 {
			OnOneAxis(&row[0], &row[1])
		}
		for i := range row {
			if seen {
				out[i] = append(out[i], row[i])
			}
		}
	}
	return out, nil
}

// OnOneAxis puts two charts of one parameter on the axis that holds both.
func OnOneAxis(a, b *Chart) {
	x, one := a.Scale(true)
	y, other := b.Scale(true)
	switch {
	case one && other:
		x = Scale{Lo: math.Min(x.Lo, y.Lo), Hi: math.Max(x.Hi, y.Hi)}
	case other:
		x = y
	case !one:
		return
	}
	a.axis, b.axis = &x, &x
}

// Sum is how the time of a chart went.
type Sum struct {
	N      int     // readings
	Share  float64 // of the time that the line covers, in the band; NaN: not known
	Lo, Hi float64 // the least and the most that was read, but for wild readings that no other bears out
	Swings int     // rises and falls of at least half the width of the band; -1: no such width
}

// Sum sums up what is seen of the readings.
func (c Chart) Sum() Sum {
	s := Sum{N: len(c.Seen()), Share: math.NaN(), Swings: -1}
	if s.N == 0 {
		return s
	}
	vs := c.held(c.Seen())
	s.Lo, s.Hi = slices.Min(vs), slices.Max(vs)
	b := c.Finding.Band
	if b.High > b.Low {
		s.Swings = swings(vs, (b.High-b.Low)/2)
	}
	inside, all, hair := 0, 0, c.unit()/1000 // a line on the edge is in the band, however it is rounded
	for _, value := range c.joined(stretches, func(v float64) float64 { return v }) {
		if !math.IsNaN(value) && b.Set() {
			all++
			if !(value < b.Low-hair) && !(value > b.High+hair) {
				inside++
			}
		}
	}
	if all > 0 {
		s.Share = float64(inside) / float64(all)
	}
	return s
}

// swings counts the moves from one turning point to the next that are at least so great.
func swings(vs []float64, least float64) (n int) {
	low, high, rising := vs[0], vs[0], 0
	for _, v := range vs[1:] {
		low, high = math.Min(low, v), math.Max(high, v)
		switch {
		case rising <= 0 && v-low >= least:
			n, rising, high = n+1, 1, v
		case rising >= 0 && high-v >= least:
			n, rising, low = n+1, -1, v
		}
	}
	return n
}

// Text says a sum, the most important first.
func (s Sum) Text(p logbook.Parameter) string {
	if s.N == 0 {
		return "no readings"
	}
	text := words.Between(p, s.Lo, s.Hi)
	if !math.IsNaN(s.Share) {
		text = s.share() + " in band, " + text
	}
	if s.Swings >= 0 {
		text += ", " + words.Plural(s.Swings, "swing", "swings")
	}
	if s.N < fewReadings {
		text += ", from " + words.Plural(s.N, "reading", "readings")
	}
	return text
}

// fewReadings is how many readings it takes that a sum of them is not told with their number: a share of a year that
// rests on fewer says little of it. Chosen here.
const fewReadings = 6

// share is that of the time in the band: all of it only if it is.
func (s Sum) share() string {
	switch {
	case s.N == 0:
		return "none"
	case math.IsNaN(s.Share):
		return ""
	}
	return fmt.Sprintf("%.0f %%", math.Floor(100*s.Share))
}

// What stands around the plots of a course.
const (
	nameWidth  = 12
	labelWidth = 7
	sumWidth   = 22 // of a sum in words, in two rows
	slimWidth  = 14 // of one in three
	shareWidth = 8  // of its first part's number
	mostRows   = 6
)

// page is how the plots of a course are laid out: rows for each of so many parameters, and rows of what was done.
type page struct {
	rows, shown, lanes int
	gutter, each, side int
	columns            int
	before             string // the blanks that stand left of the plots
}

// PlotRows is the height in which so many parameters, and what was done, are drawn well.
func PlotRows(parameters int) int { return 3*parameters + 8 }

// Room is how many of so many parameters have room in a height.
func Room(parameters, height int) int { return max(1, min(parameters, height-feet-1)) }

func newPage(tanks, parameters, top, lanes, width, height int) (p page, ok bool) {
	room := max(1, height-feet-1)
	if p.lanes = lanes; (room-lanes)/parameters < 2 || width < 60 {
		p.lanes = 0
	}
	p.rows = max(1, min(mostRows, (room-p.lanes)/parameters))
	p.shown = min(Room(parameters, height), parameters-top)
	p.gutter = nameWidth
	if width >= 60 && p.rows > 1 {
		p.gutter += labelWidth
	}
	p.before = strings.Repeat(" ", p.gutter)
	p.each = (width - p.gutter) / tanks
	switch {
	case p.each >= 58 && p.rows > 1:
		p.side = sumWidth + 1
	case p.each >= 40 && p.rows > 1:
		p.side = slimWidth + 1
	case p.each >= 20:
		p.side = shareWidth + 1
	}
	p.columns = p.each - p.side - 1
	return p, p.columns >= leastColumns
}

// Plots draws the courses of one tank, or of two beside each other, as small charts below each other on one time axis,
// those from top on that have room: dotted are the edges of the band, beside each stands its sum, beneath what was
// done, a row for each sort, or numbers on the axis where there is no room for that. It answers also with the rows of
// each chart, the first of which stands in the second row.
func Plots(tanks [][]Chart, top, width, height int) (rows []Row, each int) {
	deeds := make([][]Deed, len(tanks))
	var lanes []string
	for i, charts := range tanks {
		deeds[i] = DeedsOf(charts, false, YearNumbered)
		lanes = append(lanes, words.Of(Lanes(deeds[i]), func(l Lane) string { return l.Name })...)
	}
	lanes = words.Once(lanes)
	p, ok := newPage(len(tanks), len(tanks[0]), top, len(lanes), width, height)
	if !ok {
		return []Row{rowOf(ansi.Truncate("no room for a year: widen the terminal", max(0, width), "…"), Dim)}, 1
	}
	out := []Row{rowOf(p.before, Dim)}
	for _, c := range tanks[0][top : top+p.shown] {
		out = append(out, p.names(c)...)
	}
	for _, name := range lanes[:p.lanes] {
		out = append(out, rowOf(padded(name, p.gutter), Dim))
	}
	out = append(out, rowOf(p.before, Dim), rowOf(p.before, Dim))
	for i, charts := range tanks {
		for r, cells := range p.tank(charts, top, lanes[:p.lanes], deeds[i]) {
			out[r] = append(out[r], cells...)
		}
	}
	return out, p.rows
}

// names are the rows of what stands left of a chart: its parameter, and the ends of its axis.
func (p page) names(c Chart) (out []Row) {
	scale, ok := c.Scale(false)
	for r := range p.rows {
		name, end := "", math.NaN()
		switch r {
		case 0:
			name, end = ansi.Truncate(words.OneLine(c.Finding.Parameter.Name), nameWidth-1, "…"), scale.Hi
		case p.rows - 1:
			end = scale.Lo
		}
		label := ""
		if ok && !math.IsNaN(end) {
			label = ansi.Truncate(words.Number(c.Finding.Parameter, end), p.gutter-nameWidth, "")
		}
		out = append(out, append(rowOf(padded(name, nameWidth), Plain),
			rowOf(strings.Repeat(" ", p.gutter-nameWidth-len(label))+label, Dim)...))
	}
	return out
}

func (p page) tank(charts []Chart, top int, lanes []string, deeds []Deed) []Row {
	beside := func(text string) Row { return rowOf(padded(text, p.side), Plain) }
	head := padded(" "+ansi.Truncate(words.OneLine(charts[0].Finding.Tank.Name), p.columns, "…"), 1+p.columns)
	if p.side == shareWidth+1 {
		head += " in band"
	}
	out := []Row{rowOf(padded(head, p.each), Dim)}
	for _, c := range charts[top : top+p.shown] {
		sum := c.Sum()
		said := words.Wrap(sum.Text(c.Finding.Parameter), p.side-1, p.rows)
		if p.side == shareWidth+1 {
			said = []string{sum.share()}
		}
		for r, cells := range c.plot(p.columns, p.rows) {
			text := ""
			if r < len(said) && p.side > 0 {
				text = " " + strings.TrimSuffix(said[r], ",")
			}
			out = append(out, slices.Concat(Row{{"│", Dim}}, cells, beside(text)))
		}
	}
	g := sheet{Chart: charts[0], cells: []Row{make(Row, p.columns)}}
	for _, name := range lanes {
		row := rowOf(strings.Repeat(" ", p.columns), Plain)
		for _, l := range Lanes(deeds) {
			if l.Name == name {
				g.mark(row, l.Deeds)
			}
		}
		out = append(out, slices.Concat(Row{{"│", Dim}}, row, beside("")))
	}
	if len(lanes) > 0 {
		deeds = nil
	} else {
		deeds = words.Those(deeds, func(d Deed) bool { return d.Number > 0 })
	}
	axis, dates := g.axis(deeds)
	return append(out, slices.Concat(Row{{"└", Dim}}, axis, beside("")), rowOf(padded(" "+dates, p.each), Dim))
}

// YearList says what was done to the tanks of a course, a line each; private: without what names or describes it.
func YearList(tanks [][]Chart, private bool) (lines []string) {
	for _, charts := range tanks {
		if len(tanks) > 1 && !private {
			lines = append(lines, "done in "+words.OneLine(charts[0].Finding.Tank.Name))
		}
		listed := Listed(DeedsOf(charts, private, YearNumbered), charts[0].From.Location())
		lines = append(lines, words.Of(listed, Keyed.Line)...)
	}
	return lines
}

func padded(text string, width int) string {
	return text + strings.Repeat(" ", max(0, width-ansi.StringWidth(text)))
}

// plot draws the edges of the band, the floor and the line alone.
func (c Chart) plot(columns, rows int) []Row {
	g := sheet{Chart: c, cells: make([]Row, rows)}
	g.clear(columns)
	var ok bool
	if g.scale, ok = c.Scale(false); !ok {
		return g.cells
	}
	dotted := func(v float64, every int, tone Tone) {
		for x := 0; x < columns*dotsWide && !math.IsNaN(v) && !g.scale.Beyond(v); x += every {
			g.dot(x, int(math.Round(g.height(v))), tone)
		}
	}
	dotted(c.Finding.Band.Low, 4, Band)
	dotted(c.Finding.Band.High, 4, Band)
	dotted(c.Finding.Band.Floor, 2, Bad)
	g.lay(g.joined(columns*dotsWide, g.height), Plain)
	return g.cells
}
