package tui

import (
	"strings"

	"leadline/tui/part"
)

type pasted struct {
	to   int
	text string
}

// splitPasted splits pasted lines over fields from one of them on. A line that begins with a parameter's name or code goes
// to that field. over is true where there are more lines than fields.
func splitPasted(text string, at int, fields []*testField) (lines []pasted, over bool) {
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == '\t' }) {
		line = strings.TrimSpace(part.Clean(line))
		if line == "" {
			continue
		}
		to := at
		if i, rest, ok := named(line, fields); ok {
			to, line = i, rest
		}
		if to >= len(fields) {
			return lines, true
		}
		lines = append(lines, pasted{to, line})
		at = to + 1
	}
	return lines, false
}

// named finds the field that a line such as "no3=4.2" or "nitrate 4.2" speaks of.
func named(line string, fields []*testField) (field int, rest string, ok bool) {
	name, rest, cut := strings.Cut(line, "=")
	if !cut {
		if name, rest, cut = strings.Cut(line, " "); !cut {
			return 0, "", false
		}
	}
	for i, f := range fields {
		p := f.Parameter
		if strings.EqualFold(strings.TrimSpace(name), p.Name) || strings.EqualFold(strings.TrimSpace(name), p.Code) {
			return i, strings.TrimSpace(rest), true
		}
	}
	return 0, "", false
}
