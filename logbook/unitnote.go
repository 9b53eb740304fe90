package logbook

import (
	"fmt"
	"strings"
)

// UnitNote says how a unit that people use for two things was read, and what the other one would be. The reading is one that
// ParseReading gave.
//
// Hydrometers and conductivity meters are made for several temperatures, and which is taken is said where that was not
// typed. Plain ppb or ug/L of phosphate is PO4 by this book's rule, but photometers that show phosphorus say ppb too, which
// is three times as much (common practice, no source).
func UnitNote(p Parameter, r Reading) (note string, yes bool) {
	taken, err := p.FindUnit(r.Unit)
	if err != nil {
		return "", false
	}
	name := taken.Name()
	switch {
	case p.Name == "phosphate" && (name == "ppb" || name == "ug/L") && !strings.Contains(strings.ToUpper(r.Unit), "PO4"):
		other, err := p.FindUnit(name + " P")
		typed, _, wrong := ParseValue(r.Text)
		if err != nil || wrong != nil || typed == 0 {
			return "", false
		}
		return fmt.Sprintf("read as %s PO4; a photometer's %[1]s of phosphorus is written %q (that would be %s)",
			name, other.Name(), r.Bound.Sign()+p.withUnit(other.Canonical(typed))), true
	case p.Name != "salinity" || strings.ContainsAny(r.Unit, "0123456789"):
		return "", false
	case strings.HasPrefix(name, "SG "):
		return "read as " + name + ", water of 25 °C against pure water of 25 °C; an instrument for another temperature is written SG 20/20 or SG 60/60", true
	case strings.HasSuffix(name, "S/cm"):
		return "read as " + name + " of a meter that compensates to 25 °C", true
	}
	return "", false
}
