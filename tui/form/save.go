package form

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/tui/part"
)

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
	for i, rec := range rs {
		if e, is := rec.(logbook.Entry); is {
			rs[i] = logbook.ByWhom(e, f.Who)
		}
	}
	return func(b *logbook.Book) (tea.Msg, error) {
		_, err := b.Append(rs...)
		return f.done(said), err
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
	if f.Question() != "" { // it is answered by this
		x.doubts, x.asks = nil, nil
	}
	f.saving = true
	book, typed := f.Book, f.Texts()
	return func() tea.Msg {
		if x.asks != nil {
			more, err := logbook.Seen(book, x.asks)
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
