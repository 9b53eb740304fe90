package logbook

import (
	"strings"
	"testing"
)

// The usual ranges are plausible_entry_limits in testdata/reference/practice.json; the possible ones are chosen in
// Standard. 10 ppb of phosphorus is 0.0307 mg/L of PO4.
func TestCheckBand(t *testing.T) {
	edge := func(v float64) *float64 { return &v }
	for _, c := range []struct {
		name            string
		parameter       string
		band            Band
		refusal, warned string // "" for none
	}{
		{"as usual", "phosphate", Band{Low: edge(0.03), High: edge(0.1), Floor: edge(0.02)}, "", ""},
		{"in another unit", "phosphate", Band{Low: edge(10), High: edge(33), Floor: edge(5), Unit: "ppb P"}, "", ""},
		{"floor above high", "phosphate", Band{Low: edge(0.03), High: edge(0.1), Floor: edge(5), Unit: "ppb P"},
			"floor 5 ppb P is not below high 0.1 ppb P", ""},
		{"low is high", "nitrate", Band{Low: edge(5), High: edge(5)}, "low 5 mg/L is not below high 5 mg/L", ""},
		{"upside down", "nitrate", Band{Low: edge(9), High: edge(2)}, "low 9 mg/L is not below high 2 mg/L", ""},
		{"impossible", "alkalinity", Band{Low: edge(700), High: edge(900)},
			"low 700 dKH is not possible: outside 0 to 100 dKH", ""},
		{"below zero", "nitrate", Band{Floor: edge(-1)}, "floor -1 mg/L is not possible", ""},
		{"no such gravity", "salinity", Band{Low: edge(35), Unit: "SG 25/25"}, "low 35 SG 25/25 is not possible", ""},
		{"unlikely", "alkalinity", Band{Low: edge(8), High: edge(70)}, "", "high 70 dKH is outside the usual 4 to 15 dKH"},
		{"floor above low", "phosphate", Band{Low: edge(0.03), High: edge(0.3), Floor: edge(0.2)}, "",
			"floor 0.2 mg/L is above low 0.03 mg/L"},
		{"too small", "phosphate", Band{Low: edge(0.03), High: edge(0.1), Unit: "ppb P"}, "",
			"low 0.03 ppb P is 0.000092 mg/L, too little"},
		{"parts in a thousand million", "phosphate", Band{Low: edge(30), High: edge(100), Floor: edge(15)}, "",
			"low 30 mg/L is outside the usual 0 to 2 mg/L; looks like ppb P: 30 ppb P is 0.092 mg/L; " +
				"or ppb: 30 ppb is 0.030 mg/L"},
		{"zero", "nitrate", Band{Low: edge(0)}, "", ""},
		{"unknown unit", "nitrate", Band{Low: edge(1), Unit: "furlong"}, "furlong", ""},
	} {
		warnings, instead, err := CheckBand(standard(t, c.parameter), c.band)
		switch {
		case (err != nil) != (c.refusal != ""), err != nil && !strings.Contains(err.Error(), c.refusal):
			t.Errorf("%s: refused with %v, want %q in it", c.name, err, c.refusal)
		case (len(warnings) > 0) != (c.warned != ""), !strings.Contains(strings.Join(warnings, "\n"), c.warned):
			t.Errorf("%s: warned of %q, want %q in it", c.name, warnings, c.warned)
		case (instead == "ppb P") != strings.Contains(c.warned, "looks like"):
			t.Errorf("%s: %q was meant", c.name, instead)
		}
	}
}
