package tui

import (
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/charmbracelet/bubbles/key"
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
	groups := reflect.ValueOf(*newKeys())
	for i := range groups.NumField() {
		for j := range groups.Field(i).NumField() {
			b := groups.Field(i).Field(j).Interface().(key.Binding)
			if word := b.Help().Desc; !strings.Contains(table, word) {
				t.Errorf("%s.%s: %q is not in the table", groups.Type().Field(i).Name, groups.Field(i).Type().Field(j).Name, word)
			}
		}
	}
}
