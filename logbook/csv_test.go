package logbook

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"
	"time"
	"unicode/utf16"
)

func csvOptions() CSVOptions { return CSVOptions{File: "readings.csv", Parameters: Standard()} }

// readCSV reads a file that must be accepted, and tells every reading in one line.
func readCSV(t *testing.T, text string, opt CSVOptions) []string {
	t.Helper()
	recs, err := collectCSV(strings.NewReader(text), opt)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return tell(recs)
}

func tell(recs []Record) []string {
	var out []string
	for _, rec := range recs {
		r := rec.(Reading)
		out = append(out, fmt.Sprintf("%s %s %s %s|%s|%s|%s", FormatTime(r.Time), r.Tank, r.Parameter, r.Text, r.Unit,
			r.Method, r.Note))
	}
	return out
}

func wantLines(t *testing.T, got []string, want ...string) {
	t.Helper()
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

const twoReadings = "time,tank,parameter,value,unit,method,note\r\n" +
	"2026-03-07T09:10:00+13:00,forereef,phosphate,<1,ppb P,photometer-p,\r\n" +
	"2026-03-07T09:12:00+13:00,forereef,alk,8.3,,,\"cloudy, \"\"odd\"\"\"\r\n"

func TestCSVLongForm(t *testing.T) {
	want := []string{
		`2026-03-07T09:10:00+13:00 forereef phosphate <1|ppb P|photometer-p|`,
		`2026-03-07T09:12:00+13:00 forereef alkalinity 8.3|dKH||cloudy, "odd"`,
	}
	for name, text := range map[string]string{
		"CRLF":                twoReadings,
		"LF":                  strings.ReplaceAll(twoReadings, "\r\n", "\n"),
		"CR":                  strings.ReplaceAll(twoReadings, "\r\n", "\r"),
		"no last line end":    strings.TrimSuffix(twoReadings, "\r\n"),
		"byte order mark":     "\ufeff" + twoReadings,
		"semicolons":          strings.ReplaceAll(strings.ReplaceAll(twoReadings, ",", ";"), "cloudy;", "cloudy,"),
		"tabs":                strings.ReplaceAll(strings.ReplaceAll(twoReadings, ",", "\t"), "cloudy\t", "cloudy,"),
		"empty lines":         strings.ReplaceAll(twoReadings, "\r\n", "\r\n\r\n"),
		"rows of commas":      twoReadings + ",,,,,,\r\n , ,,,,,\r\n",
		"upper case header":   strings.Replace(twoReadings, "time,tank", "Time, TANK ", 1),
		"UTF-16 LE":           string(inUTF16(twoReadings, false, true)),
		"UTF-16 BE":           string(inUTF16(twoReadings, true, true)),
		"UTF-16 LE, unmarked": string(inUTF16(twoReadings, false, false)),
		"UTF-16 BE, unmarked": string(inUTF16(twoReadings, true, false)),
		"nameless column":     strings.ReplaceAll(twoReadings, "\r\n", ",\r\n"),
	} {
		t.Run(name, func(t *testing.T) { wantLines(t, readCSV(t, text, csvOptions()), want...) })
	}
}

func inUTF16(s string, bigEndian, marked bool) []byte {
	if marked {
		s = "\ufeff" + s
	}
	var out []byte
	for _, u := range utf16.Encode([]rune(s)) {
		if bigEndian {
			out = append(out, byte(u>>8), byte(u))
		} else {
			out = append(out, byte(u), byte(u>>8))
		}
	}
	return out
}

func TestCSVColumnsInAnyOrderAndMissing(t *testing.T) {
	got := readCSV(t, "value,parameter,time,tank\n4.2,no3,2026-03-07T09:10:00Z,lagoon\n", csvOptions())
	wantLines(t, got, `2026-03-07T09:10:00Z lagoon nitrate 4.2|mg/L||`)

	opt := csvOptions()
	opt.Tank, opt.Parameter, opt.Unit, opt.Method = "lagoon", "po4", "ppb P", "photometer"
	wantLines(t, readCSV(t, "time,value\n2026-03-07T09:10:00Z,12\n", opt),
		`2026-03-07T09:10:00Z lagoon phosphate 12|ppb P|photometer|`)

	// Given names stand for empty cells only.
	wantLines(t, readCSV(t, "time,value,tank,unit\n2026-03-07T09:10:00Z,12,,\n2026-03-07T09:10:00Z,0.1,forereef,ppm\n",
		opt),
		`2026-03-07T09:10:00Z lagoon phosphate 12|ppb P|photometer|`,
		`2026-03-07T09:10:00Z forereef phosphate 0.1|ppm|photometer|`)
}

func TestCSVTimesAreOfTheTanksZone(t *testing.T) {
	opt := csvOptions()
	opt.Zone = func(tank string) *time.Location {
		return loadZone(t, map[string]string{"forereef": "Pacific/Auckland", "lagoon": "Europe/Berlin"}[tank])
	}
	got := readCSV(t, "date,tank,parameter,value\n2026-03-07,forereef,no3,4\n2026-03-07,lagoon,no3,5\n", opt)
	wantLines(t, got, `2026-03-07T12:00:00+13:00 forereef nitrate 4|mg/L||`,
		`2026-03-07T12:00:00+01:00 lagoon nitrate 5|mg/L||`)

	got = readCSV(t, "date,time,tank,parameter,value\n2026-03-07,09:10,forereef,no3,4\n2026-03-08,,forereef,no3,5\n", opt)
	wantLines(t, got, `2026-03-07T09:10:00+13:00 forereef nitrate 4|mg/L||`,
		`2026-03-08T12:00:00+13:00 forereef nitrate 5|mg/L||`)
}

func TestCSVMapping(t *testing.T) {
	opt := csvOptions()
	opt.Tank, opt.Parameter = "river", "nitrate"
	opt.Map = map[string]string{"time": "Day", "value": "Result", "censored": "remark", "unit": "of"}
	opt.Ignore = []string{"lab"}
	got := readCSV(t, "Day,Result,remark,of,lab\n1990-09-18,0.05,true,mg/L as N,x\n1990-10-16,0.06,false,mg/L as N,y\n",
		opt)
	wantLines(t, got, `1990-09-18T12:00:00Z river nitrate <0.05|mg/L as N||`,
		`1990-10-16T12:00:00Z river nitrate 0.06|mg/L as N||`)

	opt = csvOptions()
	opt.Tank = "lagoon"
	opt.Map = map[string]string{"time": "Day", "no3": "second test (ppm)"}
	wantLines(t, readCSV(t, "Day,second test (ppm),po4\n2026-03-07,4,0.03\n", opt),
		`2026-03-07T12:00:00Z lagoon nitrate 4|ppm||`, `2026-03-07T12:00:00Z lagoon phosphate 0.03|mg/L||`)
}

func TestCSVDecimalComma(t *testing.T) {
	opt := csvOptions()
	opt.Tank, opt.DecimalComma = "lagoon", true
	got := readCSV(t, "time;parameter;value\n2026-03-07;po4;< 0,02\n2026-03-07;ca;420\n", opt)
	wantLines(t, got, `2026-03-07T12:00:00Z lagoon phosphate < 0.02|mg/L||`,
		`2026-03-07T12:00:00Z lagoon calcium 420|mg/L||`)
	if _, err := collectCSV(strings.NewReader("time;parameter;value\n2026-03-07;ca;1.300\n"), opt); err == nil {
		t.Error("1.300 may be 1300 or 1.3, and was read")
	}
}

func TestCSVWideForm(t *testing.T) {
	opt := csvOptions()
	opt.Tank = "forereef"
	got := readCSV(t, "Date;nitrate (mg/L);PO4 [ppb P];alk dKH;temp;SG;note\n"+
		"2026-03-07;4.2;<1;8.3;25.1;;dull\n"+
		"2026-03-14;;;;;1.0264;\n"+
		"2026-03-21;;;;;;\n", opt)
	wantLines(t, got,
		`2026-03-07T12:00:00Z forereef nitrate 4.2|mg/L||dull`,
		`2026-03-07T12:00:00Z forereef phosphate <1|ppb P||dull`,
		`2026-03-07T12:00:00Z forereef alkalinity 8.3|dKH||dull`,
		`2026-03-07T12:00:00Z forereef temperature 25.1|°C||dull`,
		`2026-03-14T12:00:00Z forereef salinity 1.0264|SG||`)

	got = readCSV(t, "time,tank,PO4-P (mg/L),method\n2026-03-07T09:00:00Z,lagoon,0.01,x\n", csvOptions())
	wantLines(t, got, `2026-03-07T09:00:00Z lagoon phosphate 0.01|PO4-P (mg/L)|x|`)
}

// A unit that is given beside the file stands for headers that have none, may say the same as a header and nothing
// else.
func TestCSVUnitsGiven(t *testing.T) {
	opt := csvOptions()
	opt.Tank, opt.Units, opt.Notes = "lagoon", map[string]string{"phosphate": "ppb P", "nitrate": "mg/L as N"},
		&TableNotes{}
	got := readCSV(t, "time,PO4,nitrate (mg/l N),alk\n2026-03-07T09:00:00Z,7,1,8\n", opt)
	wantLines(t, got, `2026-03-07T09:00:00Z lagoon phosphate 7|ppb P||`, `2026-03-07T09:00:00Z lagoon nitrate 1|mg/l N||`,
		`2026-03-07T09:00:00Z lagoon alkalinity 8|dKH||`)
	if n := opt.Notes; n.Columns[1].UnitFrom != UnitGiven || n.Columns[2].UnitFrom != UnitHeader ||
		n.Columns[3].UnitFrom != UnitOwn || len(n.OwnUnit) != 1 {
		t.Errorf("%+v", *n)
	}
	if _, err := collectCSV(strings.NewReader("time,PO4 (mg/L)\n2026-03-07T09:00:00Z,7\n"), opt); err == nil ||
		!strings.Contains(err.Error(), "another unit was given: ppb P") {
		t.Errorf("%v", err)
	}
	got = readCSV(t, "time,parameter,value,unit\n2026-03-07T09:00:00Z,po4,7,\n2026-03-07T09:00:00Z,po4,0.03,mg/L\n", opt)
	wantLines(t, got, `2026-03-07T09:00:00Z lagoon phosphate 7|ppb P||`,
		`2026-03-07T09:00:00Z lagoon phosphate 0.03|mg/L||`)
}

func TestCSVOfNoReadings(t *testing.T) {
	if recs, err := collectCSV(strings.NewReader(csvHeader+"\n"), csvOptions()); err != nil || len(recs) > 0 {
		t.Errorf("a header alone gave %v, %v", recs, err)
	}
}

// Everything that is refused: where, which column, and in what words.
func TestCSVRefuses(t *testing.T) {
	const head = "time,tank,parameter,value,unit,method,note\n"
	const good = "2026-03-07T09:10:00Z,lagoon,no3,4.2,,,\n"
	long := strings.Repeat("x", 2<<20)
	for _, c := range []struct {
		name, text string
		opt        func(*CSVOptions)
		want       []string // one for each refusal
	}{
		{"empty", "", nil, []string{"readings.csv: the file is empty"}},
		{"only a mark", "\ufeff", nil, []string{"the file is empty"}},
		{"only line ends", "\n\r\n\n", nil, []string{"the file is empty"}},
		{"spreadsheet", "PK\x03\x04\x14\x00", nil, []string{"a packed file"}},
		{"not a header", good, nil, []string{"no column time", "no column tank"}},
		{"no time", "tank,parameter,value\nlagoon,no3,4\n", nil, []string{"readings.csv:1: the header has no column time"}},
		{"no value", "time,tank,parameter\n2026-03-07,lagoon,no3\n", nil,
			[]string{"neither a column value nor one for a parameter"}},
		{"no tank", "time,parameter,value\n2026-03-07,no3,4\n", nil, []string{"no column tank"}},
		{"no parameter", "time,tank,value\n2026-03-07,lagoon,4\n", nil, []string{"no column parameter"}},
		{"duplicate header", "time,tank,parameter,value,Value\n" + good, nil,
			[]string{`readings.csv:1: column Value: two columns have the name "Value": 4 and 5`}},
		{"unknown column", "time,tank,parameter,value,mood\n2026-03-07,lagoon,no3,4,fine\n", nil,
			[]string{`readings.csv:1: column mood: "mood" is no field`}},
		{"unknown wide column", "time,tank,no3,mood\n2026-03-07,lagoon,4,fine\n", nil,
			[]string{`"mood" is no field or parameter`}},
		{"both forms", "time,tank,parameter,value,no3\n2026-03-07,lagoon,no3,4,5\n", nil,
			[]string{`column no3: "no3" is no field`}},
		{"wide twice", "time,tank,no3,nitrate (ppm)\n2026-03-07,lagoon,4,4\n", nil,
			[]string{"columns 3 and 4 both hold nitrate"}},
		{"wide with a bad unit", "time,tank,no3 (dKH)\n2026-03-07,lagoon,4\n", nil,
			[]string{`column no3 (dKH): unit "dKH" is not known for nitrate`}},
		{"mapping to nothing", head + good, func(o *CSVOptions) {
			o.Map = map[string]string{"value": "result"}
		}, []string{`there is no column "result" for value`}},
		{"mapping of nothing", head + good, func(o *CSVOptions) {
			o.Map = map[string]string{"result": "value"}
		}, []string{`"result" is neither a field nor a parameter`}},
		{"nothing to ignore", head + good, func(o *CSVOptions) {
			o.Ignore = []string{"mood"}
		}, []string{`there is no column "mood" to leave out`}},

		{"bad value", head + good + "2026-03-07T09:10:00Z,lagoon,po4,\"0,03\",,,\n", nil,
			[]string{`readings.csv:3: column value: "0,03" is not a number`}},
		{"wide bad value", "time,tank,po4\n2026-03-07,lagoon,\"0,03\"\n", nil,
			[]string{`readings.csv:2: column po4: "0,03" is not a number`}},
		{"empty value", head + "2026-03-07T09:10:00Z,lagoon,po4,,,,\n", nil, []string{"column value: the value is empty"}},
		{"NaN", head + "2026-03-07T09:10:00Z,lagoon,po4,NaN,,,\n", nil, []string{`column value: "NaN" is not a number`}},
		{"1e400", head + "2026-03-07T09:10:00Z,lagoon,po4,1e400,,,\n", nil, []string{`column value: "1e400" is too large`}},
		{"negative", head + "2026-03-07T09:10:00Z,lagoon,po4,-1,,,\n", nil, []string{`column value: -1 mg/L is below zero`}},
		{"salinity 350", head + "2026-03-07T09:10:00Z,lagoon,sal,350,,,\n", nil,
			[]string{`column value: 350 PSU is not possible`}},
		{"bad unit", head + "2026-03-07T09:10:00Z,lagoon,po4,1,dKH,,\n", nil,
			[]string{`column unit: unit "dKH" is not known for phosphate`}},
		{"bad parameter", head + "2026-03-07T09:10:00Z,lagoon,chlorine,1,,,\n", nil,
			[]string{`column parameter: "chlorine" is not a parameter`}},
		{"empty parameter", head + "2026-03-07T09:10:00Z,lagoon,,1,,,\n", nil,
			[]string{`column parameter: the parameter is empty`}},
		{"empty tank", head + "2026-03-07T09:10:00Z,,po4,1,,,\n", nil, []string{`column tank: the tank is empty`}},
		{"empty time", head + ",lagoon,po4,1,,,\n", nil, []string{`column time: the time is empty`}},
		{"ambiguous date", head + "03/04/2026,lagoon,po4,1,,,\n25/03/2026,lagoon,po4,1,,,\n", nil,
			[]string{`readings.csv:2: column time: "03/04/2026" can be 3 April or 4 March`}},
		{"impossible date", head + "2026-02-30,lagoon,po4,1,,,\n", nil, []string{"February 2026 has 28 days"}},
		{"several in a row", head + "x,,po4,y,,,\n", nil, []string{"column tank", "column time", "column value"}},
		{"several rows", head + "x,lagoon,po4,1,,,\n" + good + "y,lagoon,po4,1,,,\n", nil,
			[]string{"readings.csv:2: ", "readings.csv:4: "}},
		{"censored", "time,tank,parameter,value,censored\n2026-03-07,lagoon,po4,1,maybe\n", nil,
			[]string{`column censored: "maybe" is neither true nor false`}},

		{"ragged", head + "2026-03-07T09:10:00Z,lagoon,po4\n", nil,
			[]string{"readings.csv:2: the row has 3 fields, the header 7"}},
		{"ragged the other way", head + "2026-03-07T09:10:00Z,lagoon,po4,1,,,,x\n", nil,
			[]string{"the row has 8 fields, the header 7"}},
		{"nameless column", "time,tank,no3,\n2026-03-07,lagoon,4,5\n", nil,
			[]string{`column 4: "5" stands in a column without a name`}},
		{"stray quote", head + "2026-03-07T09:10:00Z,la\"goon,po4,1,,,\n" + good, nil,
			[]string{"readings.csv:2: column tank: a quotation mark in the middle"}},
		{"text behind a quote", head + "2026-03-07T09:10:00Z,\"la\"goon,po4,1,,,\n", nil,
			[]string{"column tank: text behind a closing quotation mark"}},
		{"unclosed quote", head + good + "2026-03-07T09:10:00Z,\"lagoon,po4,1,,,\n" + good, nil,
			[]string{"readings.csv:3: column tank: a quotation mark is opened and never closed"}},
		{"NUL", head + "2026-03-07T09:10:00Z,la\x00goon,po4,1,,,\n", nil, []string{"column tank: a NUL character"}},
		{"not UTF-8", head + "2026-03-07T09:10:00Z,lag\xfcn,po4,1,,,\n", nil,
			[]string{"readings.csv:2: the row is not UTF-8"}},
		{"very long field", head + good + "2026-03-07T09:10:00Z," + long + ",po4,1,,,\n" + good, nil,
			[]string{"readings.csv:3: the row does not end within 1 MiB"}},
		{"half a surrogate", string(inUTF16(head, false, true)) + "\x00\xd8x\x00", nil, []string{"begins as UTF-16"}},
		{"half a unit", string(inUTF16(head, false, true)) + "x", nil, []string{"begins as UTF-16"}},
		{"terminal commands", "time,tank,parameter,value\n2026-03-07,lagoon,po4,\x1b[31m1\n", nil,
			[]string{`column value: "1" is not a number`}},
		{"lines are counted over quoted ends", head +
			"2026-03-07T09:10:00Z,lagoon,no3,4.2,,,\"a\nb\r\nc\"\nx,lagoon,no3,4.2,,,\n", nil,
			[]string{"readings.csv:5: column time"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			opt := csvOptions()
			if c.opt != nil {
				c.opt(&opt)
			}
			recs, err := collectCSV(strings.NewReader(c.text), opt)
			var rs Refusals
			if !errors.As(err, &rs) {
				t.Fatalf("%d readings, %v; want refusals", len(recs), err)
			}
			for i, r := range rs {
				if i >= len(c.want) || !strings.Contains(r.Error(), c.want[i]) {
					t.Errorf("refusal %d is %q (hint %q)", i+1, r.Error(), r.Hint)
				}
				if strings.ContainsRune(r.Error()+r.Hint, 0x1b) {
					t.Errorf("a terminal command is repeated: %q %q", r.Error(), r.Hint)
				}
			}
			if len(rs) < len(c.want) {
				t.Errorf("%d refusals, want %d: %v", len(rs), len(c.want), rs)
			}
		})
	}
}

func TestRefusalsHaveAnEnd(t *testing.T) {
	var b strings.Builder
	b.WriteString("time,tank,parameter,value\n")
	for range 5000 {
		b.WriteString("2026-03-07,lagoon,no3,x\n")
	}
	_, err := collectCSV(strings.NewReader(b.String()), csvOptions())
	var rs Refusals
	if !errors.As(err, &rs) || len(rs) != mostRefusals+1 ||
		!strings.Contains(rs[mostRefusals].Reason, "reading ended here") {
		t.Fatalf("%d refusals", len(rs))
	}
	if lines := strings.Split(rs.Error(), "\n"); len(lines) != printedRefusals+1 ||
		lines[printedRefusals] != "... and 991 more" {
		t.Errorf("the message has %d lines: %s", len(lines), lines[len(lines)-1])
	}
}

func TestCSVStopsHandingOnAtTheFirstRefusal(t *testing.T) {
	n := 0
	err := EachCSV(strings.NewReader(
		"time,tank,parameter,value\n2026-03-07,lagoon,no3,1\n2026-03-08,lagoon,no3,x\n2026-03-09,lagoon,no3,3\n"),
		csvOptions(),
		func(Record) error { n++; return nil })
	if n != 1 || err == nil {
		t.Errorf("%d readings handed on, %v", n, err)
	}
	err = EachCSV(strings.NewReader("time,tank,parameter,value\n2026-03-07,lagoon,no3,1\n"), csvOptions(),
		func(Record) error { return errors.New("no room") })
	if err == nil || err.Error() != "readings.csv:2: no room" {
		t.Errorf("%v", err)
	}
}

func TestCSVReadErrorIsGivenBack(t *testing.T) {
	broken := io.MultiReader(strings.NewReader(twoReadings), iotest.ErrReader(os.ErrDeadlineExceeded))
	if _, err := collectCSV(broken, csvOptions()); !errors.Is(err, os.ErrDeadlineExceeded) {
		t.Errorf("%v", err)
	}
}

func TestCSVInDrops(t *testing.T) {
	recs, err := collectCSV(iotest.OneByteReader(bytes.NewReader(inUTF16(twoReadings, false, true))), csvOptions())
	if err != nil || len(recs) != 2 {
		t.Errorf("%d readings, %v", len(recs), err)
	}
}

// Two public series of a river; counts from the README beside them.
func TestCSVOfPublicSeries(t *testing.T) {
	for _, c := range []struct {
		file, parameter string
		readings, below int
	}{
		{"choptank_nitrate.csv", "nitrate", 606, 1},
		{"choptank_ammonia.csv", "ammonia", 182, 34},
	} {
		file, err := os.Open(filepath.Join("..", "testdata", "reference", "data", c.file))
		if err != nil {
			t.Fatal(err)
		}
		opt := csvOptions()
		opt.File, opt.Tank, opt.Parameter = c.file, "station", c.parameter
		opt.Map = map[string]string{"time": "date", "value": "value", "censored": "censored", "unit": "unit"}
		recs, err := collectCSV(file, opt)
		file.Close()
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		below := 0
		for _, rec := range recs {
			if rec.(Reading).Bound == Below {
				below++
			}
		}
		if len(recs) != c.readings || below != c.below {
			t.Errorf("%s: %d readings, %d below; want %d and %d", c.file, len(recs), below, c.readings, c.below)
		}
	}
}

func FuzzCSV(f *testing.F) {
	for _, s := range []string{
		twoReadings, string(inUTF16(twoReadings, false, true)), string(inUTF16(twoReadings, true, false)),
		"Date;nitrate (mg/L);PO4 [ppb P];temp\n2026-03-07;4.2;<1;25\n",
		"date,value,censored,unit\n1990-09-18,0.05,true,mg/L as N\n",
		"time,tank,parameter,value,note\n2026-03-07,a,po4,1,\"x\r\ny\"\n", "time\ttank\tpo4\n7 Mar 2026\ta\t1\n",
	} {
		f.Add([]byte(s), true)
	}
	f.Fuzz(func(t *testing.T, text []byte, defaults bool) {
		opt := csvOptions()
		if defaults {
			opt.Tank, opt.Parameter = "lagoon", "po4"
		}
		var rows []byte
		err := EachCSV(bytes.NewReader(text), opt, func(rec Record) error {
			r := rec.(*Reading)
			if r.Tank == "" || r.Parameter == "" || r.Text == "" || r.Time.IsZero() {
				t.Errorf("half a reading: %+v", r)
			}
			rows = exactRow(rows, r)
			return nil
		})
		var rs Refusals
		if err != nil {
			if !errors.As(err, &rs) {
				t.Fatalf("%v is not refusals", err)
			}
			for _, r := range rs {
				if r.Reason == "" || r.File == "" || strings.ContainsAny(r.Error()+r.Hint, "\n\x1b\x00") {
					t.Errorf("refusal %+v", r)
				}
			}
			return
		}
		// What was read is written and read back to the byte.
		var again []byte
		err = EachCSV(bytes.NewReader(append([]byte(csvHeader+",who\r\n"), rows...)), csvOptions(), func(rec Record) error {
			again = exactRow(again, rec.(*Reading))
			return nil
		})
		if err != nil || !bytes.Equal(rows, again) {
			t.Errorf("wrote %q\nread back as %q, %v", rows, again, err)
		}
		// The standard library is the outside opinion on what was written; it only turns CRLF inside fields into LF.
		std := csv.NewReader(bytes.NewReader(rows))
		std.FieldsPerRecord = 8
		if _, err := std.ReadAll(); err != nil {
			t.Errorf("package csv on %q: %v", rows, err)
		}
	})
}

// collectCSV is EachCSV collected.
func collectCSV(r io.Reader, opt CSVOptions) ([]Record, error) {
	var recs []Record
	err := EachCSV(r, opt, func(rec Record) error {
		recs = append(recs, *rec.(*Reading))
		return nil
	})
	return recs, err
}
