package logbook

import (
	"archive/zip"
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// readSheet reads a file that must be accepted, and tells every reading in one line.
func readSheet(t *testing.T, b []byte, opt CSVOptions) ([]string, error) {
	t.Helper()
	var recs []Record
	err := EachSheet(bytes.NewReader(b), int64(len(b)), opt, func(rec Record) error {
		recs = append(recs, *rec.(*Reading))
		return nil
	})
	return tell(recs), err
}

// sheetFile is a file of sheet/testdata, whose README says how it was made.
func sheetFile(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("sheet", "testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func sheetOptions(t *testing.T) CSVOptions {
	opt := csvOptions()
	opt.File, opt.Tank, opt.Notes = "log.xlsx", "forereef", &TableNotes{}
	opt.Zone = func(string) *time.Location { return loadZone(t, "Pacific/Auckland") }
	return opt
}

func TestReadingsOfASpreadsheet(t *testing.T) {
	opt := sheetOptions(t)
	wide := []string{
		`2026-03-01T12:00:00+13:00 forereef nitrate 4.2|mg/L||two  blanks` + "\nsecond line",
		`2026-03-01T12:00:00+13:00 forereef phosphate <1|ppb P||two  blanks` + "\nsecond line",
		`2026-03-01T12:00:00+13:00 forereef alkalinity 8.3|dKH||two  blanks` + "\nsecond line",
		`2026-03-08T09:10:00+13:00 forereef nitrate 5|mg/L||`,
		`2026-03-08T09:10:00+13:00 forereef phosphate 5|ppb P||`,
		`2026-03-08T09:10:00+13:00 forereef alkalinity 8.1|dKH||`,
		`2026-03-15T00:00:00+13:00 forereef nitrate 0.1|mg/L||=not a formula`,
		`2026-03-15T00:00:00+13:00 forereef phosphate 12|ppb P||=not a formula`,
	}
	for _, name := range []string{"calc.xlsx", "calc1904.xlsx"} {
		got, err := readSheet(t, sheetFile(t, name), opt)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		wantLines(t, got, wide...)
	}
	n := opt.Notes
	if n.Sheet != "2026" || !n.Wide || n.DaysAlone != 3 || n.Zoneless["forereef"] != 8 || n.OwnUnit["alkalinity"] != 2 ||
		len(n.OwnUnit) != 1 {
		t.Errorf("notes %+v", *n)
	}

	// A hidden sheet, below a title: the day merged over three rows, times of day in a column of their own, truth values.
	opt.Sheet, opt.Skip = "Long", 1
	for _, name := range []string{"calc.ods", "calc.xlsx"} {
		got, err := readSheet(t, sheetFile(t, name), opt)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		wantLines(t, got, `2026-03-01T09:10:00+13:00 lagoon nitrate 5.5|mg/L||`,
			`2026-03-01T21:05:00+13:00 lagoon phosphate <0.02|mg/L||`,
			`2026-03-01T12:00:00+13:00 lagoon alkalinity 8|dKH||`)
	}

	opt = sheetOptions(t)
	got, err := readSheet(t, sheetFile(t, "library.xlsx"), opt)
	if err != nil {
		t.Fatal(err)
	}
	wantLines(t, got, `2026-03-07T09:10:00+13:00 lagoon alkalinity 8.3|dKH||first`,
		`2026-03-07T10:40:30+13:00 lagoon phosphate 0.3|mg/L||first`,
		`2026-03-08T09:10:00+13:00 lagoon nitrate <0.5|mg/L as N||x`)
}

func TestSpreadsheetRefusals(t *testing.T) {
	const rels = `<Relationships><Relationship Id="r1" Target="s1.xml"/><Relationship Id="r2" Target="s2.xml"/></Relationships>`
	cell := func(place, text string) string { return `<c r="` + place + `" t="str"><v>` + text + `</v></c>` }
	header := `<row r="2">` + cell("B2", "time") + cell("C2", "PO4") + cell("D2", "note") + `</row>`
	for _, c := range []struct {
		name, sheets, first, second string
		opt                         func(*CSVOptions)
		want                        string
	}{
		{"value", `<sheet name="2026" id="r1"/>`, header + `<row r="14">` + cell("B14", "2026-03-07") + cell("C14", "low") +
			`</row>`, "", nil,
			`log.xlsx: sheet "2026", cell C14: column PO4: "low" is not a number`},
		{"ambiguous comma", `<sheet name="2026" id="r1"/>`,
			header + `<row r="3">` + cell("B3", "2026-03-07") + cell("C3", "1,300") + `</row>`, "", nil,
			`log.xlsx: sheet "2026", cell C3: column PO4: "1,300" can be 1.300 or 1300`},
		{"ambiguous date", `<sheet name="2026" id="r1"/>`,
			header + `<row r="3">` + cell("B3", "03/04/2026") + cell("C3", "1") + `</row>`, "", nil,
			`log.xlsx: sheet "2026", cell B3: column time: "03/04/2026" can be 3 April or 4 March`},
		{"serial without a format", `<sheet name="2026" id="r1"/>`,
			header + `<row r="3"><c r="B3"><v>46088.5</v></c>` + cell("C3", "1") + `</row>`, "", nil,
			`log.xlsx: sheet "2026", cell B3: column time: "46088.5" is not a date`},
		{"formula", `<sheet name="2026" id="r1"/>`,
			header + `<row r="3">` + cell("B3", "2026-03-07") + `<c r="C3"><f>1+1</f></c></row>`, "", nil,
			`log.xlsx: sheet "2026", cell C3: column PO4: a formula without its value: open the file in a spreadsheet program and save it`},
		{"error", `<sheet name="2026" id="r1"/>`, header + `<row r="3">` + cell("B3", "2026-03-07") +
			`<c r="C3" t="e"><v>#DIV/0!</v></c></row>`, "", nil,
			`log.xlsx: sheet "2026", cell C3: column PO4: "#DIV/0!" is not a number`},
		{"merged value", `<sheet name="2026" id="r1"/>`, header + `<row r="3">` + cell("B3", "2026-03-07") + cell("C3", "1") +
			`</row><row r="4">` + cell("B4", "2026-03-08") + `</row><mergeCells><mergeCell ref="C3:C4"/></mergeCells>`, "", nil,
			`log.xlsx: sheet "2026", cell C4: column PO4: the value is merged with the one above`},
		{"beyond the header", `<sheet name="2026" id="r1"/>`,
			header + `<row r="3">` + cell("B3", "2026-03-07") + cell("C3", "1") + cell("F3", "x") + `</row>`, "", nil,
			`log.xlsx: sheet "2026", row 3: the row has 6 fields, the header 4`},
		{"nameless", `<sheet name="2026" id="r1"/>`,
			header + `<row r="3">` + cell("A3", "x") + cell("B3", "2026-03-07") + cell("C3", "1") + `</row>`, "", nil,
			`log.xlsx: sheet "2026", cell A3: "x" stands in a column without a name`},
		{"several", `<sheet name="2025" id="r1"/><sheet name="2026" id="r2"/>`, header, header, nil,
			`log.xlsx: several sheets hold something: "2025", "2026"`},
		{"no such", `<sheet name="2025" id="r1"/><sheet name="2026" id="r2" state="hidden"/>`, header, header,
			func(o *CSVOptions) { o.Sheet = "2024" },
			`log.xlsx: there is no sheet "2024"; those shown are "2025"`},
		{"hidden alone", `<sheet name="2025" id="r1" state="veryHidden"/>`, header, header, nil,
			`log.xlsx: no sheet that is shown holds anything`},
	} {
		var out bytes.Buffer
		z := zip.NewWriter(&out)
		for _, part := range [][2]string{{"[Content_Types].xml", "<x/>"}, {"_rels/.rels", "<x/>"},
			{"xl/workbook.xml", "<workbook><sheets>" + c.sheets + "</sheets></workbook>"},
			{"xl/_rels/workbook.xml.rels", rels}, {"xl/s1.xml", "<x>" + c.first + "</x>"},
			{"xl/s2.xml", "<x>" + c.second + "</x>"}} {
			w, err := z.Create(part[0])
			if err == nil {
				_, err = w.Write([]byte(part[1]))
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		opt := sheetOptions(t)
		if c.opt != nil {
			c.opt(&opt)
		}
		_, err := readSheet(t, out.Bytes(), opt)
		var rs Refusals
		if !errors.As(err, &rs) || len(rs) != 1 || rs[0].Error() != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	if _, err := readSheet(t, []byte("PK\x03\x04"), sheetOptions(t)); err == nil ||
		!strings.Contains(err.Error(), "log.xlsx: the file is damaged") {
		t.Errorf("%v", err)
	}
}
