package form

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

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

// WhatIf is a form whose answer stands below its fields: what another dosing, a dose or a water change would do to the
// forecast. Nothing of it goes into the book.
type WhatIf struct {
	*Form
	line  alerts.Finding
	asked int              // of the engine, so far
	Shown trend.Assessment // with what is typed
	Known bool             // Shown answers what is typed now
}

// The fields of a what-if.
const (
	ifDosing = "daily dosing"
	ifDose   = "one dose today"
	ifChange = "water change"
	ifNew    = "its new water"
)

// NewWhatIf imagines on an examined parameter.
func NewWhatIf(e *part.Env, l alerts.Finding) *WhatIf {
	w := &WhatIf{line: l, Shown: l.Assessment, Known: true}
	unit := words.Unit(l.Parameter)
	w.Form = newForm(e, l.Tank, "what if: "+part.Clean(l.Parameter.Name),
		&formField{label: ifDosing, hint: supplyHint(l), check: doubtful(w.rise(true)), may: true},
		&formField{label: ifDose, hint: "a rise in " + unit, check: doubtful(w.rise(false)), may: true},
		&formField{label: ifChange, hint: "in percent", check: doubtful(w.share), may: true},
		&formField{label: ifNew, hint: "level in " + unit, check: doubtful(w.level), may: true})
	return w
}

func supplyHint(l alerts.Finding) string {
	p := l.Parameter
	return "now " + strconv.FormatFloat(p.Shown.ChangeFromCanonical(l.Supply), 'g', 3, 64) + " " + words.Unit(p) + " a day"
}

// doubtful is a check of what reads a text and says why it may be a slip.
func doubtful(read func(text string) (v float64, doubt string, err error)) check {
	return func(_ *Form, text string) (string, error) {
		_, doubt, err := read(text)
		return words.With(aDoubt, doubt), err
	}
}

func (w *WhatIf) rise(daily bool) func(text string) (float64, string, error) {
	return func(text string) (float64, string, error) {
		return w.data.If(daily, w.line.Parameter, text, w.line.Supply)
	}
}

func (w *WhatIf) share(text string) (float64, string, error) { return entry.Share(text, w.tank, "%") }

func (w *WhatIf) level(text string) (float64, string, error) {
	return entry.LevelIn(w.line.Parameter, text)
}

// Init examines the parameter anew, for the book may have changed under what is imagined, and loads what amounts are
// read by, so that millilitres of the supplement in use can be typed.
func (w *WhatIf) Init() tea.Cmd {
	type found struct {
		Data
		line alerts.Finding
	}
	tank, name, at := w.tank.Name, w.line.Parameter.Name, w.now()
	return part.AskAnew(&w.Page, func(v *logbook.View) (x found, err error) {
		if x.line, err = part.ExamineNow(v, tank, name, at); err == nil {
			x.Data, err = load(v, x.line.Tank, at)
		}
		return x, err
	}, func(x found) tea.Cmd {
		w.line, w.Field(ifDosing).hint = x.line, supplyHint(x.line)
		w.Take(x.Data)
		return w.ask()
	})
}

func (w *WhatIf) Commands() []part.Command {
	nudge := func(steps float64) func() tea.Cmd {
		return func() tea.Cmd {
			w.Nudge(steps)
			return w.ask()
		}
	}
	_, _, number := w.stepper().number(w.Fields[w.At].Input.Value())
	rows := slices.DeleteFunc(w.Form.Commands(), func(c part.Command) bool {
		return c.Words == "save" || strings.Contains(c.Words, "choice")
	})
	return part.Under("what if", slices.Concat([]part.Command{
		part.On("+ =", "more", nudge(1)).Foot(1).When(number), part.On("-", "less", nudge(-1)).Foot(1).When(number),
	}, rows)...)
}

func (w *WhatIf) Typed(msg tea.KeyMsg) tea.Cmd {
	if first, rest, several := part.Parted(msg); several { // a key held down
		part.Press(w, first) // what it asks is overtaken by the rest
		cmd, _ := part.Press(w, rest)
		return cmd
	}
	return tea.Batch(w.Form.Typed(msg), w.ask())
}

// Nudge raises or lowers what stands in the field at the cursor by steps.
func (w *WhatIf) Nudge(steps float64) {
	x := w.Fields[w.At]
	x.Input.SetValue(w.stepper().by(steps, x.Input.Value()))
	x.Input.CursorEnd()
	x.edited = true
}

// stepper moves the field at the cursor: from the dosing in force or the level by about a tenth of the greatest careful
// change of a day, or a twentieth of the dosing; a water change by 5 %.
func (w *WhatIf) stepper() stepper {
	s, p := stepper{most: math.Inf(1)}, w.line.Parameter
	size := p.Shown.ChangeFromCanonical(p.MaxRise) / 10
	switch w.Fields[w.At].label {
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

func (w *WhatIf) ask() tea.Cmd {
	extra, ok := w.Inputs()
	w.asked++
	w.Known = ok && len(extra) == 0
	switch {
	case w.Known:
		w.Shown = w.line.Assessment
		return nil
	case !ok:
		return nil
	}
	asked, line, at := w.asked, w.line, w.now()
	return part.Think(func() (tea.Msg, error) {
		shown := line.WhatIf(at, extra)
		return part.AnswerMsg{To: &w.Page, Take: part.Just(func() {
			if asked == w.asked {
				w.Shown, w.Known = shown, true
			}
		})}, nil
	})
}

// Inputs are what is typed; false where some of it cannot be read. A number may carry a unit.
func (w *WhatIf) Inputs() (out []trend.Input, ok bool) {
	for _, x := range w.Fields {
		if _, err := w.judge(x); err != nil {
			return nil, false
		}
	}
	read := func(label string, by func(string) (float64, string, error)) (float64, bool) {
		v, _, err := by(w.Value(label))
		return v, err == nil && w.Value(label) != ""
	}
	day := alerts.Day(w.now())
	if amount, typed := read(ifDosing, w.rise(true)); typed {
		out = append(out, trend.Input{Day: day, Kind: trend.Dosing, Amount: amount})
	}
	if amount, typed := read(ifDose, w.rise(false)); typed {
		out = append(out, trend.Input{Day: day, Kind: trend.Dose, Amount: amount})
	}
	if share, typed := read(ifChange, w.share); typed {
		fresh, told := read(ifNew, w.level)
		if !told {
			fresh = math.NaN()
		}
		out = append(out, trend.Input{Day: day, Kind: trend.Change, Fraction: share, New: fresh})
	}
	return out, true
}

func (w *WhatIf) View() string {
	out, table := w.fieldRows(nil, w.H), w.Table()
	if h := w.H - len(out) - len(table) - 1; h >= 6 {
		out = append(out, w.Drawn(w.chart(), w.W, min(h, 16))...)
	}
	return strings.Join(append(append(out, ""), table...), "\n")
}

// chart is the last twelve weeks and the imagined forecast.
func (w *WhatIf) chart() picture.Chart {
	l, now := w.line, w.now()
	l.Assessment = w.Shown
	return picture.Chart{Finding: l, Readings: l.Readings, From: now.AddDate(0, 0, -56), Now: now,
		To: now.AddDate(0, 0, 28)}
}

// Table sets what is expected beside what is expected if. Where there is room for one number only, it is the range.
func (w *WhatIf) Table() []string {
	p := w.line.Parameter
	now, then := w.line, w.line
	then.Assessment = w.Shown
	label, wide, floor := 14, 22, "floor in 42 d"
	asItIs, already := now.FloorChance(now.Assessment, 42)
	ifSo, _ := now.FloorChance(then.Assessment, 42)
	if w.W < 64 {
		label = 12
		wide = (w.W - 4 - label) / 2
		floor = "by 42 d"
	}
	if already {
		floor = "below, 42 d"
	}
	row := func(name, a, b string) string {
		if !w.Known {
			b = "…"
		}
		return part.Cut(fmt.Sprintf("  %s %s %s", part.Pad(name, label), part.Pad(a, wide), b), w.W)
	}
	out := []string{w.Head.Render(
		part.Cut(fmt.Sprintf("  %s %s if so", part.Pad(words.Unit(p), label), part.Pad("as it is", wide)), w.W))}
	for _, days := range []float64{7, 14, 28} {
		text := func(a trend.Assessment) string {
			f, ok := alerts.ForecastIn(a, days)
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
		out = append(out, row("to the floor", cmp.Or(now.FloorDays(), "—"), cmp.Or(then.FloorDays(), "—")),
			row(floor, asItIs, ifSo))
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
