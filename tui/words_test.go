package tui

import (
	"os"
	"strings"
	"testing"
)

// Every word of a key stands in the table that says where the words of the screen come from.
func TestWordsAreListed(t *testing.T) {
	page, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, ok := strings.Cut(string(page), "## Words on the screen")
	if !ok {
		t.Fatal("no table of words")
	}
	table, _, _ := strings.Cut(after, "\n## ")
	for name, show := range scenes() {
		for _, then := range []string{"", "/"} { // the latter begins to type on the screens that have a line for it
			a := exampleApp(t, true, 80, 24)
			show(t, a)
			if then != "" {
				keysOf(a, then)
			}
			for _, c := range append(a.top().Commands(), a.commands()...) {
				if !strings.Contains(table, c.Words) {
					t.Errorf("%s: %q is not in the table", name, c.Words)
				}
			}
		}
	}
}
