//go:build unix

package main

import (
	"strings"
	"testing"
)

// What holds of every screen: a way to each, by keys.

// screensByKey are the ways from the glance to each screen, and what stands there when all is loaded.
var screensByKey = []struct {
	name   string
	keys   []string
	shows  []string
	typing bool // letters are text there, or it has no key of its own to come back by
}{
	{name: "glance", shows: glanceLoaded},
	{name: "alerts", keys: []string{"a"},
		shows: []string{"leadline · alerts", "phosphate media done", "j down  esc back  ? help"}},
	{name: "parameter", keys: []string{enter},
		shows: []string{"forereef · phosphate", "7 ppb P = 0.021", "- wider  ? help"}},
	{name: "journal", keys: []string{"J"},
		shows: []string{"forereef · journal", "6 Mar 2026 09:10", "j down  esc back  ? help"}},
	{name: "what changed", keys: []string{"X"},
		shows: []string{"what changed?", "phosphate media done", "/ pick a date  ? help"}},
	{name: "chores and stock", keys: []string{"s"},
		shows: []string{"soda ash reservoir", "next 3 Apr", "j down  k up  ? help"}},
	{name: "table", keys: []string{"#"}, shows: []string{"rows of the last", "go to a date  ? help"}},
	{name: "help", keys: []string{"?"}, shows: []string{"next tank", "esc back"}},
	{name: "test day", keys: []string{"t"}, shows: []string{"forereef · test day", "ctrl+n note  F1 help"}, typing: true},
	{name: "what if", keys: []string{enter, "i"}, shows: []string{"what if: phosphate", "in 28 days", "esc back  F1 help"},
		typing: true},
	{name: "plan", keys: []string{enter, "P"},
		shows: []string{"plan: phosphate", "no supplement that raises phosphate", "F1 help"}, typing: true},
	{name: "band", keys: []string{"b"}, shows: []string{"forereef · band", "0.015", "F1 help"}, typing: true},
	{name: "one dose", keys: []string{"d"}, shows: []string{"forereef · one dose", "> rise", "mg/L", "esc back  F1 help"},
		typing: true},
	{name: "palette", keys: []string{":"}, shows: []string{"esc leave it"}, typing: true},
}

// seesExpectations waits until the engine has said of every parameter tested before what it expects.
func (e *emulator) seesExpectations() {
	e.t.Helper()
	e.until("seven expectations", func(screen string) bool {
		_, table, _ := strings.Cut(screen, "expected")
		table, _, _ = strings.Cut(table, "time")
		return strings.Count(table, "–") == 7
	})
}

// goTo presses the keys that lead to a screen, each when the one before is loaded.
func (e *emulator) goTo(keys, shows []string) {
	e.t.Helper()
	for i, key := range keys {
		e.press(key)
		if i < len(keys)-1 {
			e.sees("forereef · phosphate", "7 ppb P = 0.021")
		}
	}
	e.sees(shows...)
}

// A key without a meaning says where the keys are shown.
func TestWrongKeys(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	e := h.start(t, 80, 24, asOfDemo()...)
	e.sees(glanceLoaded...)
	for _, s := range screensByKey {
		if s.typing {
			continue
		}
		e.goTo(s.keys, s.shows)
		e.press("Z")
		e.sees("? shows the keys")
		if s.name != "glance" {
			e.press("q")
			e.sees(glanceLoaded...)
		}
	}
	e.press("q")
	e.leaves()
}

// Whatever the terminal's size becomes, no row runs over, the title stays, and nothing is left of another size.
func TestResizeEachScreen(t *testing.T) {
	if testing.Short() {
		t.Skip("walks through all screens at five sizes")
	}
	for _, s := range screensByKey {
		t.Run(s.name, func(t *testing.T) {
			h := newHousehold(t)
			h.demoBook(t)
			e := h.start(t, 80, 24, asOfDemo()...)
			e.sees(glanceLoaded...)
			e.goTo(s.keys, s.shows)
			if s.name == "test day" {
				e.seesExpectations()
			}
			if s.name == "glance" { // its last row stands before the rest does: change that row and back
				e.settles(escape)
			}
			settled := e.rests()
			for _, size := range [][2]int{{120, 40}, {40, 12}, {80, 24}, {30, 8}, {80, 24}} {
				e.resize(size[0], size[1])
				e.until("drawn anew", func(screen string) bool {
					first, _, _ := strings.Cut(screen, "\n")
					return strings.HasPrefix(first, "leadline ·") || size[0] < 40 && strings.HasPrefix(first, "leadline needs 40")
				})
				if size == [2]int{80, 24} {
					e.until("as it was before:\n"+settled, func(screen string) bool { return screen == settled })
				}
				if e.wrapped() {
					t.Errorf("at %v a row runs over:\n%s", size, e.screen())
				}
			}
			e.press(ctrlC)
			e.leaves()
		})
	}
}
