package logbook

import (
	"fmt"
	"strings"
)

// UnitNote says how a unit that people use for two things was read, and what the other one would be. The reading is one that
// ParseReading gave.
func UnitNote(p Parameter, r Reading) (note string, yes bool) {
	switch p.Name {
	case "phosphate":
		return phosphateNote(p, r)
	case "salinity":
		return salinityNote(p, r)
	}
	return "", false
}

// salinityNote says what an instrument is taken to refer to, where that was not typed: hydrometers and conductivity meters
// are made for several temperatures (common practice, no source).
func salinityNote(p Parameter, r Reading) (note string, yes bool) {
	taken, err := p.FindUnit(r.Unit)
	switch {
	case err != nil || strings.ContainsAny(r.Unit, "0123456789"):
		return "", false
	case strings.HasPrefix(taken.Name(), "SG "):
		return "read as " + taken.Name() + ", water of 25 °C against pure water of 25 °C; an instrument for another temperature is written SG 20/20 or SG 60/60", true
	case strings.HasSuffix(taken.Name(), "S/cm"):
		return "read as " + taken.Name() + " of a meter that compensates to 25 °C", true
	}
	return "", false
}

// phosphateNote is for plain ppb or ug/L: by this book's rule that is PO4, but photometers that show phosphorus say ppb too
// (common practice, no source), which is three times as much.
func phosphateNote(p Parameter, r Reading) (note string, yes bool) {
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
