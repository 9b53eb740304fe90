package logbook

import (
	"strings"
	"testing"
)

// The slips are those of gross_errors in testdata/reference/practice.json; factors by the atomic weights there.
func TestUnlikelyNamesTheSlip(t *testing.T) {
	for _, c := range []struct{ parameter, text, unit, want string }{
		{"phosphate", "33", "ppm", "33 ppm is above the usual 0 to 2 mg/L; looks like ppb P: 33 ppb P is 0.101 mg/L; or " +
			"ppb: 33 ppb is 0.033 mg/L"},
		{"alkalinity", "2.9", "", "2.9 dKH is below the usual 4 to 15 dKH; looks like meq/L: 2.9 meq/L is 8.13 dKH"},
		{"alkalinity", "83", "", "the decimal point may have slipped: 8.3 dKH"},
		{"calcium", "1050", "", "looks like mg/L CaCO3: 1050 mg/L CaCO3 is 420 mg/L"},
		{"calcium", "42", "", "the decimal point may have slipped: 420 mg/L"},
		{"salinity", "1.0264", "", "looks like SG 25/25: 1.0264 SG 25/25 is 35.0 PSU"},
		{"salinity", "53.1", "", "looks like mS/cm: 53.1 mS/cm is 35.0 PSU"},
		{"iodine", "60", "", "looks like ppb: 60 ppb is 0.060 mg/L"},
	} {
		p := standard(t, c.parameter)
		r, err := ParseReading(p, c.text, c.unit)
		if err != nil {
			t.Errorf("%s %s: %v", c.parameter, c.text, err)
			continue
		}
		why, _ := Unlikely(p, r)
		if !strings.Contains(why, c.want) {
			t.Errorf("%s %s: %q, want %q in it", c.parameter, c.text, why, c.want)
		}
	}
}

// What is offered in place of a slip can be typed as it is, and is no slip itself.
func TestInsteadOfASlip(t *testing.T) {
	for _, c := range []struct{ parameter, text, unit, want string }{
		{"phosphate", "33", "", "33 ppb P"}, {"alkalinity", "2.9", "", "2.9 meq/L"}, {"calcium", "42", "", "420 mg/L"},
		{"phosphate", "0.03", "", ""},
	} {
		p := standard(t, c.parameter)
		r, err := ParseReading(p, c.text, c.unit)
		if err != nil {
			t.Fatal(err)
		}
		_, got := Unlikely(p, r)
		if want := strings.Replace(c.want, "mg/L", r.Unit, 1); got != want {
			t.Errorf("%s %s: %q, want %q", c.parameter, c.text, got, want)
		}
	}
}

// A number far from what is expected may be one in another unit: 0.02, read in mg/L, typed where a number is in ppb P.
// The factors are those of testdata/reference/units.json.
func TestMeant(t *testing.T) {
	for _, c := range []struct {
		parameter, text, unit string
		low, high             float64
		want                  string
	}{
		{"phosphate", "0.02", "ppb P", 0.01, 0.05, "0.02 mg/L"},
		{"phosphate", "<0.02", "ppb P", 0.01, 0.05, "<0.02 mg/L"},
		{"phosphate", "8", "mg/L", 0.01, 0.05, "8 ppb P"},
		{"phosphate", "0.3", "mg/L", 0.01, 0.05, "0.03 mg/L"},
		{"phosphate", "<0.3", "mg/L", 0.01, 0.05, ""},
		{"nitrate", "34", "mg/L", 3, 4, "3.4 mg/L"},
		{"nitrate", "20", "mg/L", 3, 4, ""},
		{"phosphate", "0", "ppb P", 0, 0.05, ""},
		{"alkalinity", "2.9", "dKH", 7.5, 8.5, "2.9 meq/L"},
	} {
		p := standard(t, c.parameter)
		r, err := ParseReading(p, c.text, c.unit)
		if err != nil {
			t.Fatal(err)
		}
		if got := Meant(p, r, c.low, c.high); got != c.want {
			t.Errorf("%s %s %s: %q, want %q", c.parameter, c.text, c.unit, got, c.want)
		}
	}
}

func TestLikelyReadingsAreNotAskedAbout(t *testing.T) {
	for _, c := range []struct{ parameter, text, unit string }{
		{"phosphate", "<0.02", ""}, {"phosphate", "2", ""}, {"alkalinity", "4", ""}, {"alkalinity", "15", ""},
		{"salinity", "1.0264", "SG 25/25"}, {"temperature", "77", "°F"}, {"nitrate", "0", ""}, {"nitrate", ">50", ""},
	} {
		p := standard(t, c.parameter)
		r, err := ParseReading(p, c.text, c.unit)
		if err != nil {
			t.Errorf("%s %s: %v", c.parameter, c.text, err)
			continue
		}
		if why, _ := Unlikely(p, r); why != "" {
			t.Errorf("%s %s %s: %s", c.parameter, c.text, c.unit, why)
		}
	}
}

func TestUnlikelyLeap(t *testing.T) {
	for _, c := range []struct {
		parameter, last, now, want string // want "": not asked about
	}{
		{"phosphate", "0.028", "0.33", "0.33 mg/L is ten times the last one or more, 0.028 mg/L"},
		{"phosphate", "0.028", "0.27", ""},
		{"phosphate", "0.09", "0.0001", "0.0001 mg/L is a tenth of the last one or less, 0.09 mg/L"},
		{"phosphate", "0.003", "0.03", ""}, // within what such tests repeat
		{"nitrate", "5", "<0.02", "<0.02 mg/L is a tenth of the last one or less, 5 mg/L"},
		{"nitrate", "5", "<60", ""},
		{"nitrate", "<0.5", "5", "5 mg/L is ten times"},
		{"nitrate", ">50", "4", "4 mg/L is a tenth"},
		{"nitrate", "<50", "4", ""},
		{"nitrate", "0", "5", ""},
		{"temperature", "-1", "25", ""},
	} {
		p := standard(t, c.parameter)
		last, err := ParseReading(p, c.last, "")
		if err != nil {
			t.Fatal(err)
		}
		r, err := ParseReading(p, c.now, "")
		if err != nil {
			t.Fatal(err)
		}
		if why := UnlikelyLeap(p, last, r); (why != "") != (c.want != "") || !strings.Contains(why, c.want) {
			t.Errorf("%s %s after %s: %q, want %q in it", c.parameter, c.now, c.last, why, c.want)
		}
	}
}
