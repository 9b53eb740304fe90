//go:build unix

package main

import (
	"bytes"
	"fmt"
	"html"
	"strings"

	"github.com/hinshun/vt10x"
)

// What the emulator's screen looks like, as a picture: one text for each run of cells that look alike, at the place and
// in the width of its cells, whatever font the reader has.

// ground is a terminal's background and its sixteen base colours.
type ground struct {
	name           string
	back, front    string
	base           [16]string
	brightensBold  bool // the emulator makes bold base colours bright; a terminal with a light ground does not
	environment    string
	cellW, rowStep float64
}

func grounds() []ground {
	return []ground{
		{name: "dark", back: "#15181d", front: "#d5d9e0", brightensBold: true, cellW: 8.4, rowStep: 17,
			base: [16]string{"#15181d", "#d9534f", "#4fb477", "#d3a63f", "#4f86e8", "#b56fd0", "#35b0bf", "#c3c8d0",
				"#868e9a", "#ff7b76", "#66d492", "#f0c75e", "#79aeff", "#d79bee", "#67dfe6", "#ffffff"}},
		{name: "light", back: "#ffffff", front: "#1c2127", environment: "LEADLINE_THEME=light", cellW: 8.4, rowStep: 17,
			base: [16]string{"#1c2127", "#b3261e", "#2f7d46", "#8a6100", "#1d57b8", "#7d2f9b", "#0f7480", "#8b929c",
				"#6a727d", "#d9433b", "#3f9c5b", "#a87900", "#3d78dc", "#9c4fba", "#21929f", "#000000"}},
	}
}

// cellBold is the mode of a bold cell, by the emulator's numbers.
const cellBold = 1 << 2

// cellLook is how a run of cells is drawn.
type cellLook struct {
	front, back string
	bold        bool
}

// picture draws the screen as SVG. The emulator knows nothing of faint text, which is drawn as grey here.
func (e *emulator) picture(g ground) string {
	e.mu.Lock()
	w, h := e.cells.Size()
	sent := bytes.ReplaceAll(e.sent.Bytes(), []byte("\x1b[2m"), []byte("\x1b[90m"))
	e.mu.Unlock()
	cells := vt10x.New(vt10x.WithSize(w, h))
	_, _ = cells.Write(sent)

	const margin = 10
	var b strings.Builder
	width, height := float64(w)*g.cellW+2*margin, float64(h)*g.rowStep+2*margin
	fmt.Fprintf(&b, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"%.0f\" height=\"%.0f\" viewBox=\"0 0 %.0f %.0f\" ",
		width, height, width, height)
	b.WriteString("font-family=\"'DejaVu Sans Mono', Menlo, Consolas, 'Liberation Mono', monospace\" font-size=\"14\" " +
		"xml:space=\"preserve\">\n")
	fmt.Fprintf(&b, "<rect width=\"%.0f\" height=\"%.0f\" rx=\"6\" fill=\"%s\"/>\n", width, height, g.back)
	for y := range h {
		for x := 0; x < w; {
			from, at := x, g.look(cells.Cell(x, y))
			var run strings.Builder
			for ; x < w && g.look(cells.Cell(x, y)) == at; x++ {
				run.WriteRune(max(cells.Cell(x, y).Char, ' '))
			}
			left, top := margin+float64(from)*g.cellW, margin+float64(y)*g.rowStep
			if at.back != g.back {
				fmt.Fprintf(&b, "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"%s\"/>\n", left, top,
					float64(x-from)*g.cellW, g.rowStep, at.back)
			}
			g.text(&b, run.String(), left, top+g.rowStep*0.76, at)
		}
	}
	return b.String() + "</svg>\n"
}

// text draws a run without the spaces around it.
func (g ground) text(b *strings.Builder, run string, x, y float64, at cellLook) {
	body := strings.TrimLeft(run, " ")
	x += float64(len(run)-len(body)) * g.cellW // spaces are one byte
	body = strings.TrimRight(body, " ")
	if body == "" {
		return
	}
	weight := ""
	if at.bold {
		weight = " font-weight=\"bold\""
	}
	fmt.Fprintf(b, "<text x=\"%.1f\" y=\"%.1f\" textLength=\"%.1f\" fill=\"%s\"%s>%s</text>\n", x, y,
		float64(len([]rune(body)))*g.cellW, at.front, weight, html.EscapeString(body))
}

func (g ground) look(cell vt10x.Glyph) cellLook {
	bold := cell.Mode&cellBold != 0
	colour := func(c vt10x.Color, usual string) string {
		switch {
		case c == vt10x.DefaultFG:
			return g.front
		case c == vt10x.DefaultBG:
			return g.back
		case c > 15:
			return usual
		case bold && c > 7 && !g.brightensBold:
			c -= 8
		}
		return g.base[c]
	}
	return cellLook{colour(cell.FG, g.front), colour(cell.BG, g.back), bold}
}
