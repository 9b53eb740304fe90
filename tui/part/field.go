package part

import (
	"errors"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// NewField is a line of text being typed. Its cursor does not blink: a still screen is calm, and costs nothing. Keys
// that mean something to a whole screen are taken out of the field's own map.
func NewField(e *Env, w int) textinput.Model {
	f := textinput.New()
	f.Prompt = ""
	f.Width = w
	f.CharLimit = 500
	f.Cursor.Style = e.Theme.Cursor
	_ = f.Cursor.SetMode(cursor.CursorStatic)
	f.KeyMap.Paste.SetEnabled(false) // would read the clipboard by running a program
	f.KeyMap.NextSuggestion.SetEnabled(false)
	f.KeyMap.PrevSuggestion.SetEnabled(false)
	f.KeyMap.AcceptSuggestion.SetEnabled(false)
	return f
}

// EditField passes a key to a field. A word that came in one read is text, though it may be the name of a key. What
// drives a terminal, such as a mark in pasted text that turns it round, is left out.
func EditField(f *textinput.Model, msg tea.KeyMsg) {
	msg.Paste = msg.Paste || msg.Type == tea.KeyRunes && len(msg.Runes) > 1
	msg.Runes = []rune(logbook.Clean(string(msg.Runes)))
	*f, _ = f.Update(msg)
}

// FocusField puts the cursor behind what is typed in a field.
func FocusField(f *textinput.Model) {
	_ = f.Focus()
	_ = f.Cursor.SetMode(cursor.CursorStatic)
	f.CursorEnd()
}

// RefusalText is a refusal as a field shows it: what is wrong and what to write. Switches of the command line are no
// help here.
func RefusalText(err error) string {
	r, is := errors.AsType[logbook.Refusal](err)
	if !is {
		return Clean(err.Error())
	}
	text := r.Reason
	switch {
	case strings.Contains(r.Hint, "the unit has its own place"): // in a table it has; a field takes both
		text += "; write the number first, and behind it a unit if it is another"
	case r.Hint != "" && !strings.Contains(r.Hint, "--"):
		text += "; " + r.Hint
	case strings.Contains(r.Hint, "use a point"):
		text += "; use a point"
	}
	return Clean(text)
}

// WhenText says how a time field is read by one of the ways of package entry.
func WhenText(read func(text string, now time.Time) (time.Time, error), text string, now time.Time) (string, error) {
	at, err := read(text, now)
	switch {
	case err != nil:
		return "", err
	case strings.TrimSpace(text) == "":
		return "empty is now; or 08:30, yesterday 18:00, mon, 26 Oct, " + now.Format("2006-01-02 15:04"), nil
	}
	return at.Format("Mon 2 Jan 2006 15:04"), nil
}
