package tui

import (
	"strings"

	"leadline/tui/part"

	tea "github.com/charmbracelet/bubbletea"
)

// paste splits pasted lines over the fields from the present one on. A line that begins with a parameter's name or code
// goes to that field.
func (d *testDay) paste(text string) tea.Cmd {
	if d.at == len(d.fields) || d.note {
		return nil
	}
	var cmds []tea.Cmd
	at := d.at
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == '\r' || r == '\t' }) {
		line = strings.TrimSpace(part.Clean(line))
		if line == "" {
			continue
		}
		to := at
		if i, rest, ok := d.named(line); ok {
			to, line = i, rest
		}
		if to >= len(d.fields) {
			d.Message = "more lines were pasted than there are fields"
			break
		}
		f := d.fields[to]
		before := f.input.Value()
		f.input.SetValue(line)
		cmds = append(cmds, d.changed(to, before))
		at = to + 1
	}
	d.focus(min(at, len(d.fields)-1))
	return tea.Batch(cmds...)
}

// named finds the field that a line such as "no3=4.2" or "nitrate 4.2" speaks of.
func (d *testDay) named(line string) (field int, rest string, ok bool) {
	name, rest, cut := strings.Cut(line, "=")
	if !cut {
		if name, rest, cut = strings.Cut(line, " "); !cut {
			return 0, "", false
		}
	}
	for i, f := range d.fields {
		p := f.Parameter
		if strings.EqualFold(strings.TrimSpace(name), p.Name) || strings.EqualFold(strings.TrimSpace(name), p.Code) {
			return i, strings.TrimSpace(rest), true
		}
	}
	return 0, "", false
}
