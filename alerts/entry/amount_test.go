package entry_test

import (
	"testing"

	"leadline/alerts/entry"
)

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
		if value, unit := entry.Split(c.text); value != c.value || unit != c.unit {
			t.Errorf("%q: %q and %q, want %q and %q", c.text, value, unit, c.value, c.unit)
		}
	}
}
