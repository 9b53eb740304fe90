package form

import (
	"io"
	"os"
	"slices"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
	"leadline/tui/part"
)

func bareEnv() *part.Env { return &part.Env{Theme: part.NewTheme(io.Discard, true, false, false)} }

func TestNearest(t *testing.T) {
	choices := []string{"KH mix", "Neo mix", "phosphate mix", "old Neo mix"}
	if got, want := nearest("neo", choices),
		[]string{"Neo mix", "old Neo mix", "KH mix", "phosphate mix"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// The other choice begins with what is typed, goes on through those that hold it, and reaches the rest.
func TestOtherChoiceGoesByWhatIsTyped(t *testing.T) {
	f := newForm(bareEnv(), logbook.Tank{}, "test", &formField{label: "supplement"})
	f.Fields[0].choices = []string{"KH mix", "phosphate mix", "potassium mix"}
	part.Press(f, tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("p")})
	for _, want := range []string{"phosphate mix", "potassium mix", "KH mix", "phosphate mix"} {
		part.Press(f, tea.KeyMsg{Type: tea.KeyCtrlO})
		if got := f.Value("supplement"); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

// Only a file is replaced, and asked about: a pipe or a device is written to.
func TestNoDoubtOfADevice(t *testing.T) {
	if asks, err := doubtFile(os.DevNull, os.DevNull); len(asks) > 0 || err != nil {
		t.Errorf("asks %q, %v", asks, err)
	}
}

// Every list goes by pages too, and stops at its ends.
func TestListsGoByPages(t *testing.T) {
	s := NewBandPicker(bareEnv(), logbook.Tank{}, nil)
	s.Room = 4
	last := len(s.offers) - 1
	g := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("G")}
	down, up := tea.KeyMsg{Type: tea.KeyPgDown}, tea.KeyMsg{Type: tea.KeyPgUp}
	for _, c := range []struct {
		key  tea.KeyMsg
		want int
	}{{down, 4}, {down, 8}, {up, 4}, {g, last}, {up, last - 4}, {down, last}} {
		if part.Press(s, c.key); s.At != c.want {
			t.Errorf("%s leads to line %d, want %d", c.key, s.At, c.want)
		}
	}
}
