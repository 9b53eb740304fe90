package tui

import (
	"slices"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// testDay takes all parameters of a tank in one pass. Every change goes to a draft in the book, because a closed window
// ends the program without a word; only ctrl+s makes readings of it.
type testDay struct {
	ofTank
	known   *alerts.Report // of the glance; nil: it has to be asked for
	first   string         // the parameter the cursor begins on; "": the first that is empty
	early   []tea.KeyMsg   // typed before the fields were there
	started time.Time
	fields  []*testField
	when    textinput.Model
	from    time.Time // the moment the lines are seen from; zero: now
	at      int       // == len(fields): the time of the test
	top     int
	note    bool // the note of the field is being typed
	undo    []undoStep
	drafts  *drafts
	unkept  string // why the draft could not be written
	saving  bool
	timer   timer
	asked   string // the time of the test that was asked about
}

type testDayFound struct {
	report  alerts.Report
	draft   logbook.Draft
	drafted bool
	context entry.Context
}

func newTestDay(e *part.Env, t logbook.Tank, known *alerts.Report) *testDay {
	return &testDay{ofTank: newOfTank(e, t), known: known, started: e.Moment(),
		drafts: &drafts{last: logbook.Draft{Tank: t.Name}},
		when:   part.NewField(e, 20)}
}

// testDayOf wants a test day whose lines have to be examined first.
func testDayOf(t logbook.Tank) part.Want { return part.OfTank(newTestDay, t, nil) }

func (d *testDay) Init() tea.Cmd {
	if d.Loaded { // what is typed stays
		return nil
	}
	at, name, usual, known := d.now(), d.tank.Name, d.Order, d.known
	return part.AskAnew(&d.Page, func(v *logbook.View) (found testDayFound, err error) {
		if known != nil {
			found.report = *known
		} else {
			if found.report, err = alerts.Examine(v, name, at); err != nil {
				return found, err
			}
			found.report.Arrange(usual)
		}
		if found.context, err = entry.Load(v, found.report.Tank, at); err != nil {
			return found, err
		}
		found.draft, found.drafted, err = v.Draft(name)
		return found, err
	}, d.fill)
}

func (d *testDay) Update(msg tea.Msg) tea.Cmd {
	switch msg.(type) {
	case part.TickMsg:
		if d.timer.over(d.Now()) {
			d.Message = "time is up"
			return d.Ring
		}
	case part.KeepMsg:
		if d.HasUnsaved() {
			return d.writeDraft()
		}
	}
	return nil
}

// fill makes the fields, and puts the cursor into the one to begin with.
func (d *testDay) fill(found testDayFound) tea.Cmd {
	d.Loaded = true
	for _, l := range d.inOrder(found.report.Findings) {
		d.fields = append(d.fields, newTestField(d.Env, found.context, l, d.testTime))
	}
	var cmds []tea.Cmd
	if found.drafted {
		d.restore(found.draft)
		cmds = append(cmds, part.Notice("your half-typed test day of "+
			found.draft.Started.In(d.tank.Zone()).Format("2 Jan 15:04")+" is back"))
	}
	for i, f := range d.fields {
		f.beside = d.fields
		cmds = append(cmds, d.foresee(i), d.judge(i))
	}
	cmds = append(cmds, d.lookFrom())
	d.focus(slices.IndexFunc(d.fields, func(f *testField) bool {
		return f.Parameter.Name == d.first || d.first == "" && f.text() == ""
	}))
	for _, msg := range d.early {
		cmd, _ := part.Press(d, msg)
		cmds = append(cmds, cmd)
	}
	return tea.Batch(cmds...)
}

// inOrder are the lines in the keeper's own order, or where there is none with what is due first.
func (d *testDay) inOrder(lines []alerts.Finding) []alerts.Finding {
	if len(d.tank.OrderOr(d.Order)) > 0 {
		return lines
	}
	var due, rest []alerts.Finding
	for _, l := range lines {
		if l.OnTestDay(d.now()) {
			due = append(due, l)
		} else {
			rest = append(rest, l)
		}
	}
	return append(due, rest...)
}

func (d *testDay) HasUnsaved() bool { return d.Loaded && len(d.draft().Fields) > 0 }

func (d *testDay) About() part.About {
	return part.About{Title: part.Clean(d.tank.Name) + " · test day", Zone: d.tank.Zone(), Typing: true}
}

func (d *testDay) Commands() []part.Command {
	if d.saving {
		return nil
	}
	if !d.Loaded {
		return []part.Command{part.On("esc", "back", part.Always(part.Back))}
	}
	leave, discard := "", ""
	if d.HasUnsaved() {
		discard = "ctrl+x again throws away everything typed here"
		if d.unkept != "" && !d.note {
			leave = "not kept as a draft (" + d.unkept + "); ctrl+s saves it, esc again leaves without it"
		}
	}
	value := d.at < len(d.fields)
	return slices.Concat(
		part.Under("", part.On("tab down", "next", func() tea.Cmd { return d.next(false) })),
		part.Under("test day",
			part.On("enter tab down", "next", func() tea.Cmd { return d.next(true) }).Foot(2),
			part.On("up shift+tab", "previous", part.Just(func() { d.goTo(max(0, d.at-1)) })),
			part.On("ctrl+s", "save", d.save).Foot(1),
			part.On("esc", "back", d.leave).Foot(3).Asking(leave)),
		part.Under("this field",
			part.On("ctrl+o", "other method", d.otherMethod).Foot(4).When(value && !d.note),
			part.On("ctrl+n", "note", part.Just(func() { d.writeNote(!d.note) })).Foot(5).When(value),
			part.On("ctrl+y", "undo", d.undoLast).Foot(8),
			part.On(insteadKey, "take what is offered", d.takeOffered).When(value && !d.note)),
		part.Under("the whole",
			part.On("ctrl+t", "time of test", part.Just(func() { d.goTo(len(d.fields)) })).Foot(6),
			part.On("ctrl+p", "who tests", form.Opens(form.NewWho, d.tank, "")),
			part.On("ctrl+r", "timer", part.Just(func() { d.Message = d.timer.wind(d.Now()) })).Foot(7),
			part.On("ctrl+x", "throw all away", d.discard).Foot(9).Asking(discard)))
}

// insteadKey takes what is offered in place of what is typed.
const insteadKey = "ctrl+g"

// Typed takes a letter to where the cursor is, and pasted lines to the fields they belong to.
func (d *testDay) Typed(msg tea.KeyMsg) tea.Cmd {
	switch {
	case d.saving:
		return nil
	case !d.Loaded:
		d.early = append(d.early, msg)
		return nil
	case msg.Paste:
		return d.paste(string(msg.Runes))
	case d.at == len(d.fields):
		part.EditField(&d.when, msg)
		return tea.Batch(d.writeDraft(), d.lookFrom())
	case d.note:
		part.EditField(&d.fields[d.at].note, msg)
		return d.writeDraft()
	}
	if !d.HasUnsaved() {
		d.started = d.now()
	}
	f := d.fields[d.at]
	before := f.input.Value()
	if f.asked != "" && f.asked == f.text() && len(msg.Runes) > 0 && unicode.IsDigit(msg.Runes[0]) {
		f.input.SetValue("") // it is another number, not the end of the one that was asked about
	}
	if part.EditField(&f.input, msg); f.input.Value() == before {
		return nil
	}
	return d.changed(d.at, before)
}

// leave closes the note, or the screen; what is typed is kept as a draft, where that can be.
func (d *testDay) leave() tea.Cmd {
	switch {
	case d.note:
		d.writeNote(false)
		return nil
	case d.HasUnsaved() && d.unkept == "":
		return d.leaveWith("kept as a draft: t goes on with it")
	}
	return part.Back
}

func (d *testDay) discard() tea.Cmd {
	if !d.HasUnsaved() {
		return nil
	}
	for _, f := range d.fields {
		f.input.SetValue("")
		f.note.SetValue("")
		f.parse()
	}
	d.when.SetValue("")
	return d.leaveWith("thrown away")
}

func (d *testDay) writeNote(on bool) {
	d.note = on
	d.focus(d.at)
}

// goTo goes to the value of a field; behind the last stands the time of the test.
func (d *testDay) goTo(i int) {
	d.note = false
	d.focus(i)
}

func (d *testDay) takeOffered() tea.Cmd {
	f := d.fields[d.at]
	_, meant := f.question()
	if meant == "" {
		d.Message = "nothing is offered in place of this"
		return nil
	}
	before := f.input.Value()
	f.input.SetValue(meant)
	f.input.CursorEnd()
	return d.changed(d.at, before)
}

func (d *testDay) otherMethod() tea.Cmd {
	f := d.fields[d.at]
	if len(f.methods) == 0 {
		d.Message = "no method is described for " + part.Clean(f.Parameter.Name) + ": M on the first screen describes one"
		return nil
	}
	f.nextMethod()
	return tea.Batch(d.foresee(d.at), d.judge(d.at), d.writeDraft())
}

func (d *testDay) paste(text string) tea.Cmd {
	if d.at == len(d.fields) || d.note {
		return nil
	}
	lines, over := splitPasted(text, d.at, d.fields)
	if over {
		d.Message = "more lines were pasted than there are fields"
	}
	var cmds []tea.Cmd
	at := d.at
	for _, line := range lines {
		f := &d.fields[line.to].input
		before := f.Value()
		f.SetValue(line.text)
		cmds = append(cmds, d.changed(line.to, before))
		at = line.to + 1
	}
	d.focus(min(at, len(d.fields)-1))
	return tea.Batch(cmds...)
}

// changed follows every change of a field's text: read it, have it judged, keep it.
func (d *testDay) changed(i int, before string) tea.Cmd {
	if n := len(d.undo); n == 0 || d.undo[n-1].field != i {
		d.undo = append(d.undo, undoStep{i, before})
	}
	d.fields[i].parse()
	return tea.Batch(d.judge(i), d.writeDraft())
}

// next leaves a field downwards, unless what it holds has to be asked about once, or cannot be and enter was pressed:
// it accepts, and the other keys only go on.
func (d *testDay) next(accept bool) tea.Cmd {
	if d.note {
		d.writeNote(false)
		return nil
	}
	if d.at == len(d.fields) {
		if _, err := entry.When(d.when.Value(), d.now()); err != nil && accept {
			d.Message = timeOfTest(err)
			return nil
		}
		d.focus(0)
		return nil
	}
	f := d.fields[d.at]
	if f.refused != "" && accept {
		d.Message = "impossible value: correct it, or ↓ to skip"
		return nil
	}
	if f.refused == "" && !f.settle() {
		return nil
	}
	d.focus(d.at + 1)
	return nil
}

// focus puts the cursor into a field; one that is not there stands for the nearest.
func (d *testDay) focus(i int) {
	d.when.Blur()
	for _, f := range d.fields {
		f.input.Blur()
		f.note.Blur()
	}
	d.at = max(0, min(i, len(d.fields)))
	switch {
	case d.at == len(d.fields):
		part.FocusField(&d.when)
	case d.note:
		part.FocusField(&d.fields[d.at].note)
	default:
		part.FocusField(&d.fields[d.at].input)
	}
}
