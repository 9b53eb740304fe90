package logbook

import (
	"bufio"
	"bytes"
	"io"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func exportJSONL(t testing.TB, b *Book, opt ExportOptions) []byte {
	var out bytes.Buffer
	if err := b.View(func(v *View) error { return WriteJSONL(&out, v, opt) }); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func exportCSV(t testing.TB, b *Book, opt ExportOptions) []byte {
	var out bytes.Buffer
	if err := b.View(func(v *View) error { return WriteCSV(&out, v, opt) }); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// exactRow appends the row of a reading, as WriteCSV writes it without further options.
func exactRow(b []byte, r *Reading) []byte {
	c := &csvWriter{Writer: bufio.NewWriter(io.Discard), comma: ',', columns: strings.Split(csvHeader+",who", ",")}
	if err := c.writeReading(r); err != nil {
		panic(err)
	}
	return append(b, c.row...)
}

func importJSONL(t testing.TB, b *Book, text []byte) Imported {
	var bt Batch
	if err := EachJSONL(bytes.NewReader(text), JSONLOptions{File: "book.jsonl", Parameters: Standard()},
		bt.Add); err != nil {
		t.Fatal(err)
	}
	done, err := b.ImportBatch(&bt)
	if err != nil {
		t.Fatal(err)
	}
	return done
}

func importCSV(t testing.TB, b *Book, text []byte, ps []Parameter) Imported {
	var bt Batch
	if err := EachCSV(bytes.NewReader(text), CSVOptions{File: "readings.csv", Parameters: ps}, bt.Add); err != nil {
		t.Fatal(err)
	}
	done, err := b.ImportBatch(&bt)
	if err != nil {
		t.Fatal(err)
	}
	return done
}

// awkward draws text such as ends up in notes.
func awkward() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.SampledFrom([]string{"", "", "dull", "a,b;c\td", `say "when"`, "two\nlines", "two\r\nlines", "\r", " blanks ",
			"=1+2", "-x", "'", "\ufeffx",
			"😀 e\u0301", "\x1b[31mred", "\u202eabc", "a\x00b", "\\", "\u2028", `"`, "<&>", "\u00a0", ","}),
		rapid.String(),
	)
}

// awkwardName draws names of tanks and methods, which may not be blank nor hold NUL.
func awkwardName(mayBeEmpty bool) *rapid.Generator[string] {
	return awkward().Filter(func(s string) bool {
		return len(s) <= longestName && !strings.ContainsRune(s, 0) && ((s == "" && mayBeEmpty) || strings.TrimSpace(s) != "")
	})
}

// moments are few, so that readings fall on the same one.
func moments() []time.Time {
	t := time.Date(2026, 3, 7, 9, 10, 0, 0, time.UTC)
	return []time.Time{t, t.In(time.FixedZone("", 0)), t.In(time.FixedZone("", 13*3600)), t.In(time.FixedZone("", -12600)),
		t.Add(time.Nanosecond), t.Add(time.Hour)}
}

// chromium is a parameter of the keeper's own.
func chromium() Parameter {
	return Parameter{Name: "chromium", Code: "cr", Unit: "ug/L", Digits: 1, AskHigh: 3,
		Generic: Method{Name: "any", Parameter: "chromium", Unit: "ug/L", SD: 0.25}}
}

func drawReading(t *rapid.T, tanks []string) Reading {
	ps := append(Standard(), chromium())
	p := rapid.SampledFrom(ps).Draw(t, "parameter")
	text := rapid.SampledFrom([]string{"8.2", "<8.20", "> 8", "8", "08.2", "8.2e0", "+9"}).Draw(t, "value")
	unit := ""
	if p.Name != "pH" && p.Name != "salinity" && p.Name != "temperature" && rapid.Bool().Draw(t, "other unit") {
		unit = map[string]string{"phosphate": "ppb P", "nitrate": "mg/L as N", "alkalinity": "meq/l"}[p.Name]
	}
	r, err := ParseReading(p, text, unit)
	if err != nil {
		t.Fatal(err)
	}
	r.Tank = rapid.SampledFrom(tanks).Draw(t, "tank")
	r.Time = rapid.SampledFrom(moments()).Draw(t, "time")
	r.Method, r.Note = awkwardName(true).Draw(t, "method"), awkward().Draw(t, "note")
	r.Who = rapid.SampledFrom([]string{"", "", "ann", "=ben, \"junior\""}).Draw(t, "who")
	return r
}

func drawRecords(t *rapid.T) []Record {
	tanks := rapid.SliceOfNDistinct(awkwardName(false), 1, 3, func(s string) string {
		return strings.ToLower(strings.ToUpper(s))
	}).Draw(t, "tanks")
	tank := func() string { return rapid.SampledFrom(tanks).Draw(t, "tank") }
	recs := []Record{chromium()}
	for _, name := range tanks {
		recs = append(recs, Tank{Name: name, VolumeL: 450.5, Timezone: "Pacific/Auckland", About: awkward().Draw(t, "about"),
			Order: rapid.SampledFrom([]Order{nil, {"chromium"}, {"nitrate", "chromium", "alkalinity"}}).Draw(t, "order"),
			Bands: map[string]Band{"chromium": {High: pointer(1e-7)},
				"nitrate": {Low: pointer(3), Floor: pointer(0), Unit: "mg/L as N", EveryDays: pointer(3.5)}}})
	}
	recs = append(recs,
		Method{Name: "card", Parameter: "nitrate", Unit: "mg/L", Marks: []float64{0, 0.1, 1e6}, SDSteps: 1.0 / 3},
		Chore{Tank: tank(), Name: awkwardName(false).Draw(t, "chore"), EveryDays: 42},
		Supplement{Name: awkwardName(false).Draw(t, "supplement"),
			Label: []LabelRise{{"chromium", rapid.Float64Range(1e-9, 1e9).Draw(t, "rise"), "ug/L"},
				{"alkalinity", 1, "meq/L"}},
			LabelML: 10, LabelL: 100},
		Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: rapid.Float64Range(1e-3, 300).Draw(t, "strength"),
			Purity: 0.99},
		Supplement{Name: "limewater", Limewater: true},
		Stock{Tank: tank(), Name: awkwardName(false).Draw(t, "stock"), Unit: "mL", Supplement: "soda ash"},
		Stock{Tank: tank(), Name: "reagent", Unit: "tests", Parameter: "nitrate",
			Method: awkwardName(true).Draw(t, "method")},
		Stock{Tank: tank(), Name: "floss", Unit: "m", PerDay: 0.25})
	for range rapid.IntRange(0, 12).Draw(t, "readings") {
		recs = append(recs, drawReading(t, tanks))
	}
	recs = append(recs,
		Dosing{Time: anyTime().Draw(t, "time"), Tank: tank(), Parameter: "alkalinity",
			PerDay: rapid.Float64Range(0, 100).Draw(t, "per day"), Unit: "dKH", Supplement: "soda ash"},
		Dose{Time: anyTime().Draw(t, "time"), Tank: tank(), Parameter: "nitrate",
			Amount: rapid.Float64Range(0, 2).Draw(t, "amount"), Unit: "mg/L", Note: awkward().Draw(t, "note")},
		WaterChange{Time: anyTime().Draw(t, "time"), Tank: tank(), Fraction: 0.1,
			New: map[string]Amount{"chromium": {0, "ug/L"}, "calcium": {425.5, "mg/L"}}},
		Event{Time: anyTime().Draw(t, "time"), Tank: tank(), Tags: []string{"coral", "=x"},
			Subject: awkward().Draw(t, "subject"), Text: awkward().Draw(t, "text")},
		ChoreDone{Time: anyTime().Draw(t, "time"), Tank: tank(), Chore: "media"},
		Acknowledgement{Time: anyTime().Draw(t, "time"), Tank: tank(), Parameter: "pH", Rule: "overdue",
			Until: anyTime().Draw(t, "until"), Note: awkward().Draw(t, "note")},
		Refill{Time: anyTime().Draw(t, "time"), Tank: tank(), Stock: awkwardName(false).Draw(t, "stock"),
			Amount:  rapid.Float64Range(0, 1e4).Draw(t, "amount"),
			Expires: rapid.SampledFrom([]string{"", "2026-10-31"}).Draw(t, "expires"), Note: awkward().Draw(t, "note")})
	return recs
}

// TestCodecRoundTrips writes records, reads them and writes them again.
func TestCodecRoundTrips(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var lines, rows, linesAgain, rowsAgain []byte
		var l jsonLine
		for _, rec := range drawRecords(t) {
			lines = append(lines, l.of(rec)...)
			if r, ok := rec.(Reading); ok {
				rows = exactRow(rows, &r)
			}
		}
		again := func(rec Record) error {
			if r, ok := rec.(*Reading); ok {
				rowsAgain = exactRow(rowsAgain, r)
				rec = *r
			}
			linesAgain = append(linesAgain, l.of(rec)...)
			return nil
		}
		if err := EachJSONL(bytes.NewReader(lines), JSONLOptions{Parameters: Standard()}, again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(lines, linesAgain) || !bytes.Equal(rows, rowsAgain) {
			t.Fatalf("JSON Lines changed:\n%s\n%s", lines, linesAgain)
		}
		rowsAgain = nil
		text := append([]byte(csvHeader+",who\r\n"), rows...)
		if err := EachCSV(bytes.NewReader(text), CSVOptions{Parameters: append(Standard(), chromium())}, again); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(rows, rowsAgain) {
			t.Fatalf("CSV changed:\n%q\n%q", rows, rowsAgain)
		}
	})
}

// TestBookRoundTrips fills books with every kind of record, strikes some, and compares exports to the byte: of the
// book, of an empty book into which the export was read, and of a book into which it was read twice.
func TestBookRoundTrips(t *testing.T) {
	const books = 8 // each costs a dozen commits
	for seed := range books {
		first := testBook(t)
		if _, err := first.Import(rapid.Custom(drawRecords).Example(seed)); err != nil {
			t.Fatal(err)
		}
		strikeSome(t, first)
		lines := exportJSONL(t, first, ExportOptions{})

		second := testBook(t)
		importJSONL(t, second, lines)
		if got := exportJSONL(t, second, ExportOptions{}); !bytes.Equal(got, lines) {
			t.Fatalf("JSON Lines changed:\n%s\n%s", lines, got)
		}
		if done := importJSONL(t, second, lines); done.Added != 0 {
			t.Fatalf("the second import of the same lines added %d", done.Added)
		}

		var ps []Parameter
		mustView(t, first, func(v *View) (err error) { ps, err = v.Parameters(); return err })
		rows := exportCSV(t, first, ExportOptions{})
		if got := exportCSV(t, second, ExportOptions{}); !bytes.Equal(got, rows) {
			t.Fatalf("CSV differs after JSON Lines:\n%s\n%s", rows, got)
		}
		third := testBook(t)
		importCSV(t, third, rows, ps)
		if got := exportCSV(t, third, ExportOptions{}); !bytes.Equal(got, rows) {
			t.Fatalf("CSV changed:\n%q\n%q", rows, got)
		}
		if done := importCSV(t, third, rows, ps); done.Added != 0 {
			t.Fatalf("the second import of the same rows added %d", done.Added)
		}
	}
}

// strikeSome strikes the first reading of every tank, one of them with a successor.
func strikeSome(t testing.TB, b *Book) {
	var victims []Reading
	for _, r := range allReadings(t, b) {
		if len(victims) == 0 || victims[len(victims)-1].Tank != r.Tank {
			victims = append(victims, r)
		}
	}
	for i, r := range victims {
		s := Strike{Target: r.ID, Time: moments()[0], Who: "tank crew", Why: "typed \"ppb\"\nas ppm"}
		var successor Entry
		if i == 0 {
			r.ID, r.Note = ID{}, "put right"
			successor = r
		}
		if _, err := b.Strike(s, successor); err != nil {
			t.Fatal(err)
		}
	}
}

func TestExportOfAPart(t *testing.T) {
	b := testBook(t)
	day := func(d int) time.Time { return time.Date(2026, 3, d, 9, 0, 0, 0, time.UTC) }
	mustAppend(t, b, Tank{Name: "forereef"}, Tank{Name: "lagoon"}, Chore{Tank: "lagoon", Name: "floss", EveryDays: 7})
	ids := mustAppend(t, b, testReading("forereef", "nitrate", day(1), "1", 1),
		testReading("forereef", "nitrate", day(5), "2", 2),
		testReading("lagoon", "nitrate", day(5), "3", 3), testReading("lagoon", "nitrate", day(6), "4", 4))
	mustAppend(t, b, Strike{Target: ids[0], Time: day(7), Why: "x"}, Strike{Target: ids[3], Time: day(7), Why: "y"})

	rows := string(exportCSV(t, b, ExportOptions{Since: day(2)}))
	want := csvHeader +
		"\r\n2026-03-05T09:00:00Z,forereef,nitrate,2,mg/L,card,\r\n2026-03-05T09:00:00Z,lagoon,nitrate,3,mg/L,card,\r\n"
	if rows != want {
		t.Errorf("since the second day, without what is struck:\n%s\nwant\n%s", rows, want)
	}
	lines := string(exportJSONL(t, b, ExportOptions{Tank: "lagoon"}))
	if n := strings.Count(lines, "\n"); n != 5 || strings.Contains(lines, "forereef") ||
		strings.Contains(lines, ids[0].String()) {
		t.Errorf("of the lagoon, want its tank, chore, two readings and one strike:\n%s", lines)
	}
	importJSONL(t, testBook(t), []byte(lines))
}

func TestSpreadsheetExportDefusesFormulas(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "=tank"})
	r := testReading("=tank", "temperature", time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC), "-1", -1)
	r.Unit, r.Method, r.Note = "°C", "+m", "@note"
	mustAppend(t, b, r)
	want := "\ufeff" + csvHeader + "\r\n2026-03-01T09:00:00Z,'=tank,temperature,-1,°C,'+m,'@note\r\n"
	if got := string(exportCSV(t, b, ExportOptions{Spreadsheet: true})); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	second := testBook(t)
	importCSV(t, second, []byte(want), Standard())
	if got, want := exportCSV(t, second, ExportOptions{}), exportCSV(t, b, ExportOptions{}); !bytes.Equal(got, want) {
		t.Errorf("read back, the guarded file gives %q, want %q", got, want)
	}
}

// A part of a book is a file like any other: a strike whose successor lies outside of the part goes without it.
func TestPartOfABookCanBeImported(t *testing.T) {
	b := testBook(t)
	mustAppend(t, b, Tank{Name: "forereef"})
	ids := mustAppend(t, b, testReading("forereef", "calcium", testTime(3, 0), "400", 400),
		testReading("forereef", "calcium", testTime(1, 0), "410", 410))
	mustAppend(t, b, Strike{Target: ids[0], Time: testTime(4, 0), Why: "wrong day", Successor: ids[1]})
	part := testBook(t)
	importJSONL(t, part, exportJSONL(t, b, ExportOptions{Since: testTime(2, 0)}))
	mustView(t, part, func(v *View) error {
		all, err := v.Struck("")
		if err != nil || len(all) != 1 || all[0].Strike.Target != ids[0] || !all[0].Strike.Successor.IsZero() {
			t.Errorf("struck in the part: %+v, %v", all, err)
		}
		return nil
	})
}
