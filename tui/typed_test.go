package tui

import (
	"bytes"
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
	"leadline/tui/form"
	"leadline/tui/part"
)

// typedRow is a rule for what is typed: the same text gives the same records, doubts and cautions on the screens as at the
// shell and at the prompt, where cmd/leadline holds the same rows.
type typedRow struct {
	Rule, Kind       string
	Fields           map[string]string
	Records          []map[string]any // as in JSON Lines, without time, tank and id
	Doubts, Cautions []string
	Refused          string
}

const typedFolder = "../testdata/typed/"

// typedBook is the book that every row is typed into, and an app on its glance.
func typedBook(t *testing.T) (*logbook.Book, *app, logbook.Tank) {
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
	var tank logbook.Tank
	if err == nil {
		err = b.View(func(v *logbook.View) (err error) { tank, err = v.Tank("forereef"); return err })
	}
	if err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	return b, a, tank
}

func typedRecords(t *testing.T, b *logbook.Book) []string {
	t.Helper()
	var out bytes.Buffer
	if err := b.View(func(v *logbook.View) error { return logbook.WriteJSONL(&out, v, logbook.ExportOptions{}) }); err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSpace(out.String()), "\n")
}

func TestTypedOnTheScreens(t *testing.T) {
	text, err := os.ReadFile(typedFolder + "rows.json")
	var rows []typedRow
	if err == nil {
		err = json.Unmarshal(text, &rows)
	}
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows {
		b, a, tank := typedBook(t)
		before := typedRecords(t, b)
		var doubts, cautions []string
		refused := ""
		if row.Kind == "reading" {
			doubts, refused = typeReading(a, tank, row)
		} else {
			doubts, cautions, refused = typeForm(t, a, tank, row)
		}
		var records []map[string]any
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
}

// typeReading types a reading on a test day and saves it, whatever is asked.
func typeReading(a *app, tank logbook.Tank, row typedRow) (doubts []string, refused string) {
	d := newTestDay(a.env, tank, nil)
	a.push(d)
	settleAll(a, d.Init())
	at := slices.IndexFunc(d.fields, func(f *testField) bool { return f.Parameter.Name == row.Fields["parameter"] })
	d.focus(at)
	doText(a, row.Fields["value"])
	f := d.fields[at]
	if q, _ := f.question(); q != "" {
		doubts = append(doubts, q)
	}
	refused = f.refused
	do(a, "ctrl+s")
	if a.top() == d {
		do(a, "ctrl+s")
	}
	return doubts, refused
}

// typeForm fills in a form and saves it, whatever is asked.
func typeForm(t *testing.T, a *app, tank logbook.Tank, row typedRow) (doubts, cautions []string, refused string) {
	t.Helper()
	x := row.Fields
	var f *form.Form
	var typed [][2]string
	switch row.Kind {
	case "dose":
		f, typed = form.Build(a.env, part.FormOf{Kind: part.OneDose, Tank: tank, Name: x["parameter"]}), [][2]string{{"supplement", x["supplement"]}, {"rise", x["amount"]}, {"when", x["when"]}}
	case "dosing":
		f, typed = form.Build(a.env, part.FormOf{Kind: part.DailyDosing, Tank: tank, Name: x["parameter"]}), [][2]string{{"supplement", x["supplement"]}, {"per day", x["amount"]}}
	case "band":
		f, typed = form.Build(a.env, part.BandOf{Tank: tank, Parameter: x["parameter"], Every: 0}), [][2]string{{"low", x["low"]}, {"high", x["high"]}}
	case "water change":
		f, typed = form.Build(a.env, part.FormOf{Kind: part.WaterChange, Tank: tank, Name: ""}), [][2]string{{"how much", x["share"]}, {"new water", x["levels"]}}
	case "refill":
		f, typed = form.Build(a.env, part.RefillOf{Tank: tank, Stock: logbook.Stock{Tank: tank.Name, Name: x["stock"], Unit: "mL"}}), [][2]string{{"there now", x["amount"]}}
	case "stock":
		f, typed = form.Build(a.env, part.FormOf{Kind: part.NewStock, Tank: tank, Name: ""}), [][2]string{{"name", x["name"]}, {"supplement", x["supplement"]}}
	case "supplement":
		f, typed = form.Build(a.env, part.FormOf{Kind: part.ASupplement, Tank: tank, Name: x["name"]}), [][2]string{{"or salt", x["salt"]}}
	case "method":
		f = form.Build(a.env, part.FormOf{Kind: part.AMethod, Tank: tank, Name: x["parameter"]})
		typed = [][2]string{{"name", x["name"]}, {"unit", x["unit"]}, {"steps or marks", x["step"] + x["marks"]}, {"repeatability", x["sd"]}}
	default:
		t.Fatalf("no form for %s", row.Kind)
	}
	a.push(f)
	settleAll(a, f.Init())
	for _, field := range typed {
		f.StartAt(field[0])
		f.Field(field[0]).Input.SetValue(field[1])
	}
	if f.Cautions != nil {
		cautions = f.Cautions(f)
		slices.Sort(cautions)
	}
	do(a, "ctrl+s")
	refused = f.Message
	if q := f.Question(); q != "" {
		doubts = append(doubts, q)
		do(a, "ctrl+s")
	}
	return doubts, cautions, refused
}
