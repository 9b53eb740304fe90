package report

import (
	"cmp"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/picture"
	"leadline/alerts/words"
)

// leastWidth is the narrowest chart that still tells anything.
const leastWidth = 40

// textDone is how many of the things that were done stand under a chart in characters, besides the routine.
const textDone = 6

// TextChart draws a chart in characters, none of its lines wider than width, so many rows high without its time axis.
func TextChart(c picture.Chart, width, rows int, private bool) string {
	width, rows = max(width, leastWidth), max(rows, 5)
	head := nameOf(c)
	if !private {
		head += ", of " + words.OneLine(c.Finding.Tank.Name)
	}
	out := words.Hang("", "  ", head+", as of "+words.Day(c.Now), width, 0)
	out = append(out, words.Hang("", "  ", states(c), width, 0)...)
	if _, ok := c.Scale(false); !ok {
		return strings.Join(append(out, "nothing to draw since "+words.Day(c.From)), "\n") + "\n"
	}
	c.Numbered = textDone
	for _, row := range c.Draw(width, rows+2) {
		out = append(out, strings.TrimRight(row.String(), " "))
	}
	out = append(out, packed(signs(c), width)...)
	for _, k := range picture.Listed(c.Deeds(private), c.From.Location()) {
		out = append(out, ansi.Truncate(k.Line(), width, "…"))
	}
	return strings.Join(out, "\n") + "\n"
}

// TextYear draws the course of one tank, or of two beside each other, in characters, and lists beneath what was done;
// rows 0: as many as it needs.
func TextYear(tanks [][]picture.Chart, width, rows int, private bool) string {
	if private {
		for _, charts := range tanks {
			charts[0].Finding.Tank.Name = ""
		}
	}
	plots, _ := picture.Plots(tanks, 0, width, cmp.Or(rows, picture.PlotRows(len(tanks[0]))))
	drawn := words.Of(plots, func(r picture.Row) string { return strings.TrimRight(r.String(), " ") })
	for _, line := range picture.YearList(tanks, private) {
		drawn = append(drawn, ansi.Truncate(line, width, "…"))
	}
	return strings.Join(drawn, "\n") + "\n"
}

// signs says what the signs of a chart mean.
func signs(c picture.Chart) []string {
	out := []string{picture.Level + " reading"}
	if c.Bounded() {
		out = append(out, picture.Below+" "+picture.Above+" below, above what the method sees")
	}
	if len(c.Fan()) > 0 {
		out = append(out, picture.AheadLine+" forecast of the true level, its mean", picture.Fan+" its 10–90 % range")
	}
	return append(out, words.Of(append(c.Edges(words.Unit(c.Finding.Parameter)), c.Marks()...), picture.Mark.Text)...)
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

// nameOf is the parameter of a chart with its unit.
func nameOf(c picture.Chart) string {
	return words.OneLine(c.Finding.Parameter.Name) + words.With(", ", words.Unit(c.Finding.Parameter))
}

// states says in words where the parameter stands.
func states(c picture.Chart) string {
	if c.Finding.Assessment.N == 0 {
		return "no readings"
	}
	return "level now " + c.Finding.LevelText() + ", " + c.Finding.SlopeText()
}
