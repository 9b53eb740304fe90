package tui

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"leadline/tui/form"
	"leadline/tui/part"

	"github.com/charmbracelet/x/ansi"
)

// exporting is an app on a book whose exports write down what they were asked for.
func exporting(t *testing.T) (*app, *[]part.Exported) {
	t.Helper()
	var asked []part.Exported
	write := func(of part.Exported, path string, replace bool) error {
		asked = append(asked, of)
		if _, err := os.Stat(path); err == nil && !replace {
			return errors.New("it is there already")
		}
		return os.WriteFile(path, []byte(of.Tank.Name+" "+of.Parameter), 0o600)
	}
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true, Exports: []part.Export{
		{Name: "chart, PNG picture", Suffix: ".png", OfSeries: true, Write: write},
		{Name: "post for a forum, Markdown", Stem: "post", Suffix: ".md", Write: write}}})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	return a, &asked
}

// unbroken is a text without the blanks between its words, wherever its lines are broken.
func unbroken(text string) string { return strings.Join(strings.Fields(ansi.Strip(text)), "") }

func typeText(a *app, text string) {
	for _, c := range text {
		do(a, string(c))
	}
}

// The list of commands offers what can be exported, of what is on the screen; the file is named, and said where it is.
func TestExportFromTheCommands(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	a, asked := exporting(t)
	do(a, ":")
	typeText(a, "forum")
	do(a, "enter")
	if frame := a.View(); !strings.Contains(frame, "forereef-post-2026-03-14.md") ||
		!strings.Contains(unbroken(frame), unbroken("goes to "+folder)) {
		t.Fatalf("no file is offered:\n%s", frame)
	}
	do(a, "ctrl+s")
	text, err := os.ReadFile(filepath.Join(folder, "forereef-post-2026-03-14.md"))
	if err != nil || !strings.HasPrefix(string(text), "forereef ") || len(*asked) != 1 || !(*asked)[0].From.IsZero() {
		t.Fatalf("%q %v %+v", text, err, *asked)
	}
	if frame := a.View(); len(a.stack) != 1 || !strings.Contains(frame, "forereef-post-2026-03-14.md is in ") {
		t.Errorf("it is not said where the file is:\n%s", frame)
	}
}

// From the chart it is the chart's own parameter and stretch of time; a name without a suffix gets it.
func TestExportFromTheChart(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	a, asked := exporting(t)
	a.top().(*glance).goTo("forereef", "nitrate")
	do(a, "enter", "+", "E", "enter")
	if !strings.Contains(a.View(), "forereef-nitrate-2026-03-14.png") {
		t.Fatalf("no file is offered:\n%s", a.View())
	}
	f := a.top().(*form.Form)
	f.Fields[0].Input.SetValue("")
	typeText(a, "picture")
	do(a, "enter")
	if len(*asked) != 1 || (*asked)[0].Parameter != "nitrate" || !(*asked)[0].From.Equal(noon.AddDate(0, 0, -28)) ||
		!(*asked)[0].AsOf.Equal(noon) {
		t.Fatalf("asked for %+v", *asked)
	}
	if _, err := os.Stat(filepath.Join(folder, "picture.png")); err != nil {
		t.Error(err)
	}
	if _, on := a.top().(*parameterScreen); !on {
		t.Errorf("the chart is not back: %s", a.top().About().Title)
	}
}

// A file that is there is asked about once, a folder refused, and nothing is lost of what is typed when writing fails.
func TestExportReplacesOnlyWhenAsked(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	if err := os.WriteFile("old.md", []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	a, asked := exporting(t)
	begin := func(name string) {
		do(a, "E")
		typeText(a, " post")
		do(a, "enter")
		a.top().(*form.Form).Fields[0].Input.SetValue("")
		typeText(a, name)
		do(a, "ctrl+s")
	}
	begin("old.md")
	if text, _ := os.ReadFile("old.md"); string(text) != "mine" ||
		!strings.Contains(unbroken(a.View()), "thereisafileold.mdalready") {
		t.Fatalf("replaced unasked, or no question:\n%s", a.View())
	}
	do(a, "ctrl+s")
	if text, _ := os.ReadFile("old.md"); !strings.HasPrefix(string(text), "forereef") || len(*asked) != 1 {
		t.Errorf("not replaced though asked: %q", text)
	}
	begin(filepath.Dir(folder))
	if !strings.Contains(unbroken(a.View()), "isafolder") {
		t.Errorf("a folder is not refused:\n%s", a.View())
	}
	do(a, "esc", "esc")
	begin("gone/post.md")
	if f, on := a.top().(*form.Form); !on || f.Value("file") != "gone/post.md" || f.Message == "" {
		t.Errorf("what failed is not said:\n%s", a.View())
	}
	do(a, "esc", "esc")
	begin(strings.Repeat("long", 100))
	if f := a.top().(*form.Form); runtime.GOOS != "windows" && !strings.HasPrefix(f.Message, "file name too long: ") {
		t.Errorf("the reason is not said first: %q", f.Message)
	}
}

// Where a chart needs a parameter and there is none, it is not offered.
func TestExportsThatFit(t *testing.T) {
	a, _ := exporting(t)
	g := a.top().(*glance)
	g.reports[0].Findings = nil
	do(a, "E")
	if frame := a.View(); strings.Contains(frame, "PNG") || !strings.Contains(frame, "Markdown") {
		t.Errorf("offered:\n%s", frame)
	}
}
