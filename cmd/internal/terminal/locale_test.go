package terminal

import (
	"strings"
	"testing"

	"leadline/alerts/picture"
)

// The order of the variables is that of IEEE 1003.1-2017, chapter 8.2, "Internationalization Variables".
func TestUTF8Locale(t *testing.T) {
	for _, test := range []struct {
		set    string
		system string
		want   bool
		said   string
	}{
		{"LANG=en_NZ.UTF-8", "linux", true, "LANG=en_NZ.UTF-8"},
		{"LANG=en_NZ.utf8", "linux", true, "LANG=en_NZ.utf8"},
		{"LANG=C", "linux", false, "LANG=C"},
		{"LANG=POSIX", "darwin", false, "LANG=POSIX"},
		{"LANG=de_DE.ISO-8859-1", "linux", false, "LANG=de_DE.ISO-8859-1"},
		{"LANG=C LC_CTYPE=C.UTF-8", "linux", true, "LC_CTYPE=C.UTF-8"},
		{"LANG=en_NZ.UTF-8 LC_CTYPE=C", "linux", false, "LC_CTYPE=C"},
		{"LANG=en_NZ.UTF-8 LC_ALL=C", "linux", false, "LC_ALL=C"},
		{"LANG=C LC_CTYPE=C LC_ALL=en_NZ.UTF-8", "linux", true, "LC_ALL=en_NZ.UTF-8"},
		{"LC_ALL= LC_CTYPE= LANG=C.UTF-8", "linux", true, "LANG=C.UTF-8"}, // empty is not set
		{"", "linux", false, ""},
		{"", "windows", true, ""},
		{"", "darwin", true, ""},
	} {
		env := map[string]string{}
		for _, pair := range strings.Fields(test.set) {
			name, value, _ := strings.Cut(pair, "=")
			env[name] = value
		}
		if got, said := Utf8Locale(func(name string) string { return env[name] }, test.system); got != test.want ||
			said != test.said {
			t.Errorf("%q on %s: %v by %q", test.set, test.system, got, said)
		}
	}
}

// However a text is parted into writes, it is the same in the end.
func TestRewriterKeepsCharactersWhole(t *testing.T) {
	const text = "level 0.022 mg/L (0.017–0.028) ●⠒⡐ 25.3 °C"
	for size := 1; size < 8; size++ {
		var out strings.Builder
		w := &Rewriter{To: &out, Rewrite: picture.InASCII}
		for rest := []byte(text); len(rest) > 0; {
			n := min(size, len(rest))
			if k, err := w.Write(rest[:n]); k != n || err != nil {
				t.Fatal(k, err)
			}
			rest = rest[n:]
		}
		if want := "level 0.022 mg/L (0.017-0.028) o-: 25.3 oC"; out.String() != want {
			t.Errorf("in pieces of %d: %q, want %q", size, out.String(), want)
		}
	}
}
