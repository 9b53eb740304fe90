// Package form is what asks for a few fields and puts what is typed into the book: what was done to a tank, and what is
// described of it. A form is asked for by a want, and knows no other screen.
package form

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/tui/part"
)

// Form is a short list of fields, each checked as it is typed. Only its own key saves; esc asks before it throws typed
// text away.
type Form struct {
	part.Page
	title    string
	intro    string
	tank     logbook.Tank
	Fields   []*formField
	At       int
	data     Data
	known    bool                       // data has come
	ready    func(*Form)                // called once the book's lists are there
	read     func(*Form) (typed, error) // beside an error only cautions are used; nil: nothing is to be saved
	describe func(*Form) part.Want      // describes what the form names; nil: nothing is to be described
	saving   bool
	doubts   string // what has to be asked once about doubted
	doubted  string // everything typed, as it was asked about

	reads func(text string, now time.Time) (time.Time, error) // the time of what is noted
}

// Data is what forms offer as choices, and what their texts are read by.
type Data struct {
	entry.Context
	Measured []string
	Offered  []string // by name: those in force, then the others that are described
	chores   []logbook.Chore
	Tanks    []logbook.Tank
}

func newForm(e *part.Env, t logbook.Tank, title string, fields ...*formField) *Form {
	f := &Form{Page: part.Page{Env: e}, tank: t, title: title, Fields: fields, reads: entry.When}
	for _, x := range fields {
		x.Input = part.NewField(e, 30)
		x.Input.SetValue(x.initial)
	}
	f.focus(0)
	return f
}

func (f *Form) focus(i int) {
	f.Fields[f.At].Input.Blur()
	f.At = (i + len(f.Fields)) % len(f.Fields)
	part.FocusField(&f.Fields[f.At].Input)
}

// StartAt puts the cursor into a field.
func (f *Form) StartAt(label string) { f.focus(slices.Index(f.Fields, f.Field(label))) }

// Field finds a field by its label.
func (f *Form) Field(label string) *formField {
	for _, x := range f.Fields {
		if x.label == label {
			return x
		}
	}
	panic("tui: no field " + label + " in form " + f.title)
}

// Value is what stands in a field; of a field with choices, the choice meant.
func (f *Form) Value(label string) string {
	x := f.Field(label)
	text := strings.TrimSpace(x.Input.Value())
	if c, ok := pick(text, x.choices); ok {
		return c
	}
	return text
}

// set fills a field that the keeper has not touched.
func (f *Form) set(label, text string) {
	x := f.Field(label)
	if x.Input.Value() == x.initial {
		x.initial, x.edited = text, false
		x.Input.SetValue(text)
		x.Input.CursorEnd()
	}
}

func (f *Form) Init() tea.Cmd {
	tank, at := f.tank, f.Moment()
	return part.Ask(&f.Page, func(v *logbook.View) (Data, error) { return load(v, tank, at) }, f.Take)
}

// load reads what a form of a tank offers at a moment.
func load(v *logbook.View, tank logbook.Tank, at time.Time) (d Data, _ error) {
	var errs [5]error
	d.Context, errs[0] = entry.Load(v, tank, at)
	d.Tanks, errs[1] = v.Tanks()
	if tank.Name != "" {
		_, errs[2] = v.Tank(tank.Name)
		d.Measured, errs[3] = v.Measured(tank.Name)
		d.chores, errs[4] = v.Chores(tank.Name)
	}
	names := slices.Concat(words.Of(d.Dosings, func(x logbook.Dosing) string { return x.Supplement }),
		words.Of(d.Supplements, func(x logbook.Supplement) string { return x.Name }))
	d.Offered = words.Once(words.Those(names, func(name string) bool { return name != "" }))
	return d, cmp.Or(errs[:]...)
}

// Take takes in what is offered.
func (f *Form) Take(d Data) tea.Cmd {
	f.data, f.known = d, true
	for _, x := range f.Fields {
		if x.offers != nil {
			x.choices = x.offers(d)
		}
	}
	if f.ready != nil {
		f.ready(f)
	}
	return nil
}

func (f *Form) Commands() []part.Command {
	if f.saving {
		return nil
	}
	last, other, leave := f.At == len(f.Fields)-1, 0, ""
	if len(f.Fields[f.At].choices) > 0 {
		other = 3
	}
	if f.HasUnsaved() {
		leave = "esc again leaves without keeping what you typed; ctrl+s saves it"
	}
	rows := part.Under("form",
		part.On("enter tab down", "next", part.Just(func() { f.focus(f.At + 1) })).Foot(2),
		part.On("up shift+tab", "previous", part.Just(func() { f.focus(f.At - 1) })).Foot(4),
		part.On("ctrl+o", "other choice", part.Just(func() { f.cycle(1) })).Foot(other),
		part.On("ctrl+l", "choice before", part.Just(func() { f.cycle(-1) })),
		part.On("ctrl+s", "save", f.trySave).Foot(1),
		part.On("esc", "back", part.Always(part.Back)).Foot(5).Asking(leave))
	if f.describe != nil {
		rows = append(rows, part.Under("form", part.On(describeKey, "describe a supplement", func() tea.Cmd {
			return part.Open(f.describe(f))
		}).Foot(6))...)
	}
	if last && f.read != nil {
		rows[0].Place = 0
		finish := func() tea.Cmd { // which answers no question: enter is pressed too easily
			if f.Question() != "" {
				return nil
			}
			return f.trySave()
		}
		rows = append([]part.Command{part.On("enter", "save", finish).Foot(2)}, rows...)
	}
	return rows
}

// describeKey describes what is named in a form and is not known yet.
const describeKey = "ctrl+n"

func (f *Form) Typed(msg tea.KeyMsg) tea.Cmd {
	if msg.Paste {
		msg.Runes = []rune(part.Clean(string(msg.Runes)))
	}
	if !f.saving {
		f.Fields[f.At].edit(msg)
	}
	return nil
}

// edit changes the text of a field. What is typed takes the place of a number or a choice that was put there: after a
// prefilled 7, a 3 means 3 and not 73.
func (x *formField) edit(msg tea.KeyMsg) {
	text := x.Input.Value()
	if _, err := strconv.ParseFloat(text, 64); !x.edited && msg.Type == tea.KeyRunes &&
		(err == nil || len(x.choices) > 0) {
		x.Input.SetValue("")
	}
	x.edited = true
	part.EditField(&x.Input, msg)
}

func (f *Form) About() part.About {
	a := part.About{Title: f.title, Zone: f.tank.Zone(), Typing: true, Unsaved: f.HasUnsaved()}
	if f.tank.Name != "" {
		a.Title = part.Clean(f.tank.Name) + " · " + f.title
	}
	a.Cautions = words.Of(f.Cautions(), func(c water.Caution) string { return c.Text })
	return a
}

// Cautions are what to beware of with what is typed.
func (f *Form) Cautions() []water.Caution {
	if f.read == nil {
		return nil
	}
	x, _ := f.read(f)
	return x.cautions
}

func (f *Form) HasUnsaved() bool {
	return f.read != nil && slices.ContainsFunc(f.Fields, func(x *formField) bool { return x.Input.Value() != x.initial })
}

// Opens is a row's way to a form of a tank that needs no more than a name: of a parameter, a chore or a supplement; "":
// none.
func Opens(build func(*part.Env, logbook.Tank, string) *Form, t logbook.Tank, name string) func() tea.Cmd {
	return part.Opens(part.OfTank(build, t, name))
}

// typed is what stands in the fields, read.
type typed struct {
	save     saver
	doubts   []string        // what is unlikely about it, so that it is asked about once; "": nothing
	asks     doubter         // likewise, of what only the book tells; nil: nothing
	cautions []water.Caution // what to beware of
}

// saver puts what was typed into the book and answers with what is to be done then.
type saver func(b *logbook.Book) (tea.Msg, error)

// doubter says in sentences what is unlikely about what was typed; what cannot be at all is its error.
type doubter func(v *logbook.View) ([]string, error)

func (f *Form) adding(said string, rs ...logbook.Record) saver {
	day := ""
	for i, rec := range rs {
		if e, is := rec.(logbook.Entry); is {
			rs[i], day = logbook.ByWhom(e, f.Who), words.OfDay(e.When(), f.now())
		}
	}
	return func(b *logbook.Book) (tea.Msg, error) {
		_, err := b.Append(rs...)
		return f.done(said + day), err
	}
}

func (f *Form) changing(said string, change func(*logbook.Tank)) saver {
	return func(b *logbook.Book) (tea.Msg, error) {
		_, err := part.ChangeTank(b, f.tank.Name, change)
		return f.done(said), err
	}
}

func (f *Form) done(said string) tea.Msg { return part.DoneMsg{S: f, Notice: said, Changed: true} }

func (f *Form) trySave() tea.Cmd {
	for i, x := range f.Fields {
		if _, err := f.judge(x); err != nil {
			f.focus(i)
			f.Message = x.label + ": " + part.RefusalText(err)
			return nil
		}
	}
	x, err := f.read(f)
	if err != nil {
		f.Message = part.RefusalText(err)
		return nil
	}
	asks := []doubter{x.asks, f.doubtPast()}
	if f.Question() != "" { // it is answered by this
		x.doubts, asks = nil, nil
	}
	f.saving = true
	book, typed := f.Book, f.Texts()
	return func() tea.Msg {
		for _, ask := range asks {
			if ask == nil {
				continue
			}
			more, err := logbook.Seen(book, ask)
			if err != nil {
				return f.notSaved(func() { f.Message = part.RefusalText(err) })
			}
			x.doubts = append(x.doubts, more...)
		}
		doubts := slices.DeleteFunc(x.doubts, func(text string) bool { return text == "" })
		if len(doubts) > 0 {
			return f.notSaved(func() { f.Ask(part.Clean(strings.Join(doubts, "; ")), typed) })
		}
		msg, err := x.save(book)
		if err != nil {
			return f.notSaved(func() { f.Message = part.RefusalText(err) })
		}
		return msg
	}
}

// doubtPast asks whether the year of a moment that was typed is right; nil where none was.
func (f *Form) doubtPast() doubter {
	there := slices.ContainsFunc(f.Fields, func(x *formField) bool { return x.label == whenLabel })
	if !there || f.Value(whenLabel) == "" {
		return nil
	}
	at, _ := f.when() // it was judged before
	return func(v *logbook.View) ([]string, error) {
		why, err := entry.DoubtPast(v, f.tank.Name, at)
		return []string{why}, err
	}
}

// notSaved lets the form say why what was typed is not in the book; all of it stays.
func (f *Form) notSaved(say func()) tea.Msg {
	return part.AnswerMsg{To: &f.Page, Take: part.Just(func() {
		f.saving = false
		say()
	})}
}

// Ask asks about what was typed before it goes into the book.
func (f *Form) Ask(doubts, typed string) { f.doubts, f.doubted = doubts, typed }

// Texts is everything that stands in the fields.
func (f *Form) Texts() string {
	return strings.Join(words.Of(f.Fields, func(x *formField) string { return x.Input.Value() }), "\x00")
}

// Question is what was asked about what stands in the fields now; the next press to save answers it.
func (f *Form) Question() string {
	if f.doubts == "" || f.doubted != f.Texts() {
		return ""
	}
	return f.doubts
}

func (f *Form) judge(x *formField) (string, error) {
	text := strings.TrimSpace(x.Input.Value())
	if x.check == nil || x.may && text == "" {
		return "", nil
	}
	return x.check(f, text)
}
