package main

import (
	"go/parser"
	"go/scanner"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"
)

// underAll are the rooms below both front ends; underCommands those that every command may use besides. A room of
// commands uses no other: what two of them need lies below both.
var (
	underAll = []string{"alerts", "alerts/entry", "alerts/picture", "alerts/words", "trend", "logbook",
		"logbook/water"}
	underCommands = append([]string{"cmd/internal/app", "cmd/internal/settings", "cmd/internal/shape",
		"cmd/internal/terminal", "cmd/internal/usage", "cmd/internal/report"}, underAll...)
	commands = []string{"cmd/internal/look", "cmd/internal/reckon", "cmd/internal/note", "cmd/internal/setup",
		"cmd/internal/importing", "cmd/internal/keep", "cmd/internal/about", "cmd/internal/team"}
)

// mayImport is the rule that imports run downward only: what each room may use of the others. A room not named here may
// not exist.
var mayImport = map[string][]string{
	"cmd/leadline": slices.Concat(
		[]string{"cmd/internal/plain", "cmd/internal/quietstart", "tui", "testdata/demo"}, commands, underCommands),
	// it says the glance that status prints
	"cmd/internal/plain":     slices.Concat([]string{"cmd/internal/look"}, underCommands),
	"cmd/internal/look":      underCommands,
	"cmd/internal/reckon":    underCommands,
	"cmd/internal/note":      underCommands,
	"cmd/internal/setup":     underCommands,
	"cmd/internal/importing": underCommands,
	"cmd/internal/keep":      underCommands,
	"cmd/internal/about":     underCommands,
	"cmd/internal/team":      append([]string{"logbook/share"}, underCommands...),
	"cmd/internal/app": slices.Concat([]string{"cmd/internal/settings", "cmd/internal/shape",
		"cmd/internal/terminal", "cmd/internal/usage", "tui/part"}, underAll),
	"cmd/internal/settings":   {"cmd/internal/usage", "logbook"},
	"cmd/internal/shape":      {"alerts", "trend", "logbook", "logbook/water"},
	"cmd/internal/terminal":   {"alerts/picture"},
	"cmd/internal/usage":      {"alerts/words", "logbook"},
	"cmd/internal/report":     {"alerts", "alerts/picture", "alerts/words", "trend", "logbook", "logbook/water"},
	"cmd/internal/quietstart": {},
	"cmd/release":             {"alerts/words"},
	"tui": {"tui/form", "tui/part", "alerts", "alerts/entry", "alerts/picture", "alerts/words",
		"trend", "logbook", "logbook/water"},
	"tui/form": {"tui/part", "alerts", "alerts/entry", "alerts/picture", "alerts/words", "trend", "logbook",
		"logbook/water"},
	"tui/part":        {"alerts", "alerts/entry", "alerts/picture", "alerts/words", "logbook"},
	"alerts":          {"alerts/words", "logbook", "logbook/water", "trend"},
	"alerts/entry":    {"alerts", "alerts/words", "trend", "logbook", "logbook/water"},
	"alerts/picture":  {"alerts", "alerts/words", "trend", "logbook"},
	"alerts/words":    {"logbook", "logbook/water"},
	"trend":           {},
	"trend/study":     {"trend"},
	"logbook":         {"logbook/water", "logbook/sheet"},
	"logbook/share":   {"logbook"},
	"logbook/sheet":   {},
	"logbook/water":   {},
	"testdata/demo":   {"logbook"},
	"testdata/server": {},
	"testdata/shown":  {"logbook", "testdata/typed"},
	"testdata/typed":  {"logbook"},
}

// inTestsToo is what the tests of a room may use besides: the demo is everyone's example, and both front ends type the
// same rows.
var inTestsToo = []string{"testdata/demo", "testdata/server", "testdata/shown", "testdata/typed"}

const root = "../.."

func TestImportsRunDownward(t *testing.T) {
	eachGoFile(t, func(path string, src []byte) {
		rel, err := filepath.Rel(root, filepath.Dir(path))
		if err != nil {
			t.Fatal(err)
		}
		room := filepath.ToSlash(rel)
		allowed, known := mayImport[room]
		if !known {
			t.Errorf("%s: no room %q is planned", path, room)
			return
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly)
		if err != nil {
			t.Fatal(err)
		}
		for _, spec := range f.Imports {
			imported, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				t.Fatal(err)
			}
			if room == "cmd/internal/quietstart" && imported != "os" && !strings.HasSuffix(path, "_test.go") {
				t.Errorf("%s imports %s: it may import os alone, or it starts too late", path, imported)
			}
			ours, ok := strings.CutPrefix(imported, "leadline/")
			if !ok || ours == room || slices.Contains(allowed, ours) {
				continue
			}
			if strings.HasSuffix(path, "_test.go") && slices.Contains(inTestsToo, ours) {
				continue
			}
			t.Errorf("%s: %s may not import %s", path, room, ours)
		}
	})
}

// eachGoFile reads every Go file of the project.
func eachGoFile(t *testing.T, fn func(path string, src []byte)) {
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && strings.HasPrefix(d.Name(), ".") && path != root {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") {
			return nil
		}
		src, err := os.ReadFile(path)
		if err == nil {
			fn(path, src)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestTopLevelIsFixed(t *testing.T) {
	allowed := []string{"cmd", "tui", "logbook", "trend", "alerts", "testdata", "go.mod", "go.sum", "README.md",
		"DEVELOPERS.md", "LICENSE", "CHANGELOG.md",
		"leadline", "leadline.exe", "dist"} // what a build leaves, ignored by git
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if !strings.HasPrefix(e.Name(), ".") && !slices.Contains(allowed, e.Name()) {
			t.Errorf("%s: the top level holds %s and nothing else", e.Name(), strings.Join(allowed, ", "))
		}
	}
}

// Lines of code are at most 120 characters wide, a tab counting as one. Only raw text of a test, such as a line of a
// file that is read, may be wider.
func TestLinesFit(t *testing.T) {
	const most = 120
	eachGoFile(t, func(path string, src []byte) {
		raw := map[int]bool{} // lines on which a raw text of a test stands
		var s scanner.Scanner
		fset := token.NewFileSet()
		s.Init(fset.AddFile(path, -1, len(src)), src, nil, 0)
		for pos, tok, text := s.Scan(); tok != token.EOF; pos, tok, text = s.Scan() {
			if strings.HasPrefix(text, "`") && strings.HasSuffix(path, "_test.go") {
				for line := range strings.Count(text, "\n") + 1 {
					raw[fset.Position(pos).Line+line] = true
				}
			}
		}
		for i, line := range strings.Split(string(src), "\n") {
			if n := utf8.RuneCountInString(line); n > most && !raw[i+1] {
				t.Errorf("%s:%d: %d characters, more than %d", path, i+1, n, most)
			}
		}
	})
}
