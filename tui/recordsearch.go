package tui

import (
	"strings"
	"time"

	"leadline/logbook"
)

// says reports whether a line, as it stands on the screen, has a text of small letters in it: its moment, what it is, whether
// and why it was struck, its note. The code of its parameter counts as well.
func (r record) says(text string, zone *time.Location) bool {
	if text == "" || strings.Contains(strings.ToLower(r.words()+"  "+r.note), text) || strings.HasPrefix(r.code, text) {
		return true
	}
	mayBeDate := text[0] >= '0' && text[0] <= '9' || strings.Contains("jan feb mar apr may jun jul aug sep oct nov dec", text[:min(3, len(text))])
	return mayBeDate && strings.Contains(strings.ToLower(r.entry.When().In(zone).Format("2 Jan 2006 15:04")), text)
}

// codeOf is the code of the parameter that an entry is about, in small letters; "" if it is about none.
func codeOf(e logbook.Entry, all []logbook.Parameter) string {
	name := ""
	switch e := e.(type) {
	case logbook.Reading:
		name = e.Parameter
	case logbook.Dose:
		name = e.Parameter
	case logbook.Dosing:
		name = e.Parameter
	}
	p, _ := logbook.FindParameter(all, name)
	return strings.ToLower(p.Code)
}
