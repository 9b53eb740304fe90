package tui

import (
	"strings"
)

// pick finds the choice that text means: the same word, or the only one that begins with it.
func pick(text string, choices []string) (string, bool) {
	found := ""
	for _, c := range choices {
		if strings.EqualFold(c, text) {
			return c, true
		}
		if text != "" && strings.HasPrefix(strings.ToLower(c), strings.ToLower(text)) {
			if found != "" {
				return "", false
			}
			found = c
		}
	}
	return found, found != ""
}

// cycle puts the next choice into the field.
func (f *form) cycle(by int) {
	x := f.fields[f.at]
	n := len(x.choices)
	if n == 0 {
		return
	}
	at := -1
	if by < 0 {
		at = 0
	}
	now, _ := pick(strings.TrimSpace(x.input.Value()), x.choices)
	for i, c := range x.choices {
		if c == now {
			at = i
		}
	}
	x.input.SetValue(x.choices[(at+by+n)%n])
	x.input.CursorEnd()
	x.edited = false
}
