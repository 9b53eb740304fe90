package form

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// saver puts what was typed into the book and says so in a few words.
type saver func(b *logbook.Book) (string, error)

// doubter says in sentences what is unlikely about what was typed, so that it is asked about once; what cannot be at
// all is its error.
type doubter func(v *logbook.View) ([]string, error)

// DoubtedMsg says what to ask before what was typed goes into the book.
type DoubtedMsg struct {
	F             *Form
	Doubts, Typed string
}

type savedMsg struct {
	f      *Form
	notice string
}

// failedMsg says that the book did not take it; everything typed stays.
type failedMsg struct {
	f   *Form
	err error
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
	var ahead []string
	if f.Question() == "" {
		ahead = f.ahead()
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
			doubts, err := doubtsOf(book, doubt)
			if err != nil {
				return failedMsg{f, err}
			}
			ahead = append(ahead, doubts...)
		}
		if len(ahead) > 0 {
			return DoubtedMsg{f, part.Clean(strings.Join(ahead, "; ")), typed}
		}
		said, err := save(book)
		if err != nil {
			return failedMsg{f, err}
		}
		return savedMsg{f, said}
	}
}

func doubtsOf(book *logbook.Book, doubt doubter) (doubts []string, err error) {
	err = book.View(func(v *logbook.View) error {
		doubts, err = doubt(v)
		return err
	})
	return doubts, err
}

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
