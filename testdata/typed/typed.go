// Package typed is the table of what is typed: the same text gives the same records, doubts and cautions at the shell,
// at the prompt and on the screens. Each front end has a test that types the rows of rows.json.
package typed

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"leadline/logbook"
)

//go:embed rows.json
var rowsJSON []byte

//go:embed book.jsonl
var bookLines []byte

// Row is a rule for what is typed. What is listed is part of what is said, and nothing else is.
type Row struct {
	Rule, Kind       string
	Given            []json.RawMessage // lines that the book holds beside those of all rows
	Units            map[string]string // in which parameters are shown and typed, by the settings
	Fields           map[string]string
	Records          []map[string]any // as in JSON Lines, without time, tank and id
	Doubts, Cautions []string
	Refused          string
}

// Rows are the rules.
func Rows(t *testing.T) (rows []Row) {
	t.Helper()
	if err := json.Unmarshal(rowsJSON, &rows); err != nil {
		t.Fatal(err)
	}
	return rows
}

// Book is the book that the row is typed into.
func (row Row) Book(t *testing.T) *logbook.Book {
	t.Helper()
	lines := bytes.Clone(bookLines)
	for _, line := range row.Given {
		lines = append(append(lines, bytes.ReplaceAll(line, []byte("\n"), []byte(" "))...), '\n')
	}
	return BookOf(t, lines)
}

// BookOf is a new book that holds some lines.
func BookOf(t *testing.T, lines []byte) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "test.book"))
	var batch logbook.Batch
	if err == nil {
		err = logbook.EachJSONL(bytes.NewReader(lines), logbook.JSONLOptions{Parameters: logbook.Standard()}, batch.Add)
	}
	if err == nil {
		_, err = b.ImportBatch(&batch)
	}
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// Settings writes the file of settings that goes with the row.
func (row Row) Settings(t *testing.T) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "config.toml")
	text := "[units]\n"
	for parameter, unit := range row.Units {
		text += fmt.Sprintf("%s = %q\n", parameter, unit)
	}
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// Lines are the lines that a book holds, as a row lists them.
func Lines(t *testing.T, b *logbook.Book) (lines []string) {
	t.Helper()
	var out bytes.Buffer
	if err := b.View(func(v *logbook.View) error {
		return logbook.WriteJSONL(&out, v, logbook.ExportOptions{})
	}); err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(out.String()), "\n")
}

// Added are the records of a book that were not there before, with the times that a row does not tell taken out.
func Added(t *testing.T, b *logbook.Book, before []string) (records []map[string]any) {
	t.Helper()
	for _, line := range Lines(t, b) {
		if slices.Contains(before, line) {
			continue
		}
		var r map[string]any
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatal(err)
		}
		maps.DeleteFunc(r, func(field string, v any) bool {
			return v == "" || slices.Contains([]string{"id", "time", "tank", "noted"}, field)
		})
		records = append(records, r)
	}
	return records
}

// Check compares what came of a row with what it says.
func (row Row) Check(t *testing.T, records []map[string]any, doubts, cautions []string, refused string) {
	t.Helper()
	slices.SortFunc(records, func(a, b map[string]any) int {
		return strings.Compare(fmt.Sprint(a["parameter"]), fmt.Sprint(b["parameter"]))
	})
	if (len(records) > 0 || len(row.Records) > 0) && !reflect.DeepEqual(records, row.Records) {
		t.Errorf("%s: kept %v, want %v (refused: %q)", row.Rule, records, row.Records, refused)
	}
	for _, c := range []struct {
		what      string
		got, want []string
	}{{"doubts", doubts, row.Doubts}, {"cautions", cautions, row.Cautions}} {
		ok := len(c.got) == len(c.want)
		for _, want := range c.want {
			ok = ok && slices.ContainsFunc(c.got, func(got string) bool { return strings.Contains(got, want) })
		}
		if !ok {
			t.Errorf("%s: %s %q, want %q", row.Rule, c.what, c.got, c.want)
		}
	}
	if (refused != "") != (row.Refused != "") || !strings.Contains(refused, row.Refused) {
		t.Errorf("%s: refused with %q, want %q", row.Rule, refused, row.Refused)
	}
}
