package part

import (
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// A word that comes in one read is text, though it may be the name of a key: a slow line sends fast typing so.
func TestWordsInOneReadAreText(t *testing.T) {
	for _, word := range []string{"delete", "end", "home", "left", "backspace", "esc", "ctrl+u", "alt+d"} {
		f := NewField(&Env{Theme: &Theme{}}, 30)
		FocusField(&f)
		EditField(&f, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("ab")})
		EditField(&f, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(word)})
		if f.Value() != "ab"+word {
			t.Errorf("%q typed behind ab gives %q", word, f.Value())
		}
	}
}
