package logbook

import (
	"strings"
	"testing"
)

// What a salinity instrument is taken to refer to is said where it was not typed.
func TestSalinityNote(t *testing.T) {
	p, _ := FindParameter(Standard(), "salinity")
	for unit, want := range map[string]string{"sg": "SG 25/25", "mS/cm": "compensates to 25 °C", "SG 20/20": "",
		"psu": ""} {
		text := map[string]string{"sg": "1.0264", "SG 20/20": "1.0264", "mS/cm": "53", "psu": "35"}[unit]
		r, err := ParseReading(p, text, unit)
		note := UnitNote(p, r)
		if err != nil || (note != "") != (want != "") || !strings.Contains(note, want) {
			t.Errorf("%s %s: %q, %v", text, unit, note, err)
		}
	}
}
