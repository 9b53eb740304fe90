package logbook

import "strings"

// The wide form is how a keeper's spreadsheet looks: one row for each test day, one column for each parameter, the unit
// in the header behind it, and empty cells for what was not tested. For a file of one tank its name is given beside it.

type wideColumn struct {
	column    int
	parameter *typedParameter
	unit      string // "" is the canonical one
	unitFrom  UnitFrom
}

func (f *csvFile) addWide(i int, p *typedParameter, unit string) {
	from := UnitHeader
	switch given := f.opt.Units[p.Name]; {
	case unit == "":
		unit, from = given, UnitGiven
	case given != "" && !sameUnit(p.Parameter, unit, given):
		f.refuseCell(i, refuse(unit, "", "the header says %s, and another unit was given: %s", quote(unit), Clean(given)))
	}
	if unit == "" {
		from = UnitOwn
	}
	if _, err := p.FindUnit(unit); err != nil {
		f.refuseCell(i, refuse(unit, "", "%s", err))
	}
	for _, other := range f.header.wide {
		if other.parameter == p {
			f.refuseCell(i, refuse(f.header.names[i], "leave one of them out with --ignore", "columns %d and %d both hold %s",
				other.column+1, i+1, p.Name))
		}
	}
	f.header.wide = append(f.header.wide, wideColumn{i, p, unit, from})
}

// sameUnit reports whether two texts mean one unit.
func sameUnit(p Parameter, a, b string) bool {
	x, err := p.FindUnit(a)
	y, err2 := p.FindUnit(b)
	return err == nil && err2 == nil && x.Name() == y.Name()
}

// headerParameter reads "nitrate", "PO4 [ppb P]", "alk dKH", and a unit that only one parameter has: "PO4-P (mg/L)".
// nil if it is none of these.
func (f *csvFile) headerParameter(header string) (p *typedParameter, unit string) {
	if p, err := f.typed.parameter([]byte(header)); err == nil {
		return p, ""
	}
	if p, unit := f.bracketed(header); p != nil {
		return p, unit
	}
	name, unit, _ := strings.Cut(header, " ")
	if p, err := f.typed.parameter([]byte(name)); err == nil {
		return p, trim(unit)
	}
	var having []string
	for _, candidate := range f.typed.parameters {
		if _, err := candidate.FindUnit(header); err == nil {
			having = append(having, candidate.Name)
		}
	}
	if len(having) != 1 {
		return nil, ""
	}
	p, err := f.typed.parameter([]byte(having[0]))
	if err != nil {
		return nil, ""
	}
	return p, header
}

// bracketed reads a parameter and a unit in brackets, either of which may hold brackets itself; nil if it is not that.
func (f *csvFile) bracketed(header string) (p *typedParameter, unit string) {
	for i := len(header) - 1; i > 0; i-- {
		if unit, is := inBrackets(header[i:]); is {
			if p, err := f.typed.parameter([]byte(trim(header[:i]))); err == nil {
				return p, unit
			}
		}
	}
	return nil, ""
}

// inBrackets is a text without the brackets that it begins and ends with, if it does.
func inBrackets(text string) (inside string, is bool) {
	round := strings.HasPrefix(text, "(") && strings.HasSuffix(text, ")")
	square := strings.HasPrefix(text, "[") && strings.HasSuffix(text, "]")
	if !round && !square {
		return "", false
	}
	return trim(text[1 : len(text)-1]), true
}

// headerUnit is the unit of a parameter that a header gives: as a whole, as "PO4-P (mg/L)" does, in brackets, or behind
// a blank or an underscore: "orthophosphate ppb P"; "" without any. Of several ends that are units the longest says
// most.
func headerUnit(p *typedParameter, header string) string {
	isUnit := func(text string) bool {
		_, err := p.FindUnit(text)
		return err == nil && text != ""
	}
	if isUnit(header) {
		return header
	}
	for i := range header {
		if unit, is := inBrackets(header[i:]); is && i > 0 {
			return unit
		}
	}
	for i, c := range header {
		if end := trim(header[i:]); (c == ' ' || c == '_') && isUnit(strings.TrimLeft(end, "_")) {
			return strings.TrimLeft(end, "_")
		}
	}
	return ""
}

func (f *csvFile) readWide(r *Reading, refusedBefore int) {
	for _, w := range f.header.wide {
		if len(trimBytes(f.row.fields[w.column].text)) == 0 {
			continue
		}
		whole := len(f.refusals.all) == refusedBefore
		if f.readValue(r, w.parameter, w.column, []byte(w.unit), w.unitFrom) && whole {
			f.hand(r)
		}
		if whole && f.opt.SkipBad { // a cell that is left out takes no other with it
			refusedBefore = len(f.refusals.all)
		}
	}
}

// takeUnits takes the units of the columns from a row of them below the header, which has no date; false if the row is
// none.
func (f *csvFile) takeUnits() bool {
	if f.header.wide == nil || f.row.problem != nil || len(f.row.fields) != len(f.header.names) {
		return false
	}
	for _, column := range []int{f.header.time, f.header.date} {
		if text := strings.ToLower(string(f.cell(column))); text != "" && text != "unit" && text != "units" {
			return false
		}
	}
	units := make([]string, len(f.header.wide))
	some := false
	for i, w := range f.header.wide {
		units[i] = unitAlone(string(f.cell(w.column)))
		_, err := w.parameter.FindUnit(units[i])
		some = some || err == nil && units[i] != ""
		if isNumber(units[i]) {
			return false
		}
	}
	if !some {
		return false
	}
	columns := f.header.wide
	f.header.wide = nil
	for i, w := range columns {
		switch {
		case units[i] == "":
		case w.unitFrom == UnitHeader && !sameUnit(w.parameter.Parameter, units[i], w.unit):
			f.refuseCell(w.column, refuse(units[i], "", "the header says %s, and the row of units %s", quote(w.unit),
				quote(units[i])))
		default:
			w.unit = units[i]
		}
		f.addWide(w.column, w.parameter, w.unit)
	}
	f.headRefused = len(f.refusals.all) > 0
	return true
}

// unitAlone is a unit without the brackets it may stand in; "" for a dash.
func unitAlone(text string) string {
	if isDash([]byte(text)) {
		return ""
	}
	if inside, is := inBrackets(text); is {
		return inside
	}
	return trim(text)
}
