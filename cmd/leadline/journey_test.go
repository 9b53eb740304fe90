//go:build unix

package main

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"leadline/logbook"
)

// Whole journeys of a keeper through the built program in an emulated terminal, by keys alone.

// glanceLoaded is on the glance of the invented log when all is examined: the cursor goes to what is urgent then.
var glanceLoaded = []string{"leadline · 2 tanks", "at floor about", ">! phosphate", "? help"}

// asOfDemo starts the program at the end of the invented log.
func asOfDemo(args ...string) []string { return append([]string{"--as-of", demoNow}, args...) }

// noted is a reading as a script sees it.
type noted struct{ Parameter, Value, Unit string }

// readings are those in the book.
func (h household) readings(t *testing.T, args ...string) []noted {
	t.Helper()
	var out []noted
	if err := json.Unmarshal([]byte(h.run(t, append([]string{"readings", "--json"}, args...)...)), &out); err != nil {
		t.Fatal(err)
	}
	return out
}

// From an empty folder to a tank, its bands and a first reading.
func TestFirstRunByKeys(t *testing.T) {
	h := newHousehold(t)
	e := h.start(t, 80, 24)
	e.sees("This book is empty", "name")
	e.press("forereef", enter)
	e.sees("> litres")
	e.press("450", ctrlS)
	e.sees("forereef · bands", "[x] alkalinity", "forereef is set up")
	e.press(down, space)
	e.sees("> [ ] calcium")
	e.press(enter)
	e.sees("forereef · test day", "alkalinity", "first test")
	if row := e.row("calcium"); row != "" {
		t.Errorf("calcium was left out and has a line: %q", row)
	}
	e.press("8.2", enter)
	e.sees("> magnesium")
	e.press(ctrlS)
	e.sees("1 reading of forereef in the book", "8.2 dKH")
	e.press("q")
	e.leaves()
	got := h.readings(t, "alkalinity")
	if len(got) != 1 || got[0].Parameter != "alkalinity" || got[0].Value != "8.2" || got[0].Unit != "dKH" {
		t.Errorf("the book has %+v", got)
	}
}

// A book under a name that was given is started only after a yes: the name may be mistyped, or its disk not connected.
func TestNamedBookIsNotStartedUnasked(t *testing.T) {
	h := newHousehold(t)
	path := filepath.Join(h.folder, "stick.book")
	asked := "there is no logbook at " + path + ": start one there? (yes or no)"
	e := h.start(t, 240, 24, "--book", path)
	e.sees(asked)
	e.press("no", enter)
	e.sees("leadline tank add NAME starts one")
	if _, err := os.Stat(path); err == nil {
		t.Error("a book was started after a no")
	}
	e = h.start(t, 240, 24, "--book", path)
	e.sees(asked)
	e.press("yes", enter)
	e.sees("This book is empty")
	e.press(ctrlC)
	e.leaves()
}

// eightTests are a test day of the invented tank: what is typed, and what the line says of it then.
var eightTests = []struct{ parameter, typed, says string }{
	{"pH", "8.1", "in band"}, // never tested, so it is due
	{"alkalinity", "7.5", "as expected"},
	{"calcium", "410", "as expected"},
	{"magnesium", "1330", "as expected"},
	{"nitrate", "7.4", "as expected"},
	{"phosphate", "6", "below"}, // ppb P: 0.018 mg/L
	{"salinity", "34.8", "as expected"},
	{"temperature", "25.2", "as expected"},
}

// eightParameters gives the demo tank an eighth parameter.
func (h household) eightParameters(t *testing.T) {
	h.demoBook(t)
	h.run(t, "--tank", "forereef", "band", "pH", "--low", "7.8", "--high", "8.4")
}

// Eight readings are typed; a slip is caught and corrected, an odd one looked at twice, and all go into the book at
// once.
func TestTestDayByKeys(t *testing.T) {
	h := newHousehold(t)
	h.eightParameters(t)
	before := map[string]int{}
	for _, test := range eightTests[1:] {
		before[test.parameter] = len(h.readings(t, "--tank", "forereef", test.parameter))
	}
	e := h.start(t, 80, 24, asOfDemo()...)
	e.sees(glanceLoaded...)
	e.press("t")
	e.seesExpectations()
	for i, test := range eightTests {
		e.sees("> " + test.parameter)
		switch test.parameter {
		case "calcium": // a digit too many
			e.press("4100", enter)
			e.sees("> calcium", "a slip?", "ctrl+g takes 410 mg/L")
			e.press(ctrlG)
		case "nitrate": // a point forgotten
			e.press("74", enter)
			e.sees("> nitrate", "far off", "enter or ctrl+s keeps it as typed")
			e.press(backspace, backspace, "7.4")
		default:
			e.press(test.typed)
		}
		if test.parameter == "calcium" {
			e.until("410 is left", func(string) bool { return strings.Contains(e.row("> calcium"), "410 ") })
		}
		e.press(enter)
		e.until(test.parameter+" is judged", func(string) bool {
			return strings.Contains(e.row("  "+test.parameter), test.says) ||
				i == len(eightTests)-1 && strings.Contains(e.row(test.parameter), test.says)
		})
	}
	e.sees("> time")
	e.press(ctrlS)
	e.sees("8 readings of forereef in the book")
	e.press("q")
	e.leaves()
	for _, test := range eightTests {
		got := h.readings(t, "--tank", "forereef", test.parameter)
		if n := len(got); n != before[test.parameter]+1 || got[n-1].Value != test.typed {
			t.Errorf("%s: %d readings, want one more than %d, and the last %s", test.parameter, n, before[test.parameter],
				test.typed)
		}
	}
}

// A program killed half way through a test day, without a chance to do anything, offers it again.
func TestKilledTestDayComesBack(t *testing.T) {
	h := newHousehold(t)
	h.eightParameters(t)
	e := h.start(t, 80, 24, asOfDemo()...)
	e.sees(glanceLoaded...)
	e.press("t")
	e.sees("> pH")
	e.press("8.1", enter)
	e.sees("> alkalinity")
	e.press("7")
	book, err := logbook.Open(h.book())
	if err != nil {
		t.Fatal(err)
	}
	e.until("the draft is on the disk", func(string) bool {
		var typed string
		err := book.View(func(v *logbook.View) error {
			d, _, err := v.Draft("forereef")
			typed = d.Fields["alkalinity"].Text
			return err
		})
		return err == nil && typed == "7"
	})
	if err := e.cmd.Process.Signal(syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	_ = e.end()
	e = h.start(t, 80, 24, asOfDemo()...)
	e.sees("test day of forereef half typed")
	e.press("t")
	e.sees("is back", "> calcium")
	if row := e.row("  pH "); !strings.Contains(row, "8.1") {
		t.Errorf("pH is not back: %q", row)
	}
	e.press(up)
	e.sees("> alkalinity")
	e.press(".5", enter)
	e.sees("> calcium")
	e.press(ctrlS)
	e.sees("2 readings of forereef in the book")
	e.press("q")
	e.leaves()
	if got := h.readings(t, "--tank", "forereef", "alkalinity"); got[len(got)-1].Value != "7.5" {
		t.Errorf("the last alkalinity in the book is %+v", got[len(got)-1])
	}
}

// A line struck in the journal stays readable with its reason, and counts no more.
func TestStrikeByKeys(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	before := len(h.readings(t, "--tank", "forereef", "phosphate"))
	e := h.start(t, 80, 24, asOfDemo()...)
	e.sees(glanceLoaded...)
	e.press("J")
	e.sees("forereef · journal", "everything of the last")
	e.press("/", "phosphate 7 ppb", enter)
	e.sees("search phosphate 7 ppb", "> ")
	e.press("x")
	e.sees("Strikes phosphate 7 ppb P", "It stays readable", "> why")
	e.press("wrong cuvette", ctrlS)
	e.sees("struck", "wrong cuvette", "phosphate 7 ppb P")
	e.press("r")
	e.sees("this line is struck: x brings it back")
	e.press("x")
	e.sees("1 line counts again; u takes it back")
	e.press("u")
	e.sees("taken back: 1 reading struck")
	e.press("q")
	e.sees("forereef", "phosphate")
	e.press("q")
	e.leaves()
	if after := len(h.readings(t, "--tank", "forereef", "phosphate")); after != before-1 {
		t.Errorf("%d phosphate readings count, want one less than %d", after, before)
	}
	out := h.run(t, "--tank", "forereef", "export", "jsonl")
	if !strings.Contains(out, "wrong cuvette") || !strings.Contains(out, `"value":"7"`) {
		t.Error("the struck line or its reason is lost")
	}
}

// The chart: closer and wider, earlier and back, a cursor that reads values, another parameter, the logarithm, the
// hindcast.
func TestChartByKeys(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	e := h.start(t, 100, 30, asOfDemo()...)
	e.sees(glanceLoaded...)
	e.press(enter)
	e.sees("forereef · phosphate", "Jan 2026", "Feb 2026", "╌╌ band 0.030–0.100", "══ floor 0.015")
	e.press("+")
	e.sees("16 Feb", "23 Feb")
	e.press("-")
	e.sees("Feb 2026")
	e.press("-")
	e.sees("Nov 2025")
	e.press(left)
	e.sees("Aug 2025")
	e.press("0")
	e.loses("Aug 2025")
	e.sees("Jan 2026", "Feb 2026")
	e.press("v")
	e.sees("nearest reading 0.021 mg/L on 6 Mar 2026")
	for range 20 { // a column is a day and more
		before := e.row("nearest reading")
		e.press(left)
		e.until("the cursor moves", func(string) bool { row := e.row("nearest reading"); return row != "" && row != before })
		if strings.Contains(e.row("nearest reading"), "27 Feb 2026") {
			break
		}
	}
	e.sees("nearest reading 0.025 mg/L on 27 Feb 2026")
	e.press("v")
	e.loses("nearest reading")
	e.press("o")
	e.sees("x alkalinity")
	e.press("o")
	e.sees("x calcium")
	before := e.row("0.100")
	e.press("L")
	e.sees("log scale")
	if before == "" {
		t.Error("no row of the upper edge of the band")
	}
	e.press("H")
	e.sees("marks where it would have warned: 1 time")
	e.press("i")
	e.sees("what if: phosphate")
	e.press(escape)
	e.sees("forereef · phosphate", "log scale")
	e.press(ctrlC)
	e.leaves()
}

// What is imagined moves with plus and minus, the forecast with it, and the book does not.
func TestWhatIfByKeys(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	before := h.run(t, "export", "jsonl")
	e := h.start(t, 100, 30, asOfDemo()...)
	e.sees(glanceLoaded...)
	e.press(enter)
	e.sees("forereef · phosphate", "Feb 2026")
	e.press("i")
	e.sees("what if: phosphate", "> daily dosing", "in 28 days")
	asItIs := e.row("in 28 days")
	e.press("+", "+", "+")
	e.until("the forecast rises", func(string) bool { return e.row("in 28 days") != asItIs && e.row("if so") != "" })
	more := e.row("in 28 days")
	e.press("-", "-", "-")
	e.until("the forecast falls again", func(string) bool {
		return e.row("in 28 days") != more && e.row("if so") != "" && strings.Contains(e.row("> daily dosing"), " 0.00")
	})
	e.press(escape)
	e.sees("W why")
	e.press(ctrlC)
	e.leaves()
	if h.run(t, "export", "jsonl") != before {
		t.Error("the book has changed")
	}
}

// What stands on the screen is exported from the palette: a post and the picture of a chart, into files of the given
// names; one that is there is not replaced unasked.
func TestExportFromThePalette(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	e := h.start(t, 80, 24, asOfDemo()...)
	e.sees(glanceLoaded...)
	export := func(what, file string) {
		e.press(":")
		e.sees("esc leave it")
		e.press(what)
		e.until("it is the only one", func(screen string) bool {
			return strings.Count(screen, "export ") == 1 && strings.Contains(e.row("export "), what)
		})
		e.press(enter)
		e.sees("forereef · export", "goes to")
		for range 60 { // the name that is offered
			e.press(backspace)
		}
		e.until("the name is gone", func(string) bool { return strings.TrimSpace(e.row("> file")) == "> file" })
		e.press(file)
		e.sees(file)
		e.press(ctrlS)
	}
	export("Markdown", "post.md")
	e.sees("post.md is in ", "phosphate")
	export("SVG", "chart.svg")
	e.sees("chart.svg is in ", "phosphate")
	for file, holds := range map[string]string{"post.md": "phosphate", "chart.svg": "<svg"} {
		if got, err := os.ReadFile(filepath.Join(h.folder, file)); err != nil || !strings.Contains(string(got), holds) {
			t.Errorf("%s: %v, %d bytes", file, err, len(got))
		}
	}
	if err := os.WriteFile(filepath.Join(h.folder, "post.md"), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	export("Markdown", "post.md")
	e.sees("there is a file post.md already")
	e.press(escape)
	e.sees("esc again leaves")
	e.press(escape)
	e.sees("leadline · 2 tanks")
	if got, _ := os.ReadFile(filepath.Join(h.folder, "post.md")); string(got) != "mine" {
		t.Error("a file was replaced unasked")
	}
	e.press(ctrlC)
	e.leaves()
}

// A form with something typed warns of ctrl+c and loses nothing silently; the second one leaves.
func TestInterruptInAForm(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	e := h.start(t, 80, 24, asOfDemo()...)
	e.sees(glanceLoaded...)
	e.press("e")
	e.sees("forereef · event")
	e.press("polyps out")
	e.sees("polyps out")
	e.press(ctrlC)
	e.sees("ctrl+c again leaves without keeping", "polyps out")
	e.press(" again")
	e.sees("polyps out again")
	e.loses("ctrl+c again")
	e.press(ctrlC)
	e.sees("ctrl+c again leaves without keeping")
	if own, _ := e.modes(); !own {
		t.Error("the program has left its screen")
	}
	e.press(ctrlC)
	e.leaves()
}

// Put aside with ctrl+z the terminal is the shell's again; after fg the program shows what was added meanwhile.
func TestPutAsideAndBack(t *testing.T) {
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no shell with job control")
	}
	h := newHousehold(t)
	h.demoBook(t)
	e := h.startIn(t, 80, 24, h.env(), bash, "--norc", "--noprofile", "-i")
	e.sees("shell>")
	e.press("'", h.path, "' --as-of ", demoNow, enter)
	e.sees(glanceLoaded...)
	e.press(ctrlZ)
	e.sees("shell>", "Stopped")
	e.restored()
	e.press("stty -a | tr ' ;' '\\n\\n' | grep -cx -e icanon -e echo", enter)
	e.until("the terminal edits lines and echoes again", func(screen string) bool {
		return strings.Contains(screen, "\n2\n")
	})
	h.run(t, "--tank", "forereef", "add", "alkalinity=8.37", "--at", demoNow)
	e.press("fg", enter)
	e.sees("leadline ·", "8.37 dKH")
	if own, hidden := e.modes(); !own || !hidden {
		t.Errorf("back, but on its own screen: %v, cursor hidden: %v", own, hidden)
	}
	e.press("q")
	e.sees("shell>")
	e.loses("8.37 dKH")
	e.restored()
	e.press("exit", enter)
	_ = e.end()
}
