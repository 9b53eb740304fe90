package logbook

import (
	"testing"

	"pgregory.net/rapid"
)

func TestGuardAgainstFormulas(t *testing.T) {
	for _, c := range []struct{ text, exact, spreadsheet string }{
		{"", "", ""}, {"dull", "dull", "dull"}, {"'", "'", "'"}, {"'quoted'", "'quoted'", "'quoted'"}, {"''", "''", "''"},
		{"=1+2", "=1+2", "'=1+2"}, {"'=1+2", "''=1+2", "''=1+2"}, {"''=1", "'''=1", "'''=1"},
		{"@a", "@a", "'@a"}, {"-x", "-x", "'-x"}, {"+x", "+x", "'+x"}, {"\tx", "\tx", "'\tx"}, {"\rx", "\rx", "'\rx"},
		{"＝1", "＝1", "'＝1"},
		{"1/2", "1/2", "'1/2"}, {"0012", "0012", "'0012"}, {"'5", "''5", "''5"},
		{"2026-03-07 09:10", "2026-03-07 09:10", "'2026-03-07 09:10"}, {"1e5", "1e5", "'1e5"},
		{"12 drops", "12 drops", "12 drops"},
	} {
		if got := guard(c.text, false); got != c.exact {
			t.Errorf("exact %q is written %q, want %q", c.text, got, c.exact)
		}
		if got := guard(c.text, true); got != c.spreadsheet {
			t.Errorf("for a spreadsheet %q is written %q, want %q", c.text, got, c.spreadsheet)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(rapid.StringOf(rapid.SampledFrom([]rune("'=+-@\tax＝12/"))), awkward()).Draw(t, "text")
		for _, spreadsheet := range []bool{false, true} {
			written := guard(text, spreadsheet)
			if spreadsheet && misread(written) && written[0] != '\'' {
				t.Fatalf("%q is written as %q", text, written)
			}
			if back, _ := unguard([]byte(written)); string(back) != text {
				t.Fatalf("%q is written %q and read back %q", text, written, back)
			}
		}
	})
}
