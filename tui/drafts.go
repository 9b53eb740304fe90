package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
	"leadline/tui/part"
)

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
	d.when.SetValue(draft.When)
}

func (d *testDay) draft() logbook.Draft {
	out := logbook.Draft{Tank: d.tank.Name, Started: d.started, Fields: map[string]logbook.DraftField{}}
	for _, f := range d.fields {
		if f.input.Value() != "" || f.note.Value() != "" {
			out.Fields[f.Parameter.Name] = logbook.DraftField{Text: f.input.Value(), Unit: f.Unit, Method: f.Method, Note: f.note.Value()}
		}
	}
	if v := d.when.Value(); v != "" && len(out.Fields) > 0 {
		out.When = v
		if at, _, err := part.ParseWhen(v, d.now()); err == nil { // 08:30 of today would be another time tomorrow
			out.When = strings.TrimSuffix(at.Format("2006-01-02 15:04:05"), ":00")
		}
	}
	return out
}

// writeDraft puts the draft into the book; when nothing is typed it takes out of it what this screen put there.
func (d *testDay) writeDraft() tea.Cmd {
	keep := d.keeping()
	return func() tea.Msg { return d.drafted(keep()) }
}

// drafted says of the draft that it was written, or why not.
func (d *testDay) drafted(err error) tea.Msg {
	return part.AnswerMsg{To: &d.Page, Take: func() tea.Cmd {
		d.unkept = ""
		if err != nil {
			d.unkept = part.Clean(err.Error())
		}
		return nil
	}}
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
	draft, book, drafts := d.draft(), d.env.Book, d.drafts
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
