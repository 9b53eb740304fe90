package main

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/testdata/typed"
)

var typedNow = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

// commandOf is the command that a row is typed as.
func commandOf(row typed.Row) (words []string) {
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
		words = []string{"water-change", f["share"]}
		if f["levels"] != "" {
			words = append(words, "--new", "alk=83", "--new", "po4=5 ppb P")
		}
	case "refill":
		words = []string{"stock", "refill", f["stock"], f["amount"]}
	case "stock":
		words = []string{"stock", "add", f["name"]}
		flag("--supplement", "supplement")
	case "tank":
		words = []string{"tank", "set", "--volume", f["volume"]}
	case "supplement":
		words = []string{"supplement", "add", f["name"]}
		if f["salt"] == "limewater" {
			return append(words, "--limewater")
		}
		flag("--salt", "salt")
		flag("--grams-per-litre", "grams")
		if ml, litres, ok := strings.Cut(strings.TrimSuffix(f["label"], " L"), " mL in "); ok {
			words = append(words, "--ml", ml, "--litres", litres, "--raises", f["raises"])
		}
	case "method":
		words = []string{"method", "add", f["name"], "--parameter", f["parameter"]}
		flag("--unit", "unit")
		flag("--step", "step")
		flag("--marks", "marks")
		flag("--sd", "sd")
	case "plan":
		words = []string{"plan", f["parameter"], "--to", f["to"], "--supplement", f["supplement"]}
		flag("--max-per-day", "most")
	case "event":
		words = []string{"event", f["what"]}
	case "chore":
		words = []string{"chore", "add", f["name"]}
	}
	return words
}

// typedRun runs the program on a book, and parts what it says.
func typedRun(b *logbook.Book, settings, input string, words ...string) (doubts, cautions []string, refused string) {
	var out, errOut strings.Builder
	env := func(name string) string {
		return map[string]string{"LEADLINE_BOOK": b.Path(), "LEADLINE_CONFIG": settings}[name]
	}
	code := run(context.Background(), words, strings.NewReader(input), &out, &errOut, env, func() time.Time {
		return typedNow
	})
	for line := range strings.Lines(out.String() + errOut.String()) {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "warning: "):
			doubts = append(doubts, line)
		case strings.HasPrefix(line, "caution: "), (slices.Contains(words, "supplement") ||
			strings.Contains(input, "supplement\" \"add")) && strings.Contains(line, ": ") && strings.HasSuffix(line, "."):
			cautions = append(cautions, line)
		}
	}
	if code != usage.ExitDone || input != "" {
		refused = strings.Split(errOut.String(), "\n")[0]
	}
	if strings.HasPrefix(refused, "warning: ") || strings.HasPrefix(refused, "caution: ") ||
		strings.HasPrefix(refused, "note: ") {
		refused = ""
	}
	return doubts, cautions, refused
}

func TestTypedAtTheShell(t *testing.T) {
	for _, row := range typed.Rows(t) {
		b := row.Book(t)
		before := typed.Lines(t, b)
		doubts, cautions, refused := typedRun(b, row.Settings(t), "", commandOf(row)...)
		row.Check(t, typed.Added(t, b, before), doubts, cautions, refused)
	}
}

// A reading on a line of a note is the same as one that is typed by itself: its doubts are shown before it is kept.
func TestTypedInLines(t *testing.T) {
	for _, row := range typed.Rows(t) {
		if row.Kind != "reading" {
			continue
		}
		b := row.Book(t)
		before := typed.Lines(t, b)
		note := filepath.Join(t.TempDir(), "note.txt")
		if err := os.WriteFile(note, []byte(row.Fields["parameter"]+" "+row.Fields["value"]+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		command := []string{"add", note, "--method", row.Fields["method"]}
		doubts, cautions, _ := typedRun(b, row.Settings(t), "", command...)
		if kept := typed.Added(t, b, before); len(kept) > 0 {
			t.Errorf("%s: kept without a yes: %v", row.Rule, kept)
		}
		_, _, refused := typedRun(b, row.Settings(t), "", append(command, "--yes")...)
		row.Check(t, typed.Added(t, b, before), doubts, cautions, refused)
	}
}

// At the prompt a reading is typed on a test day, and whatever else by the command.
func TestTypedAtThePrompt(t *testing.T) {
	for i, row := range typed.Rows(t) {
		if testing.Short() && i%4 > 0 {
			continue
		}
		b := row.Book(t)
		before := typed.Lines(t, b)
		input := ""
		if row.Kind != "reading" {
			for _, w := range commandOf(row) {
				input += `"` + w + `" `
			}
			input += "\nquit\n"
		} else {
			err := b.View(func(v *logbook.View) error {
				report, err := alerts.Examine(v, "forereef", typedNow)
				input = "test all\n"
				slices.SortStableFunc(report.Findings, func(a, b alerts.Finding) int { // what is due is asked first
					return cmp.Compare(fmt.Sprint(b.OnTestDay(typedNow)), fmt.Sprint(a.OnTestDay(typedNow)))
				})
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
		doubts, cautions, refused := typedRun(b, row.Settings(t), input, "--plain")
		row.Check(t, typed.Added(t, b, before), doubts, cautions, refused)
	}
}
