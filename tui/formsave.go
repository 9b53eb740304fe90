package tui

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// saver puts what was typed into the book and says so in a few words.
type saver func(b *logbook.Book) (string, error)

// doubter says in sentences what is unlikely about what was typed, so that it is asked about once; what cannot be at
// all is its error.
type doubter func(v *logbook.View) ([]string, error)

// formDoubtedMsg says what to ask before what was typed goes into the book.
type formDoubtedMsg struct {
	f             *form
	doubts, typed string
}

type formSavedMsg struct {
	f      *form
	notice string
}

// formFailedMsg says that the book did not take it; everything typed stays.
type formFailedMsg struct {
	f   *form
	err error
}

func (f *form) trySave() tea.Cmd {
	for i, x := range f.fields {
		if _, err := f.judge(x); err != nil {
			f.focus(i)
			f.message = x.label + ": " + clean(err.Error())
			return nil
		}
	}
	save, err := f.save(f)
	if err != nil {
		f.message = clean(err.Error())
		return nil
	}
	var doubt doubter
	var ahead []string
	if f.question() == "" {
		ahead = f.ahead()
		if f.doubt != nil {
			if doubt, err = f.doubt(f); err != nil {
				f.message = refusalText(err)
				return nil
			}
		}
	}
	f.saving = true
	book, typed := f.env.book, f.texts()
	return func() tea.Msg {
		if doubt != nil {
			doubts, err := doubtsOf(book, doubt)
			if err != nil {
				return formFailedMsg{f, err}
			}
			ahead = append(ahead, doubts...)
		}
		if len(ahead) > 0 {
			return formDoubtedMsg{f, clean(strings.Join(ahead, "; ")), typed}
		}
		said, err := save(book)
		if err != nil {
			return formFailedMsg{f, err}
		}
		return formSavedMsg{f, said}
	}
}

func doubtsOf(book *logbook.Book, doubt doubter) (doubts []string, err error) {
	err = book.View(func(v *logbook.View) error {
		doubts, err = doubt(v)
		return err
	})
	return doubts, err
}

// texts is everything that stands in the fields.
func (f *form) texts() string {
	var out []string
	for _, x := range f.fields {
		out = append(out, x.input.Value())
	}
	return strings.Join(out, "\x00")
}

// question is what was asked about what stands in the fields now; the next press to save answers it.
func (f *form) question() string {
	if f.doubts == "" || f.doubted != f.texts() {
		return ""
	}
	return f.doubts
}

func (f *form) judge(x *formField) (string, error) {
	text := strings.TrimSpace(x.input.Value())
	if x.check == nil {
		return "", nil
	}
	return x.check(f, text)
}
