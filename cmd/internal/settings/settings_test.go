package settings

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"leadline/logbook"
)

// FuzzSettings reads any text as the file of settings. It is refused by line, or a key can be set in it, read back and
// taken out again, and all other lines stay.
func FuzzSettings(f *testing.F) {
	for _, text := range []string{"who = \"ann\" # noted down\nbackups = \"~/copies\"\n[units]\nphosphate = \"ppb P\"\n",
		"order = [\"calcium\",\n \"nitrate\"]\r\nmouse = true", "\ufeffplain = false\n", "book = '/a'\nbook = '/b'",
		"[units]\n[units]\n",
		"who = \"\"\"\nann\"\"\"\n", "[units", "who = 1979-05-27", "units.phosphate = 'ppb P'\n"} {
		f.Add(text)
	}
	known := logbook.Standard()
	f.Fuzz(func(t *testing.T, text string) {
		path := filepath.Join(t.TempDir(), "config.toml")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		s, err := Read(path, true)
		var refused logbook.Refusals
		if err != nil {
			if !errors.As(err, &refused) || len(refused) == 0 {
				t.Errorf("%q: %v", text, err)
			}
			return
		}
		if s.Check(known) != nil {
			return
		}
		now, set, err := s.Edit("who", "bo", known)
		if err != nil { // it says that only the keeper can
			return
		}
		if set.Who != "bo" {
			t.Errorf("%q: who is %q afterwards, of %q", text, set.Who, now)
		}
		for line := range strings.Lines(text) {
			line = strings.TrimSpace(line)
			if !strings.Contains(line, "who") && !strings.Contains(now, line) {
				t.Errorf("%q: the line %q is gone from %q", text, line, now)
			}
		}
	})
}
