package part

import (
	"io"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
)

// Theme is every style and sign of the interface.
type Theme struct {
	Title    Ink // name of the program, of a tank
	Head     Ink // head of a column
	Dim      Ink // what may be overlooked
	Key      Ink // a key on a help line
	Good     Ink
	Warn     Ink
	Bad      Ink
	Accent   Ink // the level, the chosen row
	Band     Ink
	Forecast Ink
	Cursor   lipgloss.Style // the cursor in a field
	Plain    Ink
	ASCII    bool // the terminal takes nothing else
}

// The signs of the screens; those of pictures are package picture's.
const (
	SignAlert, SignSeen, SignChosen, SignRule, SignMore = "!", "s", ">", "─", "…"
	SignUp, SignDown, SignFlat                          = "↗", "↘", "→"
)

// Ink is the style of what a cell of a picture means.
func (t *Theme) Ink(tone picture.Tone) *Ink {
	return [...]*Ink{picture.Plain: &t.Plain, picture.Dim: &t.Dim, picture.Band: &t.Band, picture.Forecast: &t.Forecast,
		picture.Good: &t.Good, picture.Warn: &t.Warn, picture.Bad: &t.Bad, picture.Accent: &t.Accent}[tone]
}

// Row draws neighbouring cells of one ink together.
func (t *Theme) Row(cells picture.Row) string {
	var out, run strings.Builder
	for i, c := range cells {
		run.WriteString(c.Sign)
		if style := t.Ink(c.Tone); i+1 == len(cells) || *style != *t.Ink(cells[i+1].Tone) {
			out.WriteString(style.Render(run.String()))
			run.Reset()
		}
	}
	return out.String()
}

// Drawn draws a chart.
func (t *Theme) Drawn(c picture.Chart, w, h int) []string { return words.Of(c.Draw(w, h), t.Row) }

// Marked is a line's name with the sign before it; both stand out where it is the chosen line.
func (t *Theme) Marked(chosen bool, name string) (sign, drawn string) {
	if chosen {
		return t.Accent.Render(SignChosen) + " ", t.Accent.Render(name)
	}
	return "  ", name
}

// NewTheme makes the theme once. In every variant the renderer keeps bold and reverse, which carry the cursor and the
// chosen row; without colour that is all there is besides words and signs.
func NewTheme(out io.Writer, noColor, light, ascii bool) *Theme {
	r := lipgloss.NewRenderer(out, termenv.WithProfile(termenv.ANSI))
	r.SetColorProfile(termenv.ANSI)
	r.SetHasDarkBackground(!light)
	s := func() lipgloss.Style { return r.NewStyle() }
	bold, faint := newInk(s().Bold(true)), newInk(s().Faint(true))
	t := &Theme{
		Title: bold, Head: faint, Dim: faint, Key: bold, Warn: bold, Bad: bold, Accent: bold,
		Cursor: s(), ASCII: ascii,
	}
	if noColor {
		return t
	}
	// The base colours every terminal has, so that the reader's own palette holds; those that can be read on it (a
	// test holds how well, on the palettes that are common). What may be overlooked is faint and not grey: some
	// palettes give the dark grey the colour of the background.
	p := darkPalette()
	if light {
		p = lightPalette()
	}
	colour := func(c string) lipgloss.Style { return s().Foreground(lipgloss.Color(c)) }
	t.Title, t.Bad, t.Accent = newInk(colour(p.accent).Bold(true)), newInk(colour(p.bad).Bold(true)),
		newInk(colour(p.accent).Bold(true))
	t.Key, t.Good, t.Warn = newInk(colour(p.accent)), newInk(colour(p.good)), newInk(colour(p.warn))
	t.Band, t.Forecast = newInk(colour(p.band)), newInk(colour(p.soon))
	return t
}

// baseColours are the colours, by number, of words (good, warn, bad, accent) and of lines in pictures (band, soon).
type baseColours struct{ good, warn, bad, accent, band, soon string }

func darkPalette() baseColours {
	return baseColours{good: "10", warn: "11", bad: "9", accent: "14", band: "12", soon: "6"}
}

// On white the bright colours, green and cyan cannot be read, yellow not even seen.
func lightPalette() baseColours {
	return baseColours{good: "4", warn: "5", bad: "1", accent: "4", band: "8", soon: "4"}
}

// Severity is the ink of an alert.
func (t *Theme) Severity(s alerts.Severity) Ink {
	switch s {
	case alerts.Urgent:
		return t.Bad
	case alerts.Warning:
		return t.Warn
	default:
		return t.Accent
	}
}

// Ink is a style as what it writes before and after a text of one row. The library finds that out anew for every text,
// with paddings and margins that nothing here has; it was nearly half the time of a chart, which has hundreds of runs
// of cells.
type Ink struct{ before, after string }

func newInk(s lipgloss.Style) Ink {
	before, after, _ := strings.Cut(s.Render("x"), "x")
	return Ink{before, after}
}

// Render writes a text of one row.
func (k Ink) Render(text string) string {
	if text == "" {
		return ""
	}
	return k.before + text + k.after
}
