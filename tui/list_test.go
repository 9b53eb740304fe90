package tui

import "testing"

// Every list goes by pages too, and stops at its ends.
func TestListsGoByPages(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	showBands(a, example(t)[0].Tank)
	s := a.top().(*bandPicker)
	for _, c := range []struct {
		key  string
		want int
	}{{"pgdown", pageLines}, {"pgdown", len(s.offers) - 1}, {"pgup", len(s.offers) - 1 - pageLines}, {"pgup", 0}, {"G", len(s.offers) - 1}} {
		if keysOf(a, c.key); s.at != c.want {
			t.Errorf("%s leads to line %d, want %d", c.key, s.at, c.want)
		}
	}
}
