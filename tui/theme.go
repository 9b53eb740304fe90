package tui

import (
	"io"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// theme is every style and sign of the interface.
type theme struct {
	Title    ink // name of the program, of a tank
	Head     ink // head of a column
	Dim      ink // what may be overlooked
	Key      ink // a key on a help line
	Good     ink
	Warn     ink
	Bad      ink
	Accent   ink // the level, the chosen row
	Band     ink
	Forecast ink
	Cursor   lipgloss.Style // the cursor in a field
	Plain    ink
	Signs    signs
	ASCII    bool // the terminal takes nothing else
}

// signs are the characters pictures are made of.
type signs struct {
	Level, Below, Above  string // a reading; one known only to be below, above
	Dash, Left, Right    string // the band and its edges
	Floor, Soon          string // the floor; the forecast range
	OffLeft, OffRight    string // a mark beyond the picture
	Fan                  string
	Spark                []string
	NoData               string
	Alert, Seen, Chosen  string
	Range, Rule, More    string
	Up, Down, Flat       string
	UnicodeLine          bool
	Ahead, BandLine      string // lines of a chart: forecast mean, band edge
	FloorLine            string
	NowLine, CursorLine  string
	Over                 string // a reading of the series laid over
	WaterChange, Event   string
	Dose, Dosing, Chore  string
	CornerTick, AxisLine string
}

// newTheme makes the theme once. In every variant the renderer keeps bold and reverse, which carry the cursor and the
// chosen row; without colour that is all there is besides words and signs.
func newTheme(out io.Writer, noColor, light, ascii bool) *theme {
	r := lipgloss.NewRenderer(out, termenv.WithProfile(termenv.ANSI))
	r.SetColorProfile(termenv.ANSI)
	r.SetHasDarkBackground(!light)
	s := func() lipgloss.Style { return r.NewStyle() }
	bold, faint := newInk(s().Bold(true)), newInk(s().Faint(true))
	t := &theme{
		Title: bold, Head: faint, Dim: faint, Key: bold, Warn: bold, Bad: bold, Accent: bold,
		Cursor: s(), Signs: unicodeSigns(),
	}
	if ascii {
		t.Signs, t.ASCII = asciiSigns(), true
	}
	if noColor {
		return t
	}
	// The base colours every terminal has, so that the reader's own palette holds; those that can be read on it (a test
	// holds how well, on the palettes that are common). What may be overlooked is faint and not grey: some palettes give
	// the dark grey the colour of the background.
	p := darkPalette()
	if light {
		p = lightPalette()
	}
	colour := func(c string) lipgloss.Style { return s().Foreground(lipgloss.Color(c)) }
	t.Title, t.Bad, t.Accent = newInk(colour(p.accent).Bold(true)), newInk(colour(p.bad).Bold(true)), newInk(colour(p.accent).Bold(true))
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

func unicodeSigns() signs {
	return signs{
		Level: "●", Below: "▽", Above: "△", Dash: "─", Left: "├", Right: "┤", Floor: "⊥", Soon: "━",
		OffLeft: "◂", OffRight: "▸", Fan: "░",
		Spark:  []string{"▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"},
		NoData: "·", Alert: "!", Seen: "s", Chosen: ">", Range: "–", Rule: "─", More: "…",
		Up: "↗", Down: "↘", Flat: "→", UnicodeLine: true,
		Ahead: "┄", BandLine: "╌", FloorLine: "═", NowLine: "│", CursorLine: "┃",
		WaterChange: "w", Event: "e", Dose: "+", Dosing: "d", Chore: "c", CornerTick: "┴", Over: "x", AxisLine: "─",
	}
}

func asciiSigns() signs {
	return signs{
		Level: "o", Below: "v", Above: "^", Dash: "-", Left: "[", Right: "]", Floor: "_", Soon: "=",
		OffLeft: "<", OffRight: ">", Fan: ":",
		Spark:  []string{"_", ".", "-", "~", "=", "+", "*", "#"},
		NoData: " ", Alert: "!", Seen: "s", Chosen: ">", Range: "-", Rule: "-", More: "..",
		Up: "/", Down: "\\", Flat: "-",
		Ahead: ".", BandLine: "-", FloorLine: "=", NowLine: ":", CursorLine: "|",
		WaterChange: "w", Event: "e", Dose: "+", Dosing: "d", Chore: "c", CornerTick: "+", Over: "x", AxisLine: "-",
	}
}
