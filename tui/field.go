package tui

import (
	"github.com/charmbracelet/bubbles/cursor"
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"
)

// newField is a line of text being typed. Its cursor does not blink: a still screen is calm, and costs nothing. Keys that
// mean something to a whole screen are taken out of the field's own map.
func newField(e *env, w int) textinput.Model {
	f := textinput.New()
	f.Prompt = ""
	f.Width = w
	f.CharLimit = 500
	f.Cursor.Style = e.theme.Cursor
	_ = f.Cursor.SetMode(cursor.CursorStatic)
	f.KeyMap.Paste.SetEnabled(false) // would read the clipboard by running a program
	f.KeyMap.NextSuggestion.SetEnabled(false)
	f.KeyMap.PrevSuggestion.SetEnabled(false)
	f.KeyMap.AcceptSuggestion.SetEnabled(false)
	return f
}

// editField passes a key to a field.
func editField(f *textinput.Model, msg tea.KeyMsg) {
	*f, _ = f.Update(msg)
}

func focusField(f *textinput.Model) {
	_ = f.Focus()
	_ = f.Cursor.SetMode(cursor.CursorStatic)
	f.CursorEnd()
}
