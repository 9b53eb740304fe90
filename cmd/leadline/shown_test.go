package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"leadline/cmd/internal/usage"
	"leadline/testdata/shown"
)

// What a keeper reads is in the units of the settings alone, and what a program reads in those of the book.
func TestShownInTheUnitsOfTheSettings(t *testing.T) {
	b := shown.Book(t)
	settings := filepath.Join(t.TempDir(), "config.toml")
	text := "[units]\n"
	for name, unit := range shown.Units() {
		text += fmt.Sprintf("%s = %q\n", name, unit)
	}
	if err := os.WriteFile(settings, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	run := func(config string, args ...string) string {
		var out, errOut strings.Builder
		env := func(name string) string {
			return map[string]string{"LEADLINE_BOOK": b.Path(), "LEADLINE_CONFIG": config}[name]
		}
		args = append(args, "--as-of", shown.AsOf.Format(time.RFC3339))
		code := run(context.Background(), args, strings.NewReader(""), &out, &errOut, env, func() time.Time {
			return shown.AsOf
		})
		if code != usage.ExitDone {
			t.Fatalf("%v: %d, %s", args, code, &errOut)
		}
		return out.String()
	}
	for _, args := range [][]string{
		{"status"}, {"status", "--plain"}, {"alerts"}, {"year"}, {"changed", "--around", "2026-02-15"}, {"tank", "show"},
		{"band", "list"}, {"export", "post", "--format", "text"},
	} {
		shown.Check(t, args[0], "", run(settings, args...))
	}
	for _, p := range shown.Parameters() {
		for _, args := range [][]string{{"trend", p, "--why"}, {"chart", p}, {"hindcast", p}} {
			shown.Check(t, args[0], p, run(settings, args...))
		}
	}
	shown.Check(t, "demand", "alkalinity", run(settings, "demand", "alk"))
	shown.Check(t, "what-if", "alkalinity",
		run(settings, "what-if", "alk", "--dosing", "0.2", "--water-change", "10%:3.1", "--to", "3"))
	shown.Check(t, "plan", "alkalinity", run(settings, "plan", "alk", "--to", "3"))

	none := filepath.Join(t.TempDir(), "none.toml")
	if err := os.WriteFile(none, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"trend", "po4", "--json"}, {"readings", "po4", "--json"}, {"export", "csv"},
		{"export", "jsonl"}} {
		own, _, _ := strings.Cut(run(none, args...), `"reasons":`) // these are for a person
		set, _, _ := strings.Cut(run(settings, args...), `"reasons":`)
		if own != set {
			t.Errorf("%v: with the settings\n%s\nand without\n%s", args, set, own)
		}
	}
}
