package logbook

import (
	"fmt"
	"strings"
)

// UnitNote says how a unit that people use for two things was read, and what the other one would be. It is for phosphate
// in plain ppb or ug/L: by this book's rule that is PO4, but photometers that show phosphorus say ppb too (common
// practice, no source), which is three times as much. The reading is one that ParseReading gave.
func UnitNote(p Parameter, r Reading) (note string, yes bool) {
	if p.Name != "phosphate" {
		return "", false
	}
	taken, err := p.FindUnit(r.Unit)
	if err != nil || strings.Contains(strings.ToUpper(r.Unit), "PO4") || (taken.Name() != "ppb" && taken.Name() != "ug/L") {
		return "", false
	}
	other, err := p.FindUnit(taken.Name() + " P")
	if err != nil {
		return "", false
	}
	typed, _, err := ParseValue(r.Text)
	if err != nil || typed == 0 {
		return "", false
	}
	sign := map[Bound]string{Below: "<", Above: ">"}[r.Bound]
	return fmt.Sprintf("read as %s PO4; a photometer's %[1]s of phosphorus is written %q (that would be %s)",
		taken.Name(), other.Name(), sign+withUnit(p.format(other.Canonical(typed)), p.Unit)), true
}
