//go:build unix

package main

import (
	"strings"
	"syscall"
	"testing"

	"leadline/alerts/picture"
)

// Terminals that take little: ASCII alone, or lines alone.

// A terminal whose locale knows ASCII only is sent nothing else, by the screens and by commands; a file gets all signs.
func TestASCIITerminal(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	env := h.env("LC_ALL=C")
	e := h.startIn(t, 80, 24, env, h.path, asOfDemo()...)
	e.sees("leadline - 2 tanks", ">! phosphate", "\\ falling")
	e.press(enter)
	e.sees("forereef - phosphate", "-- band 0.030-0.100")
	e.press(ctrlC)
	e.leaves()
	for _, args := range [][]string{{"chart", "phosphate"}, {"status"}, {"export", "post", "--format", "text"}} {
		f := h.startIn(t, 80, 24, env, h.path, asOfDemo(append([]string{"--tank", "forereef"}, args...)...)...)
		if err := f.end(); err != nil {
			t.Error(err)
		}
		if text := f.written(); picture.InASCII(text) != text || !strings.Contains(text, "phosphate") {
			t.Errorf("%v: %q", args, text)
		}
	}
	if strings.ContainsFunc(e.written(), func(r rune) bool { return r >= 0x80 }) {
		t.Error("the screens sent more than ASCII")
	}
	if !strings.Contains(h.run(t, asOfDemo("--tank", "forereef", "chart", "phosphate")...), "●") {
		t.Error("a chart that goes to another program has lost its signs")
	}
}

// The plain mode at a terminal: a prompt, no cursor moved, nothing drawn; killed half way, the test day is offered
// again.
func TestPlainByKeys(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	before := len(h.readings(t, "--tank", "forereef", "alkalinity"))
	start := func() *emulator {
		e := h.start(t, 160, 50, asOfDemo("--plain")...)
		e.sees("help for what can be typed here", "\n>")
		return e
	}
	e := start()
	e.press("test", enter)
	e.sees("which tank? forereef, lagoon:")
	e.press("forereef", enter)
	e.sees("1 of 7, alkalinity in dKH: last 7.4 dKH", "alkalinity:")
	e.press("7.5", enter)
	e.sees("alkalinity 7.5 dKH, kept as a draft")
	if err := e.cmd.Process.Signal(syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	_ = e.end()
	checkPlain(t, e)

	e = start()
	e.press("test forereef", enter)
	e.sees("go on with it? yes, or no")
	e.press("yes", enter)
	e.sees("1 of 7, alkalinity in dKH", "typed so far 7.5")
	e.press("done", enter)
	e.sees("save them? yes")
	e.press("yes", enter)
	e.sees("1 reading of forereef in the book")
	e.press("readings alkalinity --tank forereef", enter)
	e.sees("2026-03-07 09:10  forereef  alkalinity  7.5 dKH")
	e.press("quit", enter)
	e.leaves()
	checkPlain(t, e)
	if after := len(h.readings(t, "--tank", "forereef", "alkalinity")); after != before+1 {
		t.Errorf("%d readings, want one more than %d", after, before)
	}
}

// checkPlain fails on any command to the terminal and on pictures.
func checkPlain(t *testing.T, e *emulator) {
	t.Helper()
	if text := e.written(); strings.Contains(text, "\x1b") || strings.ContainsAny(text, "─│┤├●░▁█–") {
		t.Errorf("not plain: %q", text)
	}
}

// A terminal that says it cannot draw is talked to.
func TestDumbTerminalIsTalkedTo(t *testing.T) {
	h := newHousehold(t)
	h.demoBook(t)
	e := h.startIn(t, 100, 40, h.env("TERM=dumb"), h.path, asOfDemo()...)
	e.sees("help for what can be typed here", "\n>")
	if e.wrapped() {
		t.Errorf("a sentence is broken inside of a word:\n%s", e.screen())
	}
	e.press("quit", enter)
	e.leaves()
	checkPlain(t, e)
}
