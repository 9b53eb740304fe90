package tui

import (
	tea "github.com/charmbracelet/bubbletea"

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

func (d *testDay) clear() {
	for _, f := range d.fields {
		f.input.SetValue("")
		f.note.SetValue("")
		f.parse()
	}
	d.when.SetValue("")
}

// save makes readings of what is typed, or goes to the field that is in the way.
func (d *testDay) save() tea.Cmd {
	at, doubt, err := part.ParseWhen(d.when.Value(), d.now())
	switch {
	case err != nil:
		d.goTo(len(d.fields))
		d.Message = "time of test: " + part.Clean(err.Error())
		return nil
	case doubt != "" && d.ahead != d.when.Value():
		d.ahead = d.when.Value()
		d.goTo(len(d.fields))
		d.Message = "time of test: " + doubt + "; ctrl+s again keeps it"
		return nil
	}
	var rs []logbook.Reading
	for i, f := range d.fields {
		switch {
		case f.text() == "":
			continue
		case f.refused != "":
			d.goTo(i)
			d.Message = "nothing saved yet: this value cannot be"
			return nil
		case !f.settle():
			d.goTo(i)
			return nil
		}
		r := f.result.Reading
		r.Time, r.Tank, r.Method, r.Note = at, d.tank.Name, f.Method, f.result.NoteWith(f.note.Value())
		rs = append(rs, r)
	}
	if len(rs) == 0 {
		d.Message = "nothing typed yet"
		return nil
	}
	d.saving = true
	book, drafts := d.env.Book, d.drafts
	turn := drafts.turn() // a draft still on its way must not come after this
	return func() tea.Msg {
		err := drafts.write(turn, func() error {
			_, err := book.SaveTestDay(drafts.last, rs)
			return err
		})
		if err != nil {
			return part.AnswerMsg{To: &d.Page, Take: func() tea.Cmd { return d.notSaved(err) }}
		}
		return part.DoneMsg{S: d, Notice: words.Plural(len(rs), "reading", "readings") + " of " + part.Clean(d.tank.Name) + " in the book", Changed: true}
	}
}

func (d *testDay) notSaved(why error) tea.Cmd {
	d.saving = false
	d.Message = "not saved: " + part.Clean(why.Error()) + "; what you typed is still here"
	return nil
}
