package tui

import (
	"cmp"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

type undoStep struct {
	field int
	text  string
}

func (d *testDay) undoLast() tea.Cmd {
	n := len(d.undo)
	if n == 0 {
		return nil
	}
	step := d.undo[n-1]
	d.undo = d.undo[:n-1]
	f := d.fields[step.field]
	f.input.SetValue(step.text)
	f.parse()
	d.focus(step.field)
	return tea.Batch(d.judge(step.field), d.writeDraft())
}

// save makes readings of what is typed, or goes to the field that is in the way.
func (d *testDay) save() tea.Cmd {
	at, err := entry.When(d.when.Value(), d.now())
	if err != nil {
		d.goTo(len(d.fields))
		d.Message = timeOfTest(err)
		return nil
	}
	var rs []logbook.Reading
	for i, f := range d.fields {
		switch {
		case f.text() == "":
			continue
		case f.refused != "":
			d.goTo(i)
			d.Message = "nothing saved: this value is impossible"
			return nil
		case !f.settle():
			d.goTo(i)
			return nil
		}
		r := f.result.Reading
		r.Time, r.Tank, r.Method, r.Note, r.Who = at, d.tank.Name, f.Method, f.result.NoteWith(f.note.Value()), d.Who
		rs = append(rs, r)
	}
	if len(rs) == 0 {
		d.Message = "nothing typed yet"
		return nil
	}
	d.saving = true
	book, drafts, tank, typed := d.Book, d.drafts, d.tank.Name, strings.TrimSpace(d.when.Value())
	turn := drafts.turn() // a draft still on its way must not come after this
	asked := typed == "" || typed == d.asked
	return func() tea.Msg {
		why, err := "", error(nil)
		if !asked {
			why, err = logbook.Seen(book, func(v *logbook.View) (string, error) { return entry.DoubtPast(v, tank, at) })
		}
		if why == "" && err == nil {
			err = drafts.write(turn, func() error {
				_, err := book.SaveTestDay(drafts.last, rs)
				return err
			})
		}
		if err != nil || why != "" {
			return part.AnswerMsg{To: &d.Page, Take: func() tea.Cmd {
				d.saving, d.Message = false, why+"; ctrl+s keeps it"
				if err != nil {
					d.Message = "not saved: " + part.Clean(err.Error()) + "; what you typed is still here"
					return nil
				}
				d.goTo(len(d.fields))
				d.asked = typed
				return d.writeDraft() // the one that this took the turn of
			}}
		}
		return part.DoneMsg{S: d, Notice: words.Plural(len(rs), "reading", "readings") + " of " + part.Clean(d.tank.Name) +
			" in the book" + words.OfDay(at, d.now()), Changed: true}
	}
}

func timeOfTest(refused error) string { return "time of test: " + part.RefusalText(refused) }

// inTurn keeps writings of one thing in order, though every command runs on its own: each takes a turn when it is given
// out, and one whose turn was overtaken by a newer one does nothing.
type inTurn struct {
	mu     sync.Mutex
	newest atomic.Int64
}

func (d *inTurn) turn() int64 { return d.newest.Add(1) }

func (d *inTurn) write(turn int64, fn func() error) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if turn < d.newest.Load() {
		return nil
	}
	return fn()
}

// drafts writes the drafts of one test day in turn. The last one that the book got is read and set by whose turn it is.
type drafts struct {
	inTurn
	last logbook.Draft
}

func (d *testDay) restore(draft logbook.Draft) {
	d.started, d.drafts.last = draft.Started, draft
	for _, f := range d.fields {
		x, ok := draft.Fields[f.Parameter.Name]
		if !ok {
			continue
		}
		f.input.SetValue(x.Text)
		f.note.SetValue(x.Note)
		if x.Unit != "" {
			f.Unit = x.Unit
		}
		if x.Method != "" {
			f.Method = x.Method
		}
		f.parse()
	}
	d.when.SetValue(cmp.Or(draft.When, d.when.Value(), typedTime(draft.Started.In(d.tank.Zone()))))
}

func (d *testDay) draft() logbook.Draft {
	out := logbook.Draft{Tank: d.tank.Name, Started: d.started, Fields: map[string]logbook.DraftField{}}
	for _, f := range d.fields {
		if f.input.Value() != "" || f.note.Value() != "" {
			out.Fields[f.Parameter.Name] = logbook.DraftField{Text: f.input.Value(), Unit: f.Unit, Method: f.Method,
				Note: f.note.Value()}
		}
	}
	if v := d.when.Value(); v != "" && len(out.Fields) > 0 {
		out.When = v
		if at, err := entry.When(v, d.now()); err == nil { // 08:30 of today would be another time tomorrow
			out.When = typedTime(at)
		}
	}
	return out
}

// typedTime is a moment as it would be typed.
func typedTime(at time.Time) string {
	return strings.TrimSuffix(at.Format("2006-01-02 15:04:05"), ":00")
}

// writeDraft puts the draft into the book; when nothing is typed it takes out of it what this screen put there.
func (d *testDay) writeDraft() tea.Cmd {
	keep := d.keeping()
	return func() tea.Msg { return d.drafted(keep()) }
}

func (d *testDay) drafted(err error) tea.Msg {
	return part.AnswerMsg{To: &d.Page, Take: part.Just(func() {
		d.unkept = ""
		if err != nil {
			d.unkept = part.Clean(err.Error())
		}
	})}
}

// leaveWith writes the draft and leaves; a draft that cannot be written keeps the screen open, for what is typed is
// nowhere else.
func (d *testDay) leaveWith(text string) tea.Cmd {
	keep := d.keeping()
	return func() tea.Msg {
		if err := keep(); err != nil {
			return d.drafted(err)
		}
		return part.DoneMsg{S: d, Notice: text}
	}
}

func (d *testDay) keeping() func() error {
	draft, book, drafts := d.draft(), d.Book, d.drafts
	turn := drafts.turn()
	return func() error {
		return drafts.write(turn, func() error {
			err := book.SaveDraft(drafts.last, draft)
			if err == nil {
				drafts.last = draft
			}
			return err
		})
	}
}
