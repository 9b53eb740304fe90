package logbook

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// readBack reads an export with what its options say of it.
func readBack(t testing.TB, text []byte, opt ExportOptions, ps []Parameter,
	zone func(string) *time.Location) []Reading {
	t.Helper()
	var rs []Reading
	in := CSVOptions{File: "export.csv", Parameters: ps, DecimalComma: opt.DecimalComma, Zone: zone}
	err := EachCSV(bytes.NewReader(text), in, func(rec Record) error {
		rs = append(rs, *rec.(*Reading))
		return nil
	})
	if err != nil {
		t.Fatalf("%+v: %v\n%q", opt, err, text)
	}
	return rs
}

// said tells readings, sorted: the same multiset gives the same lines.
func said(rs []Reading, tell func(Reading) string) string {
	var lines []string
	for _, r := range rs {
		lines = append(lines, tell(r))
	}
	slices.Sort(lines)
	return strings.Join(lines, "\n")
}

func tellAll(r Reading) string {
	return fmt.Sprintf("%q %s %s %q %q %q %q %q", r.Tank, r.Parameter, FormatTime(r.Time), r.Text, r.Unit, r.Method,
		r.Note, r.Who)
}

// tellValue tells what must come through any option: the moment, and the value to the five digits that a conversion
// keeps.
func tellValue(r Reading) string {
	return fmt.Sprintf("%q %s %d %d %.5g", r.Tank, r.Parameter, r.Time.UnixNano(), r.Bound, r.Value)
}

// combinations are all that the options of a table can be together.
func combinations() []ExportOptions {
	auckland := time.FixedZone("", 13*3600)
	var all []ExportOptions
	for _, wide := range []bool{false, true} {
		for _, spreadsheet := range []bool{false, true} {
			for _, comma := range []rune{0, ',', ';', '\t'} {
				for _, decimalComma := range []bool{false, true} {
					for _, clock := range []bool{false, true} {
						for _, zone := range []*time.Location{nil, auckland} {
							for _, units := range []map[string]string{nil,
								{"phosphate": "ppb P", "alkalinity": "meq/L", "chromium": "ng/L"}} {
								for _, columns := range [][]string{nil, {"date", "time", "tank"}, {"method", "tank", "note", "time", "who"}} {
									if len(columns) > 0 && !wide {
										columns = append(slices.Clone(columns), "unit", "parameter", "value")
									} else if len(columns) > 0 {
										columns = append(slices.Clone(columns), "nitrate", "cr", "po4", "alkalinity")
									}
									all = append(all, ExportOptions{Wide: wide, Spreadsheet: spreadsheet, Comma: comma, DecimalComma: decimalComma,
										WallClock: clock, Zone: zone, Units: units, Columns: columns})
								}
							}
						}
					}
				}
			}
		}
	}
	return all
}

// TestTablesRoundTrip writes books by every combination of options, each of one book, and reads them back.
func TestTablesRoundTrip(t *testing.T) {
	const books = 6
	for seed := range books {
		b := testBook(t)
		if _, err := b.Import(rapid.Custom(drawRecords).Example(seed)); err != nil {
			t.Fatal(err)
		}
		var ps []Parameter
		var tanks []Tank
		mustView(t, b, func(v *View) (err error) {
			if ps, err = v.Parameters(); err == nil {
				tanks, err = v.Tanks()
			}
			return err
		})
		all := allReadings(t, b)
		if len(all) == 0 {
			continue
		}
		for i, opt := range combinations() {
			if i%books != seed {
				continue
			}
			zone := func(name string) *time.Location {
				if i := slices.IndexFunc(tanks, func(t Tank) bool { return t.Name == name }); i >= 0 && opt.Zone == nil {
					return tanks[i].Zone()
				}
				return opt.Zone
			}
			text := exportCSV(t, b, opt)
			want := slices.Clone(all)
			if named := opt.Wide && opt.Columns != nil; named {
				want = slices.DeleteFunc(want, func(r Reading) bool {
					return !slices.Contains([]string{"nitrate", "chromium", "phosphate", "alkalinity"}, r.Parameter)
				})
			}
			if len(want) == 0 && opt.Wide {
				continue
			}
			got := readBack(t, text, opt, ps, zone)
			if done := mustImport(t, b, records(got)...); done.Added != 0 {
				t.Errorf("%+v: a book's own table adds %d of %d readings to it", opt, done.Added, len(got))
			}
			if a, b := said(got, tellValue), said(want, tellValue); a != b {
				t.Fatalf("%+v: read back\n%s\nwant\n%s\nfrom %q", opt, a, b, text)
			}
			exact := !opt.Wide && !opt.WallClock && opt.Zone == nil && opt.Units == nil && !slices.Contains(opt.Columns, "date")
			if a, b := said(got, tellAll), said(want, tellAll); exact && a != b {
				t.Fatalf("%+v: read back\n%s\nwant\n%s\nfrom %q", opt, a, b, text)
			}
		}
	}
}

func TestWideTable(t *testing.T) {
	b := testBook(t)
	at := func(day, hour int) time.Time {
		return time.Date(2026, 3, day, hour, 0, 0, 0, time.FixedZone("", 13*3600))
	}
	r := func(when time.Time, parameter, text, unit, method string) Reading {
		i := slices.IndexFunc(Standard(), func(p Parameter) bool { return p.Name == parameter })
		out, err := ParseReading(Standard()[i], text, unit)
		if err != nil {
			t.Fatal(err)
		}
		out.Time, out.Tank, out.Method = when, "lagoon", method
		return out
	}
	mustAppend(t, b, Tank{Name: "lagoon", Timezone: "Pacific/Auckland"}, r(at(1, 9), "phosphate", "0.0307", "mg/L", "a"),
		r(at(8, 9), "phosphate", "<1", "ppb P", "a"),
		r(at(1, 9), "alkalinity", "8.30", "dKH", "b"), r(at(1, 9), "alkalinity", "8.4", "dKH", "b"))
	for _, c := range []struct {
		opt  ExportOptions
		want []string
	}{
		{ExportOptions{Wide: true}, []string{"time,tank,alkalinity (dKH),phosphate (ppb P)",
			// 30.7 ug/L of PO4 as P: times 30.974 / (30.974 + 4 × 15.999) (abridged standard atomic weights, IUPAC 2021)
			"2026-03-01T09:00:00+13:00,lagoon,8.30,10.0127", "2026-03-01T09:00:00+13:00,lagoon,8.4,",
			"2026-03-08T09:00:00+13:00,lagoon,,<1"}},
		{ExportOptions{Wide: true, WallClock: true, DecimalComma: true, Units: map[string]string{"phosphate": "mg/L"},
			Columns: []string{"date", "time", "alk", "po4", "method"}},
			[]string{"date;time;alkalinity (dKH);phosphate (mg/L);method", "2026-03-01;09:00:00;;0,0307;a",
				"2026-03-01;09:00:00;8,30;;b",
				"2026-03-01;09:00:00;8,4;;b", "2026-03-08;09:00:00;;<0,00306612;a"}},
		{ExportOptions{Zone: time.UTC, Columns: []string{"time", "parameter", "value", "unit"}, Comma: '\t'},
			[]string{"time\tparameter\tvalue\tunit", "2026-02-28T20:00:00Z\talkalinity\t8.30\tdKH",
				"2026-02-28T20:00:00Z\talkalinity\t8.4\tdKH",
				"2026-02-28T20:00:00Z\tphosphate\t0.0307\tmg/L", "2026-03-07T20:00:00Z\tphosphate\t<1\tppb P"}},
	} {
		if got, want := string(exportCSV(t, b, c.opt)), strings.Join(c.want, "\r\n")+"\r\n"; got != want {
			t.Errorf("%+v:\n%s\nwant\n%s", c.opt, got, want)
		}
	}
}

func TestTablesThatAreRefused(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "lagoon"}, testReading("lagoon", "phosphate", testTime(1, 0), "1e-44", 1e-44))
	for want, opt := range map[string]ExportOptions{
		`"mood" is not a column`:                  {Columns: []string{"time", "mood"}},
		`"po4" is a column of the wide form`:      {Columns: []string{"time", "po4"}},
		`the wide form has no column value`:       {Wide: true, Columns: []string{"time", "value"}},
		`the column "tank" is named twice`:        {Columns: []string{"tank", "tank"}},
		`the column "phosphate" is named twice`:   {Wide: true, Columns: []string{"po4", "phosphate"}},
		`values without their parameter and unit`: {Columns: []string{"time", "value"}},
		`a delimiter can be a comma`:              {Comma: '|'},
		`unit "dKH" is not known for phosphate`:   {Units: map[string]string{"phosphate": "dKH"}},
		`1e-44 mg/L of lagoon at `:                {Units: map[string]string{"phosphate": "ppb P"}},
	} {
		var out bytes.Buffer
		err := b.View(func(v *View) error { return WriteCSV(&out, v, opt) })
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %s", opt, err, want)
		}
	}
}

func TestConvertedValuesKeepTheirDigits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ps := append(Standard(), chromium())
		p := rapid.SampledFrom(ps).Draw(t, "parameter")
		u, err := p.FindUnit("")
		if err != nil {
			t.Fatal(err)
		}
		r := Reading{Tank: "lagoon", Parameter: p.Name, Unit: u.Name(),
			Bound: rapid.SampledFrom([]Bound{Exact, Below, Above}).Draw(t, "bound"),
			Value: rapid.Float64Range(max(p.AskLow, 1e-4), p.AskHigh).Draw(t, "value")}
		wanted := map[string]string{"phosphate": "ppb P", "nitrate": "mg/L N", "alkalinity": "meq/L", "temperature": "°F",
			"salinity": "SG", "chromium": "mg/L"}[p.Name]
		text, err := convertedText(p, &r, wanted)
		if wanted == "" || err != nil {
			t.Skip("no other unit, or none that can say it")
		}
		back, err := ParseReading(p, text, wanted)
		if err != nil || back.Bound != r.Bound || math.Abs(back.Value-r.Value) > 2e-3*r.Value {
			t.Fatalf("%v %s is written %q %s and read back as %v, %v", r.Value, p.Unit, text, wanted, back.Value, err)
		}
	})
}

func records(rs []Reading) (recs []Record) {
	for _, r := range rs {
		recs = append(recs, r)
	}
	return recs
}

// A table of before a strike brings the struck reading back in no form, and a new test of its moment is added.
func TestOwnTableOfStruckReadings(t *testing.T) {
	b := testBook(t)
	r := testReading("lagoon", "phosphate", testTime(0, 0), "0.03", 0.03)
	other := testReading("lagoon", "phosphate", testTime(0, 0), "0.05", 0.05)
	computed := testReading("lagoon", "phosphate", testTime(0, 30), "0.028571428571428571", 0.028571428571428571)
	ids := mustAppend(t, b, Tank{Name: "lagoon"}, r, r, other, computed)
	var tables [][]Reading
	zone := func(string) *time.Location { return time.UTC }
	for _, opt := range []ExportOptions{{}, {Wide: true}, {Zone: time.UTC},
		{Units: map[string]string{"phosphate": "ppb P"}}, {Wide: true, WallClock: true, Zone: time.UTC}} {
		tables = append(tables, readBack(t, exportCSV(t, b, opt), opt, Standard(), zone))
	}
	for _, id := range ids[1:3] { // both of those that say the same
		if _, err := b.Strike(Strike{Target: id, Time: testTime(1, 0)}, nil); err != nil {
			t.Fatal(err)
		}
	}
	for i, table := range tables {
		diff(t, fmt.Sprintf("table %d", i), mustImport(t, b, records(table)...), Imported{Already: 4, ByKind: map[Kind]int{}})
	}
	again := other
	again.Method, again.Note = "card", "second test"
	if done := mustImport(t, b, again); done.Added != 1 {
		t.Errorf("a test of the same moment with a note of its own: %+v", done)
	}
	third := other
	third.Text, third.Value = "0.06", 0.06
	if done := mustImport(t, b, third); done.Added != 1 {
		t.Errorf("another value: %+v", done)
	}
}

// One test that was noted twice is told from two tests, and from an instrument that is read all day.
func TestTwice(t *testing.T) {
	at := func(minute int, text string, value float64) Record {
		return testReading("lagoon", "nitrate", testTime(0, minute), text, value)
	}
	by := func(r Record, method string) Record {
		reading := r.(Reading)
		reading.Method = method
		return reading
	}
	for _, c := range []struct {
		name        string
		there, read []Record
		twice       int
	}{
		{"alone", nil, []Record{at(0, "5", 5)}, 0},
		{"the same line twice", nil, []Record{at(0, "5", 5), at(0, "5", 5)}, 1},
		{"minutes later in the file", nil, []Record{at(0, "5", 5), at(4, "5.0", 5)}, 1},
		{"minutes from one in the book, before or after", []Record{at(60, "5", 5), at(200, "7", 7)},
			[]Record{at(64, "5", 5), at(195, "7", 7)}, 2},
		{"an hour later", []Record{at(0, "5", 5)}, []Record{at(60, "5", 5)}, 0},
		{"another value", []Record{at(0, "5", 5)}, []Record{at(4, "5.5", 5.5)}, 0},
		{"another method", []Record{at(0, "5", 5)}, []Record{by(at(4, "5", 5), "drops")}, 0},
		{"the very reading of the book is added no second time", []Record{at(0, "5", 5)}, []Record{at(0, "5", 5)}, 0},
		{"an instrument", nil, []Record{at(0, "5", 5), at(5, "5", 5), at(10, "5", 5), at(15, "5", 5)}, 0},
	} {
		b := testBook(t)
		mustAppend(t, b, append([]Record{Tank{Name: "lagoon"}}, c.there...)...)
		var bt Batch
		for _, r := range c.read {
			if err := bt.Add(r); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := b.ImportBatch(&bt); err != nil {
			t.Fatal(err)
		}
		if got := bt.Twice(); got.N != c.twice {
			t.Errorf("%s: %+v, want %d", c.name, got, c.twice)
		}
	}
}
