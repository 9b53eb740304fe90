package logbook

import (
	"errors"
	"strings"
	"testing"
)

// Tables with semicolons or tabs hold decimal commas. One that can be read in one way only is read; all others are
// refused with line and column.
func TestDecimalCommasThatAreSafe(t *testing.T) {
	opt := csvOptions()
	opt.Tank, opt.Notes = "lagoon", &TableNotes{}
	for text, want := range map[string]string{
		"0,03": "0.03", "8,3": "8.3", "<0,02": "<0.02", "< 0,025": "< 0.025", "0,125": "0.125", "1300,125": "1300.125",
		"25,12": "25.12", "7": "7", "8.3": "8.3",
	} {
		for _, comma := range []string{";", "\t"} {
			got := readCSV(t, strings.ReplaceAll("time;parameter;value\n2026-03-07T09:00:00Z;ca;"+text+"\n", ";", comma), opt)
			wantLines(t, got, "2026-03-07T09:00:00Z lagoon calcium "+want+"|mg/L||")
			if has := strings.Contains(text, ","); (opt.Notes.DecimalCommas == 1) != has {
				t.Errorf("%s: %d decimal commas noted", text, opt.Notes.DecimalCommas)
			}
		}
	}
	for _, c := range []struct{ text, want string }{
		{"time;ca\n2026-03-07;1,300\n", `readings.csv:2: column ca: "1,300" can be 1.300 or 1300`},
		{"time;ca\n2026-03-07;>1,300\n", `readings.csv:2: column ca: ">1,300" can be >1.300 or >1300`},
		{"time;ca\n2026-03-07;1,300,000\n", `readings.csv:2: column ca: "1,300,000" is not a number`},
		{"time;ca\n2026-03-07;1.300,5\n", `readings.csv:2: column ca: "1.300,5" is not a number`},
		{"time;ca;alk\n2026-03-07;420,5;\n2026-03-08;;8.3\n",
			`readings.csv:3: column alk: "8.3" has a point, and line 2 a decimal comma`},
		{"time;ca;alk\n2026-03-07;420.5;\n2026-03-08;;8,3\n",
			`readings.csv:3: column alk: "8,3" has a decimal comma, and line 2 a point`},
		{"time;ca;alk\n2026-03-07;420,5;\n2026-03-08;;n.a.\n", `readings.csv:3: column alk: "n.a." is not a number`},
		{"time,ca\n2026-03-07,\"420,5\"\n", `readings.csv:2: column ca: "420,5" is not a number`},
	} {
		_, err := collectCSV(strings.NewReader(c.text), opt)
		var rs Refusals
		if !errors.As(err, &rs) || len(rs) != 1 || rs[0].Error() != c.want {
			t.Errorf("%q: %v, want %s", c.text, err, c.want)
		}
	}
	opt.DecimalComma = true
	wantLines(t, readCSV(t, "time;ca\n2026-03-07T09:00:00Z;1,300\n", opt),
		"2026-03-07T09:00:00Z lagoon calcium 1.300|mg/L||")
}

func TestLineThatNamesTheDelimiter(t *testing.T) {
	opt := csvOptions()
	for _, end := range []string{"\n", "\r\n", "\r"} {
		text := strings.ReplaceAll("sep=;\ntime;tank;parameter;value\n2026-03-07T09:00:00Z;a,b;ca;420\n", "\n", end)
		wantLines(t, readCSV(t, text, opt), "2026-03-07T09:00:00Z a,b calcium 420|mg/L||")
		_, err := collectCSV(strings.NewReader(strings.Replace(text, "420", "x", 1)), opt)
		if err == nil || !strings.HasPrefix(err.Error(), "readings.csv:3: column value: ") {
			t.Errorf("%v", err)
		}
	}
}

// A header that two delimiters cut alike is refused, and the other one named.
func TestHeaderThatCanBeCutTwoWays(t *testing.T) {
	opt := csvOptions()
	opt.Tank = "lagoon"
	const text = "Date;nitrate (mg/L, as N)\n2026-03-07T09:00:00Z;4,2\n"
	_, err := collectCSV(strings.NewReader(text), opt)
	var rs Refusals
	if !errors.As(err, &rs) || !strings.Contains(rs[0].Error(), "no column time") ||
		!strings.HasPrefix(rs[0].Hint, "it was cut at every comma: --delimiter semicolon cuts it there; or ") {
		t.Fatalf("%v, %+v", err, rs)
	}
	opt.Comma, opt.Map = ';', map[string]string{"no3": "nitrate (mg/L, as N)"}
	_, err = collectCSV(strings.NewReader(text), opt)
	if err == nil || !strings.Contains(err.Error(), `unit "mg/L, as N" is not known`) {
		t.Errorf("%v", err)
	}
	opt.Map, opt.Comma = nil, 0
	wantLines(t, readCSV(t, strings.ReplaceAll(text, "mg/L, as N", "mg/L as N"), opt),
		"2026-03-07T09:00:00Z lagoon nitrate 4.2|mg/L as N||")
}

func TestRowsAboveTheHeader(t *testing.T) {
	opt := csvOptions()
	opt.Skip = 2
	text := "harbour laboratory, all tanks\n\nprinted;on\ntime;tank;parameter;value\n2026-03-07T09:00:00Z;lagoon;ca;420\n"
	wantLines(t, readCSV(t, text, opt), "2026-03-07T09:00:00Z lagoon calcium 420|mg/L||")
	opt.Skip = 9
	if _, err := collectCSV(strings.NewReader(text), opt); err == nil ||
		!strings.Contains(err.Error(), "the file is empty") {
		t.Errorf("%v", err)
	}
}
