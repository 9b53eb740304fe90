package logbook

import (
	"errors"
	"math"
	"strings"
	"testing"
)

func standard(t testing.TB, name string) Parameter {
	t.Helper()
	p, ok := FindParameter(Standard(), name)
	if !ok {
		t.Fatalf("no parameter %s", name)
	}
	return p
}

func TestFindParameter(t *testing.T) {
	for typed, want := range map[string]string{"po4": "phosphate", "PO4": "phosphate", "Phosphate": "phosphate",
		"PH": "pH", " ph ": "pH", "temp": "temperature"} {
		if p, ok := FindParameter(Standard(), typed); !ok || p.Name != want {
			t.Errorf("%q found %q", typed, p.Name)
		}
	}
	for _, typed := range []string{"", "po", "chlorine"} {
		if p, ok := FindParameter(append(Standard(), Parameter{Name: "chromium"}), typed); ok {
			t.Errorf("%q found %q", typed, p.Name)
		}
	}
}

func TestParseValue(t *testing.T) {
	for _, c := range []struct {
		typed string
		value float64
		bound Bound
	}{
		{"4.2", 4.2, Exact}, {" 4.2 ", 4.2, Exact}, {"+4.2", 4.2, Exact}, {"4.", 4, Exact}, {".5", 0.5, Exact},
		{"0", 0, Exact},
		{"<0.02", 0.02, Below}, {"< 0.02", 0.02, Below}, {"<\u20090.02", 0.02, Below}, {"\u202f> 50\u00a0", 50, Above},
		{"-1.5", -1.5, Exact}, {"\u22121.5", -1.5, Exact}, {"1e-3", 0.001, Exact}, {"1E2", 100, Exact},
		{"\ufeff8.3\u200b", 8.3, Exact},
		{"0.0e-999", 0, Exact},
	} {
		v, b, err := ParseValue(c.typed)
		if err != nil || v != c.value || b != c.bound {
			t.Errorf("%q: %v %v %v", c.typed, v, b, err)
		}
	}
	if v, _, err := ParseValue("-0"); err != nil || math.Signbit(v) {
		t.Errorf("-0 gave %v, %v", v, err)
	}
}

func TestParseValueRefuses(t *testing.T) {
	for _, c := range []struct{ typed, reason, hint string }{
		{"", "empty", "leave out"},
		{"  \t", "empty", "leave out"},
		{"n/a", `"n/a" is not a number`, "leave out what was not measured"},
		{"-", "not a number", "leave out"},
		{"NaN", "not a number", ""}, {"Inf", "not a number", ""}, {"-inf", "not a number", ""},
		{"infinity", "not a number", ""},
		{"1e400", "too large", ""}, {"-1e400", "too large", ""}, {"1e-400", "too small", ""},
		{"0x1p-2", "not a number", ""}, {"1_000", "not a number", ""}, {"1 000", "not a number", ""},
		{"1,300", `"1,300" can be 1.300 or 1300`, "write 1.300 or 1300"},
		{"<1,300", `can be <1.300 or <1300`, "write <1.300"},
		{"1,234.5", "not a number", "thousands"},
		{"4.2 mg/L", "not a number", "unit"}, {"<", "not a number", "detection limit"}, {"<<1", "not a number", "<0.02"},
		{"≤1", "not a number", "<0.02"}, {"<=1", "not a number", "<0.02"}, {"--1", "not a number", ""},
		{"+-1", "not a number", ""},
		{"1.2.3", "not a number", ""}, {"1e", "not a number", ""}, {"e5", "not a number", ""}, {".", "not a number", ""},
		{"\x1b[31m4", "not a number", ""}, {"\u0664", "not a number", ""},
		{strings.Repeat("1", 41), "too long", ""},
	} {
		v, _, err := ParseValue(c.typed)
		var r Refusal
		if !errors.As(err, &r) {
			t.Errorf("%q gave %v, %v; want a refusal", c.typed, v, err)
			continue
		}
		if !strings.Contains(r.Reason, c.reason) || !strings.Contains(r.Hint, c.hint) {
			t.Errorf("%q: %q, hint %q", c.typed, r.Reason, r.Hint)
		}
		if strings.ContainsRune(r.Error(), 0x1b) {
			t.Errorf("%q: a terminal command is repeated", c.typed)
		}
	}
}

func TestParseReading(t *testing.T) {
	for _, c := range []struct {
		parameter, text, unit string
		value                 float64
		bound                 Bound
		keptUnit              string
	}{
		{"nitrate", "4.2", "", 4.2, Exact, "mg/L"},
		{"phosphate", "0.03", "ppm", 0.03, Exact, "ppm"},
		// 33 ppb P is 0.10118 mg/L PO4: 94.970/30.974 (standard atomic weights 2021, testdata/reference/units.json).
		{"phosphate", "33", " ppb P ", 33 * 94.970 / 30.974 / 1000, Exact, "ppb P"},
		{"phosphate", "<1", "ppb P", 94.970 / 30.974 / 1000, Below, "ppb P"},
		// 1 meq/L is 2.80385 dKH: 56.077/20, the same source.
		{"alkalinity", "2.9", "meq/L", 2.9 * 56.077 / 20, Exact, "meq/L"},
		{"temperature", "77", "°F", 25, Exact, "°F"},
		{"temperature", "-1.5", "", -1.5, Exact, "°C"},
		{"pH", "8.2", "", 8.2, Exact, "pH"},
	} {
		r, err := ParseReading(standard(t, c.parameter), c.text, c.unit)
		if err != nil {
			t.Errorf("%s %s %s: %v", c.parameter, c.text, c.unit, err)
			continue
		}
		if !(math.Abs(r.Value-c.value) <= 1e-12*math.Abs(c.value)) || r.Bound != c.bound || r.Unit != c.keptUnit ||
			r.Parameter != c.parameter || r.Text != c.text {
			t.Errorf("%s %s %s gave %+v", c.parameter, c.text, c.unit, r)
		}
	}
}

// A decimal comma is kept as a point, as files have it.
func TestParseReadingOfAComma(t *testing.T) {
	for typed, want := range map[string]string{"8,3": "8.3", "<0,02": "<0.02", "0,125": "0.125", "25,12": "25.12"} {
		if r, err := ParseReading(standard(t, "alkalinity"), typed, ""); err != nil || r.Text != want {
			t.Errorf("%s gave %+v, %v", typed, r, err)
		}
	}
}

func TestParseReadingRefuses(t *testing.T) {
	for _, c := range []struct{ parameter, text, unit, reason, hint string }{
		{"calcium", "1,300", "", `calcium: "1,300" can be 1.300 or 1300`, "write 1.300 or 1300"},
		{"nitrate", "4", "dKH", `"dKH" is not known for nitrate; accepted: mg/L`, ""},
		{"nitrate", "-0.1", "", "-0.1 mg/L is below zero", "<LIMIT"},
		{"nitrate", "<0", "", "nothing is below 0", "<LIMIT"},
		{"salinity", "350", "", "350 PSU is not possible: outside 0 to 60 PSU", "35 PSU"},
		{"salinity", "35", "SG 25/25", "35 SG 25/25 is not possible", "looks like PSU"},
		{"temperature", "77", "", "77 °C is not possible", "looks like °F: 77 °F is 25.0 °C"},
		{"pH", "82", "", "82 pH is not possible", "8.2 pH"},
		{"pH", ">14.5", "", "not possible", ""},
		{"alkalinity", "140", "dKH", "140 dKH is not possible", "looks like mg/L CaCO3: 140 mg/L CaCO3 is 7.84 dKH"},
	} {
		r, err := ParseReading(standard(t, c.parameter), c.text, c.unit)
		if err == nil {
			t.Errorf("%s %s %s gave %+v; want a refusal", c.parameter, c.text, c.unit, r)
			continue
		}
		if got := asRefusal(err); !strings.Contains(got.Error(), c.reason) || !strings.Contains(got.Hint, c.hint) {
			t.Errorf("%s %s %s: %q, hint %q", c.parameter, c.text, c.unit, got.Error(), got.Hint)
		}
	}
}

func TestParameterOfOnesOwnHasNoLimits(t *testing.T) {
	p := Parameter{Name: "redox", Unit: "mV"}
	r, err := ParseReading(p, "-120", "mV")
	if err != nil || r.Value != -120 {
		t.Errorf("%+v, %v", r, err)
	}
	if why, _ := Unlikely(p, r); why != "" {
		t.Error(why)
	}
}

func FuzzValue(f *testing.F) {
	for _, s := range []string{"4.2", "<0.02", "> 50", "0,03", "\u22121.5", "1e400", "NaN", "0x1p-2", "\x1b]0;x\a4"} {
		f.Add(s, "phosphate", "ppb P")
	}
	f.Fuzz(func(t *testing.T, text, parameter, unit string) {
		if v, _, err := ParseValue(text); err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
			t.Errorf("%q gave %v", text, v)
		}
		p, ok := FindParameter(Standard(), parameter)
		if !ok {
			return
		}
		r, err := ParseReading(p, text, unit)
		if err != nil {
			if strings.ContainsAny(asRefusal(err).Error(), "\n\x1b") {
				t.Errorf("%q %q: message %q", text, unit, err)
			}
			return
		}
		if low, high := p.limits(); !(r.Value >= low && r.Value <= high) {
			t.Errorf("%q %q of %s gave %v", text, unit, p.Name, r.Value)
		}
		again, err := ParseReading(p, r.Text, r.Unit)
		if err != nil || again != r {
			t.Errorf("%+v was read back as %+v, %v", r, again, err)
		}
	})
}

// What a program computed is read as it would have been typed; the digits are those of the parameter, 2 of dKH and 3 of
// phosphate.
func TestPlainDecimal(t *testing.T) {
	for _, c := range []struct{ parameter, unit, text, want string }{
		{"temperature", "", "25.599999999999998", "25.6"},
		{"temperature", "", "25.700000000000003", "25.7"},
		{"alkalinity", "", "8.333333333333334", "8.333333333333334"}, // a mean: what it says is kept
		{"phosphate", "", "0.028571428571428571", "0.028571428571428571"},
		{"phosphate", "", "<0.019999999999999999", "<0.02"},
		{"salinity", "SG", "1.0264999999999999", "1.0265"},
		{"temperature", "", "-1.2999999999999998", "-1.3"},
		{"alkalinity", "", "8.1234567", "8.1234567"}, // somebody may have typed it
		{"alkalinity", "", "8.1000000000000000", "8.1000000000000000"},
		{"phosphate", "", "0.00000000000000028571428", "0.00000000000000028571428"}, // not nothing
		{"phosphate", "", "2.8571428571428571e-2", "2.8571428571428571e-2"},
		{"phosphate", "", "not measured today", "not measured today"},
	} {
		if got := plainDecimal(c.text); got != c.want {
			t.Errorf("%s of %s: %s; want %s", c.text, c.parameter, got, c.want)
		}
	}
}

func TestSplit(t *testing.T) {
	for _, c := range []struct{ text, value, unit string }{
		{"4.2", "4.2", ""},
		{" 4.2 ", "4.2", ""},
		{"33 ppb P", "33", "ppb P"},
		{"33ppb P", "33", "ppb P"},
		{"420 430 ppm", "420 430", "ppm"}, // several results of one test
		{"<0.02", "<0.02", ""},
		{"< 0.02 mg/L", "< 0.02", "mg/L"},
		{">50mg/L", ">50", "mg/L"},
		{"8.3dKH", "8.3", "dKH"},
		{"1e3", "1e3", ""},
		{"1.5e-2 mg/L", "1.5e-2", "mg/L"},
		{"25 °C", "25", "°C"},
		{"-1", "-1", ""},
		{"0,03 mg/L", "0,03", "mg/L"}, // for the parser of values to refuse
		{"a lot", "a lot", ""},
		{"", "", ""},
		{"<", "<", ""},
	} {
		if value, unit := Split(c.text); value != c.value || unit != c.unit {
			t.Errorf("%q: %q and %q, want %q and %q", c.text, value, unit, c.value, c.unit)
		}
	}
}
