package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// typedRow is a rule for what is typed: the same text gives the same records, doubts and cautions at the shell, at the
// prompt and on the screens, where tui holds the same rows. What is listed is part of what is said, and nothing else is.
type typedRow struct {
	Rule, Kind       string
	Fields           map[string]string
	Records          []map[string]any // as in JSON Lines, without time, tank and id
	Doubts, Cautions []string
	Refused          string
}

const typedFolder = "../../testdata/typed/"

var typedNow = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

func typedRows(t *testing.T) (rows []typedRow) {
	t.Helper()
	text, err := os.ReadFile(typedFolder + "rows.json")
	if err == nil {
		err = json.Unmarshal(text, &rows)
	}
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// typedBook is the book that every row is typed into.
func typedBook(t *testing.T) *logbook.Book {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "typed.book"))
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(typedFolder + "book.jsonl")
	var batch logbook.Batch
	if err == nil {
		err = logbook.EachJSONL(bytes.NewReader(text), logbook.JSONLOptions{Parameters: logbook.Standard()}, batch.Add)
	}
	if err == nil {
		_, err = b.ImportBatch(&batch)
	}
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// typedRecords are the lines that a book holds, as a row lists them.
func typedRecords(t *testing.T, b *logbook.Book) (lines []string) {
	t.Helper()
	var out bytes.Buffer
	if err := b.View(func(v *logbook.View) error { return logbook.WriteJSONL(&out, v, logbook.ExportOptions{}) }); err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(out.String()), "\n")
}

// added are the records of a book that were not there before, with the times that a row does not tell taken out.
func added(t *testing.T, b *logbook.Book, before []string) (records []map[string]any) {
	t.Helper()
	for _, line := range typedRecords(t, b) {
		if slices.Contains(before, line) {
			continue
		}
		var r map[string]any
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatal(err)
		}
		maps.DeleteFunc(r, func(field string, v any) bool {
			return v == "" || slices.Contains([]string{"id", "time", "tank"}, field)
		})
		records = append(records, r)
	}
	return records
}

// check compares what came of a row with what it says.
func (row typedRow) check(t *testing.T, records []map[string]any, doubts, cautions []string, refused string) {
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

// words are the command of a row.
func (row typedRow) words() (words []string) {
	f := row.Fields
	flag := func(name, field string) {
		if f[field] != "" {
			words = append(words, name, f[field])
		}
	}
	switch row.Kind {
	case "reading":
		words = []string{"add", f["parameter"] + "=" + f["value"]}
		flag("--method", "method")
	case "dose", "dosing":
		words = []string{row.Kind, f["parameter"] + "=" + f["amount"]}
		flag("--supplement", "supplement")
		flag("--at", "when")
	case "band":
		words = []string{"band", f["parameter"], "--low", f["low"], "--high", f["high"]}
	case "water change":
		words = []string{"water-change", f["share"], "--new", "alk=83", "--new", "po4=5 ppb P"}
	case "refill":
		words = []string{"stock", "refill", f["stock"], f["amount"]}
	case "stock":
		words = []string{"stock", "add", f["name"]}
		flag("--supplement", "supplement")
	case "supplement":
		words = []string{"supplement", "add", f["name"], "--limewater"}
	case "method":
		words = []string{"method", "add", f["name"], "--parameter", f["parameter"]}
		flag("--unit", "unit")
		flag("--step", "step")
		flag("--marks", "marks")
		flag("--sd", "sd")
	}
	return words
}

// typedRun runs the program on a book, and parts what it says.
func typedRun(b *logbook.Book, input string, words ...string) (doubts, cautions []string, refused string) {
	var out, errOut strings.Builder
	env := func(name string) string { return map[string]string{"LEADLINE_BOOK": b.Path()}[name] }
	code := run(context.Background(), words, strings.NewReader(input), &out, &errOut, env, func() time.Time { return typedNow })
	for line := range strings.Lines(out.String() + errOut.String()) {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "warning: "):
			doubts = append(doubts, line)
		case strings.HasPrefix(line, "caution: "), (slices.Contains(words, "supplement") || strings.Contains(input, "supplement\" \"add")) && strings.Contains(line, ": ") && strings.HasSuffix(line, "."):
			cautions = append(cautions, line)
		}
	}
	if code != usage.ExitDone || input != "" {
		refused = strings.Split(errOut.String(), "\n")[0]
	}
	if strings.HasPrefix(refused, "warning: ") || strings.HasPrefix(refused, "caution: ") || strings.HasPrefix(refused, "note: ") {
		refused = ""
	}
	return doubts, cautions, refused
}

func TestTypedAtTheShell(t *testing.T) {
	for _, row := range typedRows(t) {
		b := typedBook(t)
		before := typedRecords(t, b)
		doubts, cautions, refused := typedRun(b, "", row.words()...)
		row.check(t, added(t, b, before), doubts, cautions, refused)
	}
}

// At the prompt a reading is typed on a test day, and whatever else by the command.
func TestTypedAtThePrompt(t *testing.T) {
	for _, row := range typedRows(t) {
		b := typedBook(t)
		before := typedRecords(t, b)
		input := ""
		if row.Kind != "reading" {
			for _, w := range row.words() {
				input += `"` + w + `" `
			}
			input += "\nquit\n"
		} else {
			err := b.View(func(v *logbook.View) error {
				report, err := alerts.Examine(v, "forereef", typedNow)
				input = "test all\n"
				for _, l := range report.Findings {
					if l.Parameter.Name == row.Fields["parameter"] {
						input += row.Fields["value"]
					}
					input += "\n"
					if l.Parameter.Name == row.Fields["parameter"] {
						input += strings.Repeat("yes\n", len(row.Doubts))
						if row.Refused != "" {
							input += "\n"
						}
					}
				}
				input += "yes\nquit\n"
				return err
			})
			if err != nil {
				t.Fatal(err)
			}
		}
		doubts, cautions, refused := typedRun(b, input, "--plain")
		row.check(t, added(t, b, before), doubts, cautions, refused)
	}
}
