//go:build unix

package main

import (
	"bytes"
	"context"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"github.com/creack/pty"
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// printing runs commands of the program in this process, on a copy of the invented log.
type printing struct {
	t   *testing.T
	env map[string]string
	now time.Time
}

func newPrinting(t *testing.T) printing {
	t.Helper()
	now, err := time.Parse(time.RFC3339, testNow)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "demo.book")
	if _, err := demoBook(&app.App{Now: func() time.Time { return now }}, path); err != nil {
		t.Fatal(err)
	}
	return printing{t, map[string]string{"LEADLINE_BOOK": path, "LANG": "C.UTF-8", "TERM": "xterm-256color"}, now}
}

func (p printing) run(out io.Writer, args []string) {
	p.t.Helper()
	env := func(name string) string { return p.env[name] }
	if code := run(context.Background(), args, strings.NewReader(""), out, out, env, func() time.Time {
		return p.now
	}); code != 0 {
		p.t.Errorf("leadline %s ends with %d", strings.Join(args, " "), code)
	}
}

// into is what another program reads.
func (p printing) into(args ...string) string {
	var out bytes.Buffer
	p.run(&out, args)
	return out.String()
}

// at is what a terminal gets that is so many columns wide.
func (p printing) at(columns int, args ...string) string {
	p.t.Helper()
	ours, theirs, err := pty.Open()
	if err != nil {
		p.t.Fatal(err)
	}
	defer ours.Close()
	if err := pty.Setsize(theirs, &pty.Winsize{Cols: uint16(columns), Rows: 24}); err != nil {
		p.t.Fatal(err)
	}
	read := make(chan []byte)
	go func() {
		text, _ := io.ReadAll(ours) // ends with an error of its own when the other end is closed
		read <- text
	}()
	func() {
		defer theirs.Close()
		p.run(theirs, args)
	}()
	return strings.ReplaceAll(string(<-read), "\r\n", "\n")
}

// everyPage are the arguments that print the help of every command.
func everyPage() (pages [][]string) {
	var under func(cmd *cobra.Command, names []string)
	under = func(cmd *cobra.Command, names []string) {
		pages = append(pages, append(slices.Clone(names), "--help"))
		for _, c := range cmd.Commands() {
			under(c, append(slices.Clone(names), c.Name()))
		}
	}
	under(newRoot(&app.App{Env: os.Getenv, Now: time.Now}), nil)
	return pages
}

// What is printed on a terminal is no wider than it and breaks no word: each of its words is one that another program
// reads, to which nothing is broken or left out.
func TestPrintedAsWideAsTheTerminal(t *testing.T) {
	p := newPrinting(t)
	commands := everyPage()
	if len(commands) < 60 {
		t.Fatalf("only %d pages of help", len(commands))
	}
	for _, line := range []string{"status", "alerts", "alerts --all", "readings phosphate --tank forereef", "stock list",
		"chore list",
		"method list", "supplement list", "supplement salts", "parameter list", "tank list", "tank show forereef",
		"band list", "changed --around 2026-01-20 --tank forereef", "demand alkalinity --tank forereef",
		"demand alkalinity --tank forereef --hindcast", "trend phosphate --tank forereef",
		"plan alkalinity --to 8.3 --tank forereef",
		"hindcast phosphate --all-tanks", "what-if nitrate --tank forereef --water-change 20%:0 --times 3",
		"salinity --sg 1.0264",
		"mapping list", "config", "chart phosphate --tank forereef", "year --tank forereef"} {
		commands = append(commands, strings.Fields(line))
	}
	widths := []int{60, 80, 120}
	if testing.Short() {
		widths = widths[1:2]
	}
	for _, args := range commands {
		name := "leadline " + strings.Join(args, " ")
		whole := strings.Fields(p.into(args...))
		for _, columns := range widths {
			text := ansi.Strip(p.at(columns, args...))
			for _, line := range strings.Split(text, "\n") {
				if ansi.StringWidth(line) > columns {
					t.Errorf("%s at %d columns: %q", name, columns, line)
				}
			}
			if drawn := args[0] == "chart" || args[0] == "year"; drawn || args[0] == "config" && len(args) == 1 {
				continue // it is drawn anew for every width, or names files in folders deep down
			}
			for _, word := range strings.Fields(text) {
				if !slices.Contains(whole, word) {
					t.Errorf("%s at %d columns breaks a word: %q", name, columns, word)
				}
			}
		}
	}
}

// Colour is for terminals that draw, and stands beside a sign or a word.
func TestPrintedInColour(t *testing.T) {
	const warning, bold = "\x1b[93m", "\x1b[1m"
	p := newPrinting(t)
	for _, c := range []struct {
		name, value string
		has, not    string
	}{
		{"", "", warning + "  warning: phosphate", "\x1b[93m   "},
		{"LEADLINE_THEME", "light", "\x1b[35m  warning: phosphate", "\x1b[9"},
		{"NO_COLOR", "1", bold + "forereef as of", "\x1b[9"},
		{"TERM", "dumb", "forereef as of", "\x1b"},
		{"LEADLINE_PLAIN", "1", "alert", "\x1b"},
	} {
		p.env[c.name] = c.value
		if out := p.at(80, "status"); !strings.Contains(out, c.has) || strings.Contains(out, c.not) {
			t.Errorf("%s=%s: %q", c.name, c.value, out)
		}
		delete(p.env, c.name)
		p.env["TERM"] = "xterm-256color"
	}
	if out := p.into("status"); strings.Contains(out, "\x1b") {
		t.Errorf("into a pipe: %q", out)
	}
}
