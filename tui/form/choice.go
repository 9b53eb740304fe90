package form

import "strings"

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

// nearest puts the choices that begin with what is typed before those that hold it, and those before the others.
func nearest(text string, choices []string) []string {
	text = strings.ToLower(text)
	var begin, hold, rest []string
	for _, c := range choices {
		switch at := strings.Index(strings.ToLower(c), text); {
		case at == 0:
			begin = append(begin, c)
		case at > 0:
			hold = append(hold, c)
		default:
			rest = append(rest, c)
		}
	}
	return append(append(begin, hold...), rest...)
}

// cycle puts the next choice into the field, beginning with those that what is typed is part of.
func (f *Form) cycle(by int) {
	x := f.Fields[f.At]
	n := len(x.choices)
	if n == 0 {
		return
	}
	now := strings.TrimSpace(x.Input.Value())
	if x.edited {
		x.sought = now
	}
	choices := nearest(x.sought, x.choices)
	at := -1
	if by < 0 {
		at = 0
	}
	for i, c := range choices {
		if strings.EqualFold(c, now) {
			at = i
		}
	}
	x.Input.SetValue(choices[(at+by+n)%n])
	x.Input.CursorEnd()
	x.edited = false
}
