package tui

import (
	"cmp"
	"os"
	"strings"
	"testing"
	"unicode"
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

// A letter means the same on every screen that knows it; where two screens word the same thing differently, it stands
// here.
func TestOneLetterOneMeaning(t *testing.T) {
	same := map[string]string{
		"done, or refilled": "chore done", "another tank beside": "lay another tank over", "only this column": "kind",
		"bring back": "strike", "ask again": "seen",
		"a week earlier": "earlier", "previous tank": "earlier", "a week later": "later", "next tank": "later",
	}
	means := map[string]string{}
	for name, show := range scenes() {
		a := exampleApp(t, true, 80, 24)
		show(t, a)
		for _, c := range append(a.top().Commands(), a.commands()...) {
			for _, key := range c.Keys {
				if len(key) != 1 || !unicode.IsLetter(rune(key[0])) {
					continue
				}
				words := cmp.Or(same[c.Words], c.Words)
				if was, known := means[key]; known && was != words {
					t.Errorf("%s: %s is %q, elsewhere %q", name, key, words, was)
				}
				means[key] = words
			}
		}
	}
}
