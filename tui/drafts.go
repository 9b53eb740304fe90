package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

type draftedMsg struct {
	day *testDay
	err error
}

func (d *testDay) restore(draft logbook.Draft) {
	d.started = draft.Started
	for _, f := range d.fields {
		x, ok := draft.Fields[f.line.Parameter.Name]
		if !ok {
			continue
		}
		f.input.SetValue(x.Text)
		f.note.SetValue(x.Note)
		if x.Unit != "" {
			f.unit = x.Unit
		}
		if x.Method != "" {
			f.method = x.Method
		}
		f.parse()
	}
	d.when.SetValue(draft.Fields[logbook.DraftWhen].Text)
}

func (d *testDay) draft() logbook.Draft {
	out := logbook.Draft{Tank: d.tank.Name, Started: d.started, Fields: map[string]logbook.DraftField{}}
	for _, f := range d.fields {
		if f.input.Value() != "" || f.note.Value() != "" {
			out.Fields[f.line.Parameter.Name] = logbook.DraftField{Text: f.input.Value(), Unit: f.unit, Method: f.method, Note: f.note.Value()}
		}
	}
	if v := d.when.Value(); v != "" && len(out.Fields) > 0 {
		out.Fields[logbook.DraftWhen] = logbook.DraftField{Text: v}
	}
	return out
}

// writeDraft puts the draft into the book, or takes it out when nothing is typed.
func (d *testDay) writeDraft() tea.Cmd {
	draft, book, drafts := d.draft(), d.env.book, d.drafts
	turn := drafts.turn()
	return func() tea.Msg {
		return draftedMsg{d, drafts.write(turn, func() error {
			if len(draft.Fields) == 0 {
				return book.DropDraft(draft.Tank)
			}
			return book.SaveDraft(draft)
		})}
	}
}

// Keep puts what is typed into the book before the program ends.
func (d *testDay) Keep() tea.Cmd { return d.writeDraft() }
