package tui

import (
	"math"
	"strings"

	"github.com/guptarohit/asciigraph"
)

// grid is the plotting area: what stands in each cell, and how it is drawn.
type grid struct {
	cells  [][]string
	styles [][]*ink // of the theme
}

func newGrid(rows, columns int, plain *ink) *grid {
	g := &grid{cells: make([][]string, rows), styles: make([][]*ink, rows)}
	for r := range g.cells {
		g.cells[r] = make([]string, columns)
		g.styles[r] = make([]*ink, columns)
		for c := range g.cells[r] {
			g.cells[r][c], g.styles[r][c] = " ", plain
		}
	}
	return g
}

// put marks a cell; row 0 is the lowest.
func (g *grid) put(row, column int, sign string, style *ink) {
	r := len(g.cells) - 1 - row
	if r < 0 || r >= len(g.cells) || column < 0 || column >= len(g.cells[r]) {
		return
	}
	g.cells[r][column], g.styles[r][column] = sign, style
}

// lay plots one series of row numbers and copies it into the grid. The plotting library panics on an empty slice and on
// infinities, and prints nonsense where nothing is a number: such a series is left out.
func (g *grid) lay(rows []float64, charset asciigraph.CharSet, style *ink) {
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

// level draws a line at one height from end to end.
func (g *grid) level(row int, sign string, style *ink) {
	for column := range g.cells[0] {
		g.put(row, column, sign, style)
	}
}

func upright(g *grid, column int, sign string, style *ink) {
	for row := range g.cells {
		g.put(row, column, sign, style)
	}
}
