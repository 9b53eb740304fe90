package form

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// saver puts what was typed into the book and answers with what is to be done then.
type saver func(b *logbook.Book) (tea.Msg, error)

func (f *Form) adding(said string, rs ...logbook.Record) saver {
	for i, rec := range rs {
		if e, is := rec.(logbook.Entry); is {
			rs[i] = logbook.ByWhom(e, f.env.Who)
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

// doubter says in sentences what is unlikely about what was typed, so that it is asked about once; what cannot be at
// all is its error.
type doubter func(v *logbook.View) ([]string, error)

// doubting is a doubter that needs no book; "" is no doubt.
func doubting(whys ...string) doubter {
	return func(*logbook.View) ([]string, error) { return told(whys...), nil }
}

func told(texts ...string) []string {
	return slices.DeleteFunc(texts, func(text string) bool { return text == "" })
}

func (f *Form) trySave() tea.Cmd {
	for i, x := range f.Fields {
		if _, err := f.judge(x); err != nil {
			f.focus(i)
			f.Message = x.label + ": " + part.Clean(err.Error())
			return nil
		}
	}
	save, err := f.save(f)
	if err != nil {
		f.Message = part.Clean(err.Error())
		return nil
	}
	var doubt doubter
	var doubts []string
	if f.Question() == "" {
		if f.later {
			at, _ := f.when()
			doubts = told(entry.Later(at, f.now()))
		}
		if f.doubt != nil {
			if doubt, err = f.doubt(f); err != nil {
				f.Message = part.RefusalText(err)
				return nil
			}
		}
	}
	f.saving = true
	book, typed := f.env.Book, f.Texts()
	return func() tea.Msg {
		if doubt != nil {
			more, err := logbook.Seen(book, doubt)
			if err != nil {
				return f.notSaved(func() { f.Message = part.RefusalText(err) })
			}
			doubts = append(doubts, more...)
		}
		if len(doubts) > 0 {
			return f.notSaved(func() { f.Ask(part.Clean(strings.Join(doubts, "; ")), typed) })
		}
		msg, err := save(book)
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
	if x.check == nil {
		return "", nil
	}
	return x.check(f, text)
}
