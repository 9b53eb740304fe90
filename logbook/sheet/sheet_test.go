package sheet

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func readFile(t testing.TB, name string) *File {
	t.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	f, err := Read(bytes.NewReader(b), int64(len(b)), nil)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return f
}

// tell writes a file as lines: each row with its number, cells parted by |, numbers marked # and merged cells ^.
func tell(f *File) string {
	var b strings.Builder
	for _, s := range f.Sheets {
		fmt.Fprintf(&b, "[%s]", s.Name)
		if s.Hidden {
			b.WriteString(" hidden")
		}
		b.WriteString("\n")
		for _, r := range s.Rows {
			fmt.Fprintf(&b, "%d:", r.Number)
			for i, c := range r.Cells {
				if i > 0 {
					b.WriteString("|")
				}
				if c.Number {
					b.WriteString("#")
				}
				if c.Merged {
					b.WriteString("^")
				}
				b.WriteString(strings.ReplaceAll(c.Text, "\n", "\\n"))
				if c.Problem != "" {
					fmt.Fprintf(&b, "(%s)", c.Problem)
				}
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}

// What calc.fods says, in which the three files of LibreOffice agree. testdata/README.md says how they were made.
const calc = `[2026]
1:Date|nitrate (mg/L)|PO4 [ppb P]|alk|note
2:2026-03-01|#4.2|<1|#8.3|two  blanks\nsecond line
6:2026-03-08 09:10:00|#5|#5|#8.1
7:2026-03-15 00:00:00|#0.1|#12||=not a formula
[old] hidden
1:time|alk
2:2025-12-31|#7.9
[long] hidden
1:harbour laboratory
2:|date|time|tank|parameter|value|censored
3:|2026-03-01|09:10:00|lagoon|nitrate|#5.5|#0
4:|^2026-03-01|21:05:00|lagoon|phosphate|#0.02|#1
5:|^2026-03-01||lagoon|alkalinity|#8
`

func TestFilesOfASpreadsheetProgram(t *testing.T) {
	for _, name := range []string{"calc.ods", "calc.xlsx", "calc1904.xlsx"} {
		if got := tell(readFile(t, name)); got != calc {
			t.Errorf("%s:\n%s\nwant\n%s", name, got, calc)
		}
	}
}

func TestFileOfALibrary(t *testing.T) {
	want := `[tests]
1:time|tank|parameter|value|unit|note
2:2026-03-07 09:10:00|lagoon|alk|#8.3|dKH|first
3:2026-03-07 10:40:30|lagoon|po4|#0.3||^first
4:2026-03-08T09:10:00+13:00|lagoon|no3|<0.5|mg/L as N|x
[hidden one] hidden
1:time|alk
2:2026-03-07 09:10:00|(a formula without its value: open the file in a spreadsheet program and save it)
`
	if got := tell(readFile(t, "library.xlsx")); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestOnlyWantedSheetsAreRead(t *testing.T) {
	for _, name := range []string{"calc.ods", "calc.xlsx"} {
		b, _ := os.ReadFile(filepath.Join("testdata", name))
		f, err := Read(bytes.NewReader(b), int64(len(b)), func(_ string, hidden bool) bool { return !hidden })
		if err != nil || len(f.Sheets) != 3 || len(f.Sheets[0].Rows) != 4 ||
			len(f.Sheets[1].Rows)+len(f.Sheets[2].Rows) != 0 {
			t.Errorf("%s: %v\n%s", name, err, tell(f))
		}
	}
}

// pack makes a file of parts.
func pack(t testing.TB, parts ...string) []byte {
	t.Helper()
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for i := 0; i < len(parts); i += 2 {
		w, err := z.Create(parts[i])
		if err == nil {
			_, err = w.Write([]byte(parts[i+1]))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// xlsx makes a file with one sheet of the given XML.
func xlsx(t testing.TB, sheet string) []byte {
	return pack(t, "[Content_Types].xml", "<Types/>", "_rels/.rels", "<Relationships/>",
		"xl/workbook.xml", `<workbook xmlns:r="r"><sheets><sheet name="S" r:id="rId1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels",
		`<Relationships><Relationship Id="rId1" Type="x/worksheet" Target="/xl/worksheets/s.xml"/>`+
			`<Relationship Id="rId2" Type="x/styles" Target="styles.xml"/></Relationships>`,
		"xl/styles.xml",
		`<styleSheet><numFmts><numFmt numFmtId="170" formatCode="dd/mm/yyyy"/></numFmts><cellXfs><xf numFmtId="0"/><xf numFmtId="170"/><xf numFmtId="22"/><xf numFmtId="20"/></cellXfs></styleSheet>`,
		"xl/worksheets/s.xml", `<worksheet>`+sheet+`</worksheet>`)
}

// ods makes a file with the given XML inside of office:spreadsheet.
func ods(t testing.TB, body string) []byte {
	return pack(t, "mimetype", "application/vnd.oasis.opendocument.spreadsheet", "content.xml",
		`<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="t" xmlns:text="x" xmlns:calcext="c"><office:body><office:spreadsheet>`+
			body+`</office:spreadsheet></office:body></office:document-content>`)
}

func read(b []byte) (*File, error) { return Read(bytes.NewReader(b), int64(len(b)), nil) }

func TestCellsOfXLSX(t *testing.T) {
	for _, c := range []struct{ cells, want string }{
		{`<row r="2"><c r="B2"><v>1</v></c></row>`, "2:|#1"},
		{`<row><c><v>1</v></c><c><v>2</v></c></row><row/><row><c><v>3</v></c></row>`, "1:#1|#2\n3:#3"},
		{`<row><c><v>8.300000000000001</v></c><c><v>1E-3</v></c><c><v>1300</v></c><c><v>-2.50</v></c></row>`,
			"1:#8.3|#0.001|#1300|#-2.5"},
		{`<row><c t="inlineStr"><is><r><t>two </t></r><r><t>runs</t></r><rPh><t>spoken</t></rPh></is></c></row>`,
			"1:two runs"},
		{
			`<row><c t="str"><f>A1&amp;"x"</f><v>x</v></c><c t="e"><f>1/0</f><v>#DIV/0!</v></c><c t="b"><v>1</v></c><c t="b"><v>0</v></c></row>`, "1:x|#DIV/0!|true|false"},
		{`<row><c t="str"><f>""</f><v></v></c><c><f>1+1</f></c></row>`, "1:|(" + noValue + ")"},
		{`<row><c t="s"><v>7</v></c></row>`, "1:(the text of the cell is not in the file)"},
		{`<row><c t="d"><v>2026-03-07T09:10:00</v></c></row>`, "1:2026-03-07T09:10:00"},
		// Serials: 46088 is 7 March 2026, as LibreOffice and the standard's own example days count.
		{
			`<row><c s="1"><v>46088</v></c><c s="2"><v>46088</v></c><c s="2"><v>46088.3819444444</v></c><c s="3"><v>0.381944444444444</v></c><c s="1"><v>46088.5</v></c></row>`,
			"1:2026-03-07|2026-03-07 00:00:00|2026-03-07 09:10:00|09:10:00|2026-03-07 12:00:00"},
		{`<row><c s="1"><v>-4</v></c></row>`, "1:#-4"},
		{`<row><c><v>1e999</v></c><c><v>NaN</v></c></row>`, `1:("1e999" is not a number)|("NaN" is not a number)`},
		{
			`<sheetData><row><c r="A1"><v>1</v></c><c r="B1"><v>5</v></c></row><row><c r="B2"><v>6</v></c></row><row><c r="A3" t="str"><v></v></c></row></sheetData><mergeCells><mergeCell ref="A1:A3"/><mergeCell ref="B1:C1"/><mergeCell ref="x"/></mergeCells>`,
			"1:#1|#5\n2:#^1|#6"},
	} {
		f, err := read(xlsx(t, c.cells))
		if err != nil {
			t.Errorf("%s: %v", c.cells, err)
		} else if got := strings.TrimSuffix(tell(f), "\n"); got != "[S]\n"+c.want {
			t.Errorf("%s:\n%s\nwant\n%s", c.cells, got, c.want)
		}
	}
}

func TestCellsOfODS(t *testing.T) {
	for _, c := range []struct{ rows, want string }{
		// The trap: a sheet ends with a million empty rows, and rows with a thousand empty cells.
		{
			`<table:table-row table:number-rows-repeated="2"><table:table-cell office:value-type="float" office:value="1"/><table:table-cell table:number-columns-repeated="16383"/></table:table-row><table:table-row table:number-rows-repeated="1048574"><table:table-cell table:number-columns-repeated="16384"/></table:table-row>`,
			"1:#1\n2:#1"},
		{`<table:table-row table:number-rows-repeated="999999999999"><table:table-cell/></table:table-row>`, ""},
		{
			`<table:table-row><table:table-cell/><table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="2"/></table:table-row>`, "1:|#1|#1"},
		{
			`<table:table-row><table:table-cell office:value-type="date" office:date-value="2026-03-07T09:10:00"/><table:table-cell office:value-type="time" office:time-value="PT09H10M00.5S"/><table:table-cell office:value-type="time" office:time-value="PT36H00M00S"><text:p>36:00</text:p></table:table-cell></table:table-row>`,
			"1:2026-03-07 09:10:00|09:10:00.5|36:00"},
		{
			`<table:table-row><table:table-cell office:value-type="date" office:date-value="2026-03-07"><text:p>7 Mar 2026</text:p></table:table-cell><table:table-cell office:value-type="date" office:date-value="2026-03-07"><text:p>7 Mar 2026 0.00</text:p></table:table-cell><table:table-cell office:value-type="date" office:date-value="2026-03-07"><text:p>00:00</text:p></table:table-cell></table:table-row>`,
			"1:2026-03-07|2026-03-07 00:00:00|2026-03-07 00:00:00"},
		{
			`<table:table-row><table:table-cell office:value-type="string"><text:p>a<text:tab/>b<text:line-break/>c</text:p></table:table-cell><table:table-cell office:value-type="string" calcext:value-type="error"><text:p>#DIV/0!</text:p></table:table-cell><table:table-cell table:formula="of:=1"/></table:table-row>`,
			"1:a\tb\\nc|#DIV/0!|(" + noValue + ")"},
		{
			`<table:table-row><table:table-cell table:number-rows-spanned="2" office:value-type="float" office:value="1"/><table:table-cell office:value-type="float" office:value="2"/></table:table-row><table:table-row><table:covered-table-cell/><table:table-cell office:value-type="float" office:value="3"/></table:table-row>`,
			"1:#1|#2\n2:#^1|#3"},
	} {
		f, err := read(ods(t, `<table:table table:name="S">`+c.rows+`</table:table>`))
		if err != nil {
			t.Errorf("%s: %v", c.rows, err)
		} else if got := strings.TrimSuffix(tell(f), "\n"); got != strings.TrimSuffix("[S]\n"+c.want, "\n") {
			t.Errorf("%s:\n%s\nwant\n%s", c.rows, got, c.want)
		}
	}
}

// Files that are damaged, locked or made to fill the memory end in an error, and soon.
func TestRefusedFiles(t *testing.T) {
	row := `<table:table-row table:number-rows-repeated="1000000"><table:table-cell table:number-columns-repeated="16384" office:value-type="float" office:value="1"/></table:table-row>`
	deep := strings.Repeat("<a>", mostDepth+1)
	good, _ := os.ReadFile(filepath.Join("testdata", "calc.xlsx"))
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"nothing":      {nil, "damaged"},
		"no zip":       {[]byte("PK\x03\x04rest"), "damaged"},
		"cut short":    {good[:len(good)/2], "damaged"},
		"another sort": {pack(t, "word/document.xml", "<x/>"), "neither xlsx nor ods"},
		"no workbook": {pack(t, "[Content_Types].xml", "", "_rels/.rels", "<Relationships/>"),
			"neither xlsx nor ods"},
		"xml that ends":        {xlsx(t, "<sheetData><row><c><v>1"), `sheet "S": `},
		"a cell without a row": {xlsx(t, "<sheetData><c><v>1</v></c></sheetData>"), "outside of the sheet"},
		"repeated cells":       {ods(t, `<table:table table:name="S">`+row+`</table:table>`), errTooLarge.Error()},
		"repeated rows": {ods(t, `<table:table table:name="S">`+
			strings.Repeat(strings.Replace(row, "16384", "1", 1), 5)+`</table:table>`), errTooLarge.Error()},
		"sheets": {ods(t, strings.Repeat(`<table:table/>`, mostSheets+1)), errTooLarge.Error()},
		"a long text": {
			ods(t,
				`<table:table><table:table-row><table:table-cell><text:p><text:s text:c="99999999"/><text:s text:c="99999999"/><text:s text:c="99999999"/><text:s text:c="99999999"/><text:s text:c="99999999"/></text:p></table:table-cell></table:table-row></table:table>`), "too long"},
		"rows without an end": {xlsx(t, "<sheetData>"+strings.Repeat("<row/>", mostRows+1)+"</sheetData>"),
			errTooLarge.Error()},
		"locked": {pack(t, "content.xml", "x", "META-INF/manifest.xml",
			`<manifest><file-entry><encryption-data/></file-entry></manifest>`), "password"},
		"deep in a sheet": {xlsx(t, deep), errDeep.Error()},
		"deep in a text":  {xlsx(t, `<sheetData><row><c t="inlineStr"><is>`+deep), errDeep.Error()},
		"deep in what is left": {ods(t, `<table:table><table:table-row><table:table-cell><table:annotation>`+deep),
			errDeep.Error()},
		"deep in a small part": {pack(t, "[Content_Types].xml", "", "_rels/.rels", "<Relationships>"+deep), errDeep.Error()},
		"entities that explode": {
			ods(t,
				`<table:table><table:table-row><table:table-cell><text:p>&lol;</text:p></table:table-cell></table:table-row></table:table>`), "entity"},
	} {
		if f, err := read(c.file); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, %v; want %s", name, f, err, c.want)
		}
	}
}

func TestUnpackedBytesHaveALimit(t *testing.T) {
	const bytesLeft, cells = 1 << 20, 1000
	for _, b := range [][]byte{
		xlsx(t, `<sheetData><row><c t="str"><v>`+strings.Repeat(" ", bytesLeft)+`</v></c></row></sheetData>`),
		ods(t, `<table:table><table:table-row>`+strings.Repeat(" ", bytesLeft)+`</table:table-row></table:table>`),
		xlsx(t, "<sheetData>"+strings.Repeat("<row><c><v>1</v></c></row>", cells+1)+"</sheetData>"),
		xlsx(t, `<sheetData>`+strings.Repeat(`<row><c r="ALL1"><v>1</v></c></row>`, 2)+`</sheetData>`),
		xlsx(t, `<sheetData>`+strings.Repeat(`<row><c><v>1</v></c><c><v>1</v></c></row>`, 100)+`</sheetData><mergeCells>`+
			strings.Repeat(`<mergeCell ref="A1:A100"/>`, 10)+`</mergeCells>`),
	} {
		if _, err := readWithin(bytes.NewReader(b), int64(len(b)), func(string, bool) bool {
			return true
		}, bytesLeft, cells); !errors.Is(err, errTooLarge) {
			t.Errorf("%d bytes that unpack to %d: %v", len(b), bytesLeft, err)
		}
	}
}

// Codes as spreadsheets write them; what each shows is plain from ECMA-376 part 1, 18.8.31.
func TestFormats(t *testing.T) {
	date, clock, both, none := format{date: true}, format{clock: true}, format{true, true}, format{}
	for code, want := range map[string]format{
		"General": none, "0.00": none, "0.00E+00": none, "@": none, `#,##0.0 "mg/dL"`: none, `0.0\ \d\K\H`: none,
		`[Red]0.0;[Blue]-0.0`: none, `_-* #,##0_-`: none,
		"dd/mm/yyyy": date, "mmm yy": date, "mmmm": date, `yyyy\-mm\-dd;@`: date, `[$-409]d\-mmm\-yyyy;@`: date,
		"hh:mm": clock, "h:mm AM/PM": clock, "[h]:mm": clock, "mm:ss": clock, "m/d/yyyy h:mm": both,
		"yyyy-mm-ddThh:mm:ss": both, `"day "d`: date, `"unclosed d`: none, "[d": none,
	} {
		if got := formatOf(code); got != want {
			t.Errorf("%q is %+v, want %+v", code, got, want)
		}
	}
	for id, want := range map[int]format{0: none, 2: none, 14: date, 15: date, 18: clock, 20: clock, 22: both, 30: date,
		37: none, 46: clock, 49: none, 57: date} {
		if got := builtInFormat(id); got != want {
			t.Errorf("format %d is %+v, want %+v", id, got, want)
		}
	}
}

func TestPlaces(t *testing.T) {
	for _, c := range []struct {
		row, column int
		want        string
	}{{1, 0, "A1"}, {14, 2, "C14"}, {9, 25, "Z9"}, {9, 26, "AA9"}, {1, 701, "ZZ1"}, {1, 702, "AAA1"},
		{1048576, 16383, "XFD1048576"}} {
		if got := Place(c.row, c.column); got != c.want {
			t.Errorf("%d, %d is %s, want %s", c.row, c.column, got, c.want)
		}
		if row, column, ok := parsePlace(c.want); row != c.row || column != c.column || !ok {
			t.Errorf("%s is %d, %d, %v", c.want, row, column, ok)
		}
	}
	for _, s := range []string{"", "A", "1", "A0", "a1", "A1048577", "XFE1", "AAAAAAAAAA1", "A1B", "$A$1", "A-1"} {
		if row, column, ok := parsePlace(s); ok {
			t.Errorf("%q is %d, %d", s, row, column)
		}
	}
}

// FuzzRead changes the text inside of files: changed bytes of a packed file fail by their checksum.
func FuzzRead(f *testing.F) {
	f.Add(true,
		`<sheetData><row r="2"><c r="B2" s="1"><v>46088.4</v></c><c t="inlineStr"><is><t>x</t></is></c></row></sheetData><mergeCells><mergeCell ref="B2:B5"/></mergeCells>`)
	f.Add(false,
		`<table:table table:name="S"><table:table-row table:number-rows-repeated="2"><table:table-cell office:value-type="float" office:value="1" table:number-columns-repeated="3" table:number-rows-spanned="2"/><table:table-cell><text:p>x<text:s text:c="3"/></text:p></table:table-cell></table:table-row></table:table>`)
	f.Fuzz(func(t *testing.T, isXLSX bool, text string) {
		b := ods(t, text)
		if isXLSX {
			b = xlsx(t, text)
		}
		file, err := readWithin(bytes.NewReader(b), int64(len(b)), func(string, bool) bool { return true }, 1<<20, 10_000)
		if err != nil {
			return
		}
		for _, s := range file.Sheets {
			last := 0
			for _, r := range s.Rows {
				if r.Number <= last || len(r.Cells) == 0 || r.Cells[len(r.Cells)-1].empty() {
					t.Errorf("row %+v behind row %d", r, last)
				}
				last = r.Number
			}
		}
	})
}
