package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"leadline/cmd/internal/about"
)

// manualOf writes the manual as the program does.
func manualOf(t *testing.T) (folder string, pages []string) {
	t.Helper()
	folder = t.TempDir()
	var out, errOut bytes.Buffer
	if code := run(context.Background(), []string{"man", folder}, strings.NewReader(""), &out, &errOut, os.Getenv,
		time.Now); code != 0 {
		t.Fatal(errOut.String())
	}
	pages, err := filepath.Glob(filepath.Join(folder, "*.[17]"))
	if err != nil {
		t.Fatal(err)
	}
	return folder, pages
}

// TestManual looks for the parts that every page must have, and for text that a formatter must not touch.
func TestManual(t *testing.T) {
	folder, pages := manualOf(t)
	if len(pages) < 30 {
		t.Errorf("only %d pages", len(pages))
	}
	for _, path := range pages {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		heads := []string{".TH ", ".SH NAME", ".SH DESCRIPTION", ".SH SEE ALSO"}
		if filepath.Ext(path) == ".1" {
			heads = append(heads, ".SH SYNOPSIS", ".SH EXIT STATUS", ".SH ENVIRONMENT", ".SH FILES")
		}
		for _, head := range heads {
			if !strings.Contains(string(text), head) {
				t.Errorf("%s: no %s", filepath.Base(path), head)
			}
		}
		for i, b := range text {
			if b > '~' || b < ' ' && b != '\n' {
				t.Fatalf("%s: byte %#x at %d", filepath.Base(path), b, i)
			}
		}
	}
	add, err := os.ReadFile(filepath.Join(folder, "leadline-add.1"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`values may be \(dq<0.02\(dq or \(dq>50\(dq`,
		`leadline add nitrate=4.2 po4=\(aq<0.02\(aq`, `\fB\-y\fP, \fB\-\-yes\fP`} {
		if !strings.Contains(string(add), want) {
			t.Errorf("the page of add has no %s:\n%s", want, add)
		}
	}
	guide, err := os.ReadFile(filepath.Join(folder, "leadline-guide.7"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{".SH \"THE MORNING GLANCE\"", `\fBleadline COMMAND \-\-help\fP says all`,
		".nf\nleadline tank add forereef", ".IP \\(bu 2\n\\fBdemand\\fP says"} {
		if !strings.Contains(string(guide), want) {
			t.Errorf("the guide has no %s", want)
		}
	}
	if regexp.MustCompile("(?m)^`|^ *<|]\\(|^#").Match(guide) {
		t.Error("the guide still has marks of Markdown")
	}
}

// TestManualIsFormatted has groff format every page, with every warning on, and reads one.
func TestManualIsFormatted(t *testing.T) {
	if _, err := exec.LookPath("groff"); err != nil {
		t.Skip("needs groff")
	}
	folder, pages := manualOf(t)
	for _, path := range pages {
		out, err := exec.Command("groff", "-man", "-Tutf8", "-ww", "-z", path).CombinedOutput()
		if err != nil || len(out) > 0 {
			t.Errorf("%s: %v\n%s", filepath.Base(path), err, out)
		}
	}
	out, err := exec.Command("groff", "-man", "-Tascii", "-P-c", filepath.Join(folder, "leadline-add.1")).Output()
	if err != nil {
		t.Fatal(err)
	}
	shown := regexp.MustCompile(`.\x08`).ReplaceAllString(string(out), "")
	for _, want := range []string{`"<0.02" or ">50"`, `leadline add po4='33 ppb P' --method photometer-p`, "--unit UNIT",
		"LEADLINE_BOOK"} {
		if !strings.Contains(shown, want) {
			t.Errorf("the page of add does not show %s:\n%s", want, shown)
		}
	}
}

// TestEnvironmentIsTold holds the list of variables in the manual against what the sources of the program ask for.
func TestEnvironmentIsTold(t *testing.T) {
	told := ""
	variables, _ := about.Surroundings()
	for _, e := range variables {
		told += e.Name + ", "
	}
	here, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	rooms, err := filepath.Glob("../internal/*/*.go")
	if err != nil {
		t.Fatal(err)
	}
	asks, found := regexp.MustCompile(`(?:[Ee]nv|Switched)\("([A-Z_]+)"`), 0
	for _, path := range append(here, rooms...) {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range asks.FindAllStringSubmatch(string(text), -1) {
			found++
			if !strings.Contains(told, m[1]+", ") {
				t.Errorf("%s asks for %s, which the manual does not tell", path, m[1])
			}
		}
	}
	if found < 10 {
		t.Errorf("only %d questions found", found)
	}
}
