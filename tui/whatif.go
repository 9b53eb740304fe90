package tui

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
	"leadline/tui/part"
)

// whatIf shows what another dosing, a dose or a water change would do to the forecast. Nothing typed here goes into the
// book.
type whatIf struct {
	part.Page
	env    *part.Env
	line   alerts.Finding
	fields []*whatIfField
	at     int
	asked  int              // of the engine, so far
	shown  trend.Assessment // with what is typed
	known  bool             // shown answers what is typed now
	by     entry.Context    // what amounts are read by
}

type whatIfField struct {
	label, hint string
	input       textinput.Model
	refused     string
	doubt       string // why the rise may be a slip
}

// The fields of a what-if, in their order.
const (
	ifDosing = iota
	ifDose
	ifChange
	ifNew
)

func newWhatIf(e *part.Env, l alerts.Finding) *whatIf {
	w := &whatIf{env: e, line: l, shown: l.Assessment, known: true}
	unit := words.Unit(l.Parameter)
	for _, f := range []whatIfField{
		{label: "daily dosing", hint: supplyHint(l)},
		{label: "one dose today", hint: "a rise in " + unit},
		{label: "water change", hint: "in percent"},
		{label: "its new water", hint: "level in " + unit},
	} {
		f.input = part.NewField(e, 14)
		w.fields = append(w.fields, &f)
	}
	part.FocusField(&w.fields[0].input)
	return w
}

func supplyHint(l alerts.Finding) string {
	p := l.Parameter
	return "now " + strconv.FormatFloat(p.Shown.ChangeFromCanonical(l.Supply), 'g', 3, 64) + " " + words.Unit(p) + " a day"
}

// Init loads what amounts are read by, so that millilitres of the supplement in use can be typed.
func (w *whatIf) Init() tea.Cmd {
	tank, at := w.line.Tank, w.now()
	return part.Ask(&w.Page, w.env, func(v *logbook.View) (entry.Context, error) {
		return entry.Load(v, tank, at)
	}, func(by entry.Context) tea.Cmd {
		w.by = by
		return w.ask()
	})
}

// load examines the parameter anew: the book has changed under what is imagined.
func (w *whatIf) load() tea.Cmd {
	tank, name, at := w.line.Tank.Name, w.line.Parameter.Name, w.now()
	return part.AskAnew(&w.Page, w.env, func(v *logbook.View) (alerts.Finding, error) {
		return examineNow(v, tank, name, at)
	}, func(line alerts.Finding) tea.Cmd {
		w.line = line
		w.fields[ifDosing].hint = supplyHint(line)
		return w.ask()
	})
}

func (w *whatIf) now() time.Time { return w.env.Moment().In(w.line.Tank.Zone()) }

func (w *whatIf) Update(msg tea.Msg) tea.Cmd {
	return part.Reload(msg, func() tea.Cmd { return tea.Batch(w.Init(), w.load()) })
}

func (w *whatIf) Commands() []part.Command {
	nudge := func(steps float64) func() tea.Cmd {
		return func() tea.Cmd {
			w.nudge(steps)
			return w.ask()
		}
	}
	_, _, number := w.stepper().number(w.fields[w.at].input.Value())
	return part.Under("what if",
		part.On("+ =", "more", nudge(1)).Foot(1).When(number),
		part.On("-", "less", nudge(-1)).Foot(2).When(number),
		part.On("enter tab down", "next", part.Just(func() { w.focus(w.at + 1) })).Foot(3),
		part.On("up shift+tab", "previous", part.Just(func() { w.focus(w.at - 1) })).Foot(4),
		part.On("esc", "back", part.Always(part.Back)).Foot(5))
}

func (w *whatIf) Typed(msg tea.KeyMsg) tea.Cmd {
	if first, rest, several := part.Parted(msg); several { // a key held down
		part.Press(w, first) // what it asks is overtaken by the rest
		cmd, _ := part.Press(w, rest)
		return cmd
	}
	part.EditField(&w.fields[w.at].input, msg)
	return w.ask()
}

func (w *whatIf) nudge(steps float64) {
	f := &w.fields[w.at].input
	f.SetValue(w.stepper().by(steps, f.Value()))
	f.CursorEnd()
}

// stepper moves the field at the cursor: from the dosing in force or the level by about a tenth of the greatest careful
// change of a day, or a twentieth of the dosing; a water change by 5 %.
func (w *whatIf) stepper() stepper {
	s, p := stepper{most: math.Inf(1)}, w.line.Parameter
	size := p.Shown.ChangeFromCanonical(p.MaxRise) / 10
	switch w.at {
	case ifChange:
		return stepper{step: 5, most: 100}
	case ifDosing:
		if s.start = p.Shown.ChangeFromCanonical(w.line.Supply); s.start > 0 {
			size = s.start / 20
		}
	case ifNew:
		if level := w.line.Assessment.Level; !math.IsNaN(level) {
			s.start = p.Shown.FromCanonical(level)
		}
	}
	if !(size > 0) {
		size = math.Pow10(-p.DigitsIn(p.Shown))
	}
	s.step = roundStep(size)
	return s
}

func (w *whatIf) focus(i int) {
	w.fields[w.at].input.Blur()
	w.at = (i + len(w.fields)) % len(w.fields)
	part.FocusField(&w.fields[w.at].input)
}

func (w *whatIf) ask() tea.Cmd {
	extra, ok := w.inputs()
	w.asked++
	if !ok {
		w.known = false
		return nil
	}
	if len(extra) == 0 {
		w.shown, w.known = w.line.Assessment, true
		return nil
	}
	w.known = false
	asked, line, at := w.asked, w.line, w.now()
	return part.Think(func() (tea.Msg, error) {
		shown := line.WhatIf(at, extra)
		return part.AnswerMsg{To: &w.Page, Take: func() tea.Cmd {
			if asked == w.asked {
				w.shown, w.known = shown, true
			}
			return nil
		}}, nil
	})
}

// inputs reads the fields. A number may carry a unit.
func (w *whatIf) inputs() ([]trend.Input, bool) {
	day := alerts.Day(w.now())
	var out []trend.Input
	ok := true
	each := func(i int, read func(text string) (doubt string, err error)) {
		f := w.fields[i]
		f.refused, f.doubt = "", ""
		if text := strings.TrimSpace(f.input.Value()); text != "" {
			doubt, err := read(text)
			if f.doubt = part.Clean(doubt); err != nil {
				f.refused, ok = part.RefusalText(err), false
			}
		}
	}
	rise := func(i int, kind trend.InputKind) {
		each(i, func(text string) (string, error) {
			amount, doubt, err := w.by.If(kind == trend.Dosing, w.line.Parameter, text, w.line.Supply)
			out = append(out, trend.Input{Day: day, Kind: kind, Amount: amount})
			return doubt, err
		})
	}
	rise(ifDosing, trend.Dosing)
	rise(ifDose, trend.Dose)
	fresh := math.NaN()
	each(ifNew, func(text string) (doubt string, err error) {
		fresh, doubt, err = entry.LevelIn(w.line.Parameter, text)
		return doubt, err
	})
	each(ifChange, func(text string) (string, error) {
		share, doubt, err := entry.Share(text, w.line.Tank, "%")
		out = append(out, trend.Input{Day: day, Kind: trend.Change, Fraction: share, New: fresh})
		return doubt, err
	})
	return out, ok
}

func (w *whatIf) About() part.About {
	return part.About{Title: part.Clean(w.line.Tank.Name) + " · what if: " + part.Clean(w.line.Parameter.Name),
		Zone: w.line.Tank.Zone(), Typing: true}
}

func (w *whatIf) View() string {
	t := w.env.Theme
	var out []string
	for i, f := range w.fields {
		lead, label := t.Marked(i == w.at, part.Pad(f.label, 14))
		body := t.Dim.Render(f.hint)
		if i == w.at {
			body = strings.TrimRight(f.input.View(), " ")
			if f.input.Value() == "" {
				body += "  " + t.Dim.Render(f.hint)
			}
		} else if f.input.Value() != "" {
			body = part.Clean(f.input.Value())
		}
		if f.refused != "" {
			body += "  " + t.Bad.Render("! "+f.refused)
		} else if f.doubt != "" {
			body += "  " + t.Warn.Render("? "+f.doubt)
		}
		out = append(out, part.Cut(lead+label+"  "+body, w.W))
	}
	table := w.table()
	if h := w.H - len(out) - len(table) - 1; h >= 6 {
		out = append(out, drawn(w.chart(), w.W, min(h, 16), t)...)
	}
	return strings.Join(append(append(out, ""), table...), "\n")
}

// chart is the last twelve weeks and the imagined forecast.
func (w *whatIf) chart() picture.Chart {
	l, now := w.line, w.now()
	l.Assessment = w.shown
	return picture.Chart{Finding: l, Readings: l.Readings, From: now.AddDate(0, 0, -56), Now: now,
		To: now.AddDate(0, 0, 28)}
}

// table sets what is expected beside what is expected if. Where there is room for one number only, it is the range.
func (w *whatIf) table() []string {
	p := w.line.Parameter
	now, then := w.line, w.line
	then.Assessment = w.shown
	label, wide, floor := 14, 22, "floor in 42 d"
	if w.W < 64 {
		label = 12
		wide = (w.W - 4 - label) / 2
		floor = "by 42 d"
	}
	row := func(name, a, b string) string {
		if !w.known {
			b = "…"
		}
		return part.Cut(fmt.Sprintf("  %s %s %s", part.Pad(name, label), part.Pad(a, wide), b), w.W)
	}
	out := []string{w.env.Theme.Head.Render(
		part.Cut(fmt.Sprintf("  %s %s if so", part.Pad(words.Unit(p), label), part.Pad("as it is", wide)), w.W))}
	for _, days := range []float64{7, 14, 28} {
		text := func(a trend.Assessment) string {
			f, ok := picture.ForecastIn(a, days)
			if !ok || math.IsNaN(f.Mean) {
				return "unknown"
			}
			if full := words.Range(p, f.Mean, f.Lo, f.Hi); part.Width(full) <= wide {
				return full
			}
			return words.Between(p, f.Lo, f.Hi)
		}
		out = append(out, row(fmt.Sprintf("in %.0f days", days), text(now.Assessment), text(then.Assessment)))
	}
	if !math.IsNaN(w.line.Assessment.Floor) {
		out = append(out, row("to the floor", floorText(now), floorText(then)),
			row(floor, words.Percent(now.Assessment.PFloor42), words.Percent(then.Assessment.PFloor42)))
	}
	return out
}

// stepper raises or lowers a typed number by steps, so that the forecast can be watched as it moves.
type stepper struct {
	start float64 // where an empty field stands
	step  float64
	most  float64
}

// number is what is typed, with its unit as typed; ok is false for what is no number.
func (s stepper) number(text string) (v float64, unit string, ok bool) {
	number, unit := logbook.Split(strings.TrimSpace(text))
	if number == "" {
		return s.start, unit, unit == ""
	}
	v, err := entry.Number(number)
	return v, unit, err == nil
}

// by is the text so many steps on; what is no number stays.
func (s stepper) by(steps float64, text string) string {
	v, unit, ok := s.number(text)
	if !ok {
		return text
	}
	v = math.Min(math.Max(0, math.Round(v/s.step+steps)*s.step), s.most)
	// Rounding to a step leaves digits behind that nobody would type.
	digits := max(0, int(math.Ceil(-math.Log10(s.step)-1e-9)))
	return strings.TrimSpace(water.Format(v, digits) + " " + unit)
}

// roundStep is 1, 2 or 5 times a power of ten, the greatest that is not above size.
func roundStep(size float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(size)))
	for _, m := range []float64{5, 2} {
		if size >= m*power {
			return m * power
		}
	}
	return power
}
