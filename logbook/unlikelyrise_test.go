package logbook

import (
	"math"
	"strings"
	"testing"
)

// The greatest careful changes are max_change_per_day in testdata/reference/practice.json: alkalinity 0.5 dKH, nitrate
// 1 mg/L and phosphate 0.01 mg/L a day.
func TestUnlikelyRise(t *testing.T) {
	for _, c := range []struct {
		parameter string
		rise      float64
		want      string // "" where it is careful
	}{
		{"alkalinity", 0.5, ""},
		{"alkalinity", 0.9, "a rise of 0.90 dKH is more than the greatest careful one of 0.5 dKH a day"},
		{"alkalinity", 90, "180 times over: a slip"},
		{"phosphate", 0.01, ""},
		{"phosphate", 30, "a rise of 30.000 mg/L is more than the greatest careful one of 0.01 mg/L a day, 3000 times over"},
		{"nitrate", 1.5, "more than the greatest careful one of 1 mg/L a day"},
		{"nitrite", 3, ""}, // none is known
		{"nitrate", 0, ""},
	} {
		why := UnlikelyRise(standard(t, c.parameter), c.rise)
		if (why != "") != (c.want != "") || !strings.Contains(why, c.want) {
			t.Errorf("%s by %v: %q, want %q in it", c.parameter, c.rise, why, c.want)
		}
		if c.rise < 10*standard(t, c.parameter).MaxRise && strings.Contains(why, "slip") {
			t.Errorf("%s by %v: %q speaks of a slip", c.parameter, c.rise, why)
		}
	}
}

func TestImpossibleRise(t *testing.T) {
	p := standard(t, "alkalinity") // possible up to 100 dKH
	for _, c := range []struct {
		level, rise float64
		refused     bool
	}{{8, 92, false}, {8, 92.1, true}, {math.NaN(), 100, false}, {math.NaN(), 9000, true}, {8, 0, false}} {
		if err := ImpossibleRise(p, c.level, c.rise); (err != nil) != c.refused {
			t.Errorf("from %v by %v: %v", c.level, c.rise, err)
		}
	}
	own := Parameter{Name: "own", Unit: "mg/L"} // without limits
	if err := ImpossibleRise(own, 1, 1e9); err != nil {
		t.Errorf("a parameter without limits: %v", err)
	}
}

// 1 mg of phosphorus is 3.0662 mg of PO4: the atomic weights of practice.json.
func TestPlainPartsOfPhosphate(t *testing.T) {
	p := standard(t, "phosphate")
	for _, c := range []struct{ text, unit, want string }{
		{"33", "ppb", `read as ppb PO4; a photometer's ppb of phosphorus is written "ppb P" (that would be 0.101 mg/L)`},
		{"<33", "µg/L",
			`read as ug/L PO4; a photometer's ug/L of phosphorus is written "ug/L P" (that would be <0.101 mg/L)`},
		{"33", "ppb P", ""}, {"0.033", "", ""}, {"33", "ppb PO4", ""}, {"0", "ppb", ""},
	} {
		r, err := ParseReading(p, c.text, c.unit)
		if err != nil {
			t.Errorf("%s %s: %v", c.text, c.unit, err)
			continue
		}
		if note := UnitNote(p, r); note != c.want {
			t.Errorf("%s %s: %q, want %q", c.text, c.unit, note, c.want)
		}
	}
	iodine := standard(t, "iodine")
	r, err := ParseReading(iodine, "60", "ppb")
	if err != nil {
		t.Fatal(err)
	}
	if note := UnitNote(iodine, r); note != "" {
		t.Errorf("iodine in ppb: %q", note)
	}
}
