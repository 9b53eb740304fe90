package picture

import (
	"math"
	"math/bits"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/words"
	"leadline/logbook"
)

// The signs of charts, rulers and sparklines. For terminals that take no others, InASCII has one for each.
const (
	Level, Below, Above   = "●", "▽", "△" // a level or reading; one known only to be below, above
	StaleLevel            = "○"           // a level that is too old to tell
	AheadLine, Fan        = "⠒", "⡐"      // forecast: its mean, its range; as many dots as are there in a chart
	BandLine, FloorLine   = "╌", "═"
	OverSign              = "x"
	nowLine, cursorLine   = "╎", "┃"
	BandSign              = bandLeft + bandDash + bandRight // on a ruler
	bandLeft, bandRight   = "├", "┤"
	bandDash, Soon, Floor = "─", "━", "⊥"
	offLeft, offRight     = "◂", "▸" // the level lies beyond this end of the ruler
	bars, NoData          = "▁▂▃▄▅▆▇█", "∙"
	warned                = "!"
)

// ReadingSign is the sign of a reading.
func ReadingSign(b logbook.Bound) string {
	return map[logbook.Bound]string{logbook.Exact: Level, logbook.Below: Below, logbook.Above: Above}[b]
}

// Mark is a sign on the time axis and the word for it.
type Mark struct{ Sign, Word string }

// doing is how a kind of what was done or seen is shown: its mark on a time axis, and its lane under a picture.
type doing struct {
	kind logbook.Kind
	mark Mark
	lane string
}

// doings are all of them, in the order of the marks; the lanes are in that of laneNames.
func doings() []doing {
	return []doing{
		{logbook.KindWaterChange, Mark{"w", "water change"}, "water changes"},
		{logbook.KindDose, Mark{"+", "dose"}, "doses"},
		{logbook.KindDosing, Mark{"d", "dosing"}, "dosing set"},
		{logbook.KindEvent, Mark{"e", "event"}, "events"},
		{logbook.KindChoreDone, Mark{"c", "chore"}, "chores, media"},
		{logbook.KindRefill, Mark{"c", "chore"}, "chores, media"},
	}
}

func laneNames() []string {
	return []string{"events", "chores, media", "water changes", "doses", "dosing set"}
}

// markOf is the mark of what was done to the tank or seen in it; none for other entries.
func markOf(k logbook.Kind) Mark {
	d, _ := words.First(doings(), func(d doing) bool { return d.kind == k })
	return d.mark
}

func (m Mark) Text() string { return m.Sign + " " + m.Word }

// RulerMarks are what a ruler is drawn of.
func RulerMarks() []Mark {
	return []Mark{{BandSign, "your band"}, {Floor, "your floor"}, {Level, "likely level"},
		{Soon + Soon, "where it may be in 14 days"}}
}

// Edges are the lines of a chart that the keeper set; "" leaves the unit out, where it stands beside them.
func (c Chart) Edges(unit string) (out []Mark) {
	if c.Finding.Band.Set() {
		out = append(out, Mark{BandLine + BandLine, words.WithUnit("band "+c.Finding.BandText(), unit)})
	}
	if !math.IsNaN(c.Finding.Band.Floor) {
		out = append(out, Mark{FloorLine + FloorLine,
			words.WithUnit("floor "+words.Number(c.Finding.Parameter, c.Finding.Band.Floor), unit)})
	}
	return out
}

// Marks are the marks that stand on the chart's time axis.
func (c Chart) Marks() []Mark {
	var out []Mark
	if len(c.Warned) > 0 {
		out = append(out, Mark{warned, "would have warned"})
	}
	deeds := c.Deeds(false)
	for _, done := range doings() {
		if !slices.Contains(out, done.mark) && slices.ContainsFunc(deeds, func(d Deed) bool {
			return d.Sign() == done.mark.Sign
		}) {
			out = append(out, done.mark)
		}
	}
	return out
}

// Concerns reports whether an entry is about the chart's parameter or about the whole tank.
func (c Chart) Concerns(e logbook.Entry) bool {
	of := words.Subject(e)
	return of == "" || of == c.Finding.Parameter.Name
}

// InASCII writes a text for a terminal that takes nothing else: every sign of ours gets a sign as wide, so that
// columns and pictures keep their places. Whatever others wrote beyond ASCII becomes question marks, as many as it is
// wide: sent as it is, such a terminal would show several wrong characters for each.
func InASCII(text string) string {
	text = ownSigns().Replace(text)
	if !strings.ContainsFunc(text, func(r rune) bool { return r >= 0x80 }) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		switch {
		case r < 0x80:
			b.WriteRune(r)
		case isDots(r):
			b.WriteByte(dotsInASCII(r))
		default:
			b.WriteString(strings.Repeat("?", ansi.StringWidth(string(r))))
		}
	}
	return b.String()
}

// dotsInASCII is the character that stands most like the dots of a cell: high, in the middle, low, upright or sparse.
func dotsInASCII(dots rune) byte {
	const upper, middle, lower, left, sparse = 0x09, 0x36, 0xc0, 0x47, 0x50
	switch dots -= noDots; {
	case dots == 0:
		return ' '
	case bits.OnesCount32(uint32(dots&left)) == 4 || bits.OnesCount32(uint32(dots&^left)) == 4:
		return '|'
	case dots&upper != 0 && dots&lower != 0, dots&^sparse == 0:
		return ':'
	case dots&middle != 0:
		return '-'
	case dots&upper != 0:
		return '\''
	default:
		return '.'
	}
}

// ownSigns are the characters beyond ASCII in our words, charts and tables, each with the one that stands for it.
func ownSigns() *strings.Replacer {
	return strings.NewReplacer(
		"–", "-", "—", "-", "−", "-", "…", "~", "·", "-", "°", "o", "µ", "u", "μ", "u", "×", "x", "±", "~", "≈", "~", "≤",
		"<", "≥", ">", "↑", "^", "↓", "v", "←", "<", "→", "-", "↗", "/", "↘", "\\", "³", "3", "²", "2",
		Level, "o", StaleLevel, "O", Below, "v", Above, "^", offLeft, "<", offRight, ">", Floor, "_", NoData, " ",
		bandDash, "-", Soon, "=", FloorLine, "=", BandLine, "-", "│", "|", nowLine, ":", cursorLine, "|",
		bandLeft, "[", bandRight, "]", "└", "+", "┴", "+", "┬", "+", "┼", "+",
		"▁", "_", "▂", ".", "▃", "-", "▄", "~", "▅", "=", "▆", "+", "▇", "*", "█", "#",
	)
}
