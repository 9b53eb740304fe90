package tui

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/logbook"
)

// form is a short list of fields, each checked as it is typed. Only its own key saves; esc asks before it throws typed
// text away.
type form struct {
	page
	env      *env
	title    string
	intro    string
	tank     logbook.Tank
	fields   []*formField
	at       int
	data     formData
	known    bool        // data has come
	ready    func(*form) // called once the book's lists are there
	save     func(*form) (saver, error)
	doubt    func(*form) (doubter, error) // nil: what the fields accept is saved without a question
	cautions func(*form) []string         // what to beware of with what is typed; nil: nothing
	then     func(*form) tea.Cmd          // instead of going back, after saving
	describe func(*form) want             // describes what the form names; nil: nothing is to be described
	saving   bool
	doubts   string // what has to be asked once about doubted
	doubted  string // everything typed, as it was asked about
}

// formField is one line of a form.
type formField struct {
	label   string
	hint    string // shown while nothing is typed
	input   textinput.Model
	initial string
	edited  bool // by hand: typing goes on where it stands
	choices []string
	sought  string                                             // what was typed when the choices were first gone through
	check   func(f *form, text string) (say string, err error) // nil: any text will do
}

// formData is what forms offer as choices, and what their texts are read by.
type formData struct {
	entry.Context
	measured    []string
	supplements []string // by name: those in force, then the others that are described
	chores      []logbook.Chore
}

type formDataMsg struct {
	f    *form
	data formData
}

func newForm(e *env, t logbook.Tank, title string, fields ...*formField) *form {
	f := &form{env: e, tank: t, title: title, fields: fields}
	for _, x := range fields {
		x.input = newField(e, 30)
		x.input.SetValue(x.initial)
	}
	f.focus(0)
	return f
}

func (f *form) focus(i int) {
	f.fields[f.at].input.Blur()
	f.at = (i + len(f.fields)) % len(f.fields)
	focusField(&f.fields[f.at].input)
}

// field finds a field by its label.
func (f *form) field(label string) *formField {
	for _, x := range f.fields {
		if x.label == label {
			return x
		}
	}
	panic("tui: no field " + label + " in form " + f.title)
}

// value is what stands in a field; of a field with choices, the choice meant.
func (f *form) value(label string) string {
	x := f.field(label)
	text := strings.TrimSpace(x.input.Value())
	if c, ok := pick(text, x.choices); ok {
		return c
	}
	return text
}

// set fills a field that the keeper has not touched.
func (f *form) set(label, text string) {
	x := f.field(label)
	if x.input.Value() == x.initial {
		x.initial, x.edited = text, false
		x.input.SetValue(text)
		x.input.CursorEnd()
	}
}

func (f *form) Init() tea.Cmd {
	tank, at := f.tank, f.env.moment()
	return f.env.read(func(v *logbook.View) (_ tea.Msg, err error) {
		var d formData
		if d.Context, err = entry.Load(v, tank, at); err != nil || tank.Name == "" {
			return formDataMsg{f, d}, err
		}
		if _, err := v.Tank(tank.Name); err != nil {
			return nil, err
		}
		if d.measured, err = v.Measured(tank.Name); err != nil {
			return nil, err
		}
		if d.chores, err = v.Chores(tank.Name); err != nil {
			return nil, err
		}
		for _, x := range d.Dosings {
			if x.Supplement != "" && !slices.Contains(d.supplements, x.Supplement) {
				d.supplements = append(d.supplements, x.Supplement)
			}
		}
		for _, x := range d.Supplements {
			if !slices.Contains(d.supplements, x.Name) {
				d.supplements = append(d.supplements, x.Name)
			}
		}
		return formDataMsg{f, d}, nil
	})
}

func (f *form) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg: // what is offered may be more now
		return f.Init()
	case formDataMsg:
		if msg.f == f {
			f.data, f.known = msg.data, true
			if f.ready != nil {
				f.ready(f)
			}
		}
	case formSavedMsg:
		if msg.f == f {
			if f.then != nil {
				return tea.Batch(f.then(f), notice(msg.notice))
			}
			return func() tea.Msg { return doneMsg{f, msg.notice, true} }
		}
	case formDoubtedMsg:
		if msg.f == f {
			f.saving = false
			f.doubts, f.doubted = msg.doubts, msg.typed
		}
	case formFailedMsg:
		if msg.f == f {
			f.saving = false
			f.message = refusalText(msg.err)
		}
	}
	return nil
}

func (f *form) commands() []command {
	if f.saving {
		return nil
	}
	last, other, leave := f.at == len(f.fields)-1, 0, ""
	if len(f.fields[f.at].choices) > 0 {
		other = 3
	}
	if f.HasUnsaved() {
		leave = "esc again leaves without keeping what you typed; ctrl+s saves it"
	}
	rows := under("form",
		on("enter tab down", "next", just(func() { f.focus(f.at + 1) })).foot(2),
		on("up shift+tab", "previous", just(func() { f.focus(f.at - 1) })).foot(4),
		on("ctrl+o", "other choice", just(func() { f.cycle(1) })).foot(other),
		on("ctrl+l", "choice before", just(func() { f.cycle(-1) })),
		on("ctrl+s", "save", f.trySave).foot(1),
		on("esc", "back", always(back)).foot(5).asking(leave))
	if f.describe != nil {
		rows = append(rows, under("form", on(describeKey, "describe a supplement", func() tea.Cmd { return open(f.describe(f)) }).foot(6))...)
	}
	if last {
		rows[0].place = 0
		rows = append([]command{on("enter", "save", f.finish).foot(2)}, rows...)
	}
	return rows
}

// describeKey describes what is named in a form and is not known yet.
const describeKey = "ctrl+n"

// finish saves from the last field, but answers no question: enter is pressed too easily.
func (f *form) finish() tea.Cmd {
	if f.question() != "" {
		return nil
	}
	return f.trySave()
}

func (f *form) typed(msg tea.KeyMsg) tea.Cmd {
	if msg.Paste {
		msg.Runes = []rune(clean(string(msg.Runes)))
	}
	if !f.saving {
		f.fields[f.at].edit(msg)
	}
	return nil
}

// edit changes the text of a field. What is typed takes the place of a number or a choice that was put there: after a
// prefilled 7, a 3 means 3 and not 73.
func (x *formField) edit(msg tea.KeyMsg) {
	text := x.input.Value()
	if _, err := strconv.ParseFloat(text, 64); !x.edited && msg.Type == tea.KeyRunes && (err == nil || len(x.choices) > 0) {
		x.input.SetValue("")
	}
	x.edited = true
	editField(&x.input, msg)
}

func (f *form) about() about {
	a := about{title: f.title, zone: f.zone(), typing: true, unsaved: f.HasUnsaved()}
	if f.tank.Name != "" {
		a.title = clean(f.tank.Name) + " · " + f.title
	}
	return a
}

func (f *form) zone() *time.Location { return f.tank.Zone() }

func (f *form) HasUnsaved() bool {
	return slices.ContainsFunc(f.fields, func(x *formField) bool { return x.input.Value() != x.initial })
}
