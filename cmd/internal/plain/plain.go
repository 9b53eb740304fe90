// Package plain is the program for a screen reader, and for a terminal that only takes lines: sentences, and a prompt.
package plain

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/look"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// dialogue is a talk at a prompt: a line is asked for and answered, until it is left. The commands are those of the
// command line.
type dialogue struct {
	app   *app.App
	book  *logbook.Book
	lines *bufio.Scanner
}

// errLeft is how a question says that the input has ended.
var errLeft = errors.New("the input has ended")

// Talk says the glance and takes commands at a prompt, until the input ends or is told to.
func Talk(ctx context.Context, a *app.App, book *logbook.Book) error {
	d := &dialogue{app: a, book: book, lines: bufio.NewScanner(a.In)}
	if err := d.reports(look.SayAlerts); err != nil { // what needs the keeper
		return err
	}
	d.say("type status for every parameter, help for what can be typed here, quit to leave")
	for ctx.Err() == nil {
		line, err := d.ask("> ")
		switch {
		case errors.Is(err, errLeft):
			return d.ended()
		case err != nil: // nobody reads the answers any more
			return err
		}
		words, err := shellWords(line)
		switch {
		case err != nil:
			d.complain(err)
			continue
		case len(words) == 0:
			continue
		case words[0] == "leadline": // as it is typed elsewhere
			words = words[1:]
		}
		if left := d.answer(ctx, words); left {
			return d.ended()
		}
	}
	return nil
}

// reports says how the tanks stand.
func (d *dialogue) reports(say func(*app.App, *logbook.Book, []alerts.Report) error) error {
	reports, err := d.app.Examine(d.book)
	if err != nil {
		return err
	}
	return say(d.app, d.book, reports)
}

// ended is what cut the input off; nil where it ended by itself, or the talk did.
func (d *dialogue) ended() error {
	if err := d.lines.Err(); !errors.Is(err, bufio.ErrTooLong) {
		return err
	}
	return fmt.Errorf("a line of the input is longer than %d characters: nothing after it was read",
		bufio.MaxScanTokenSize)
}

// answer does what a line says, and reports whether it says to leave.
func (d *dialogue) answer(ctx context.Context, words []string) (left bool) {
	var err error
	d.app.Doubted = false
	switch strings.Join(words, " ") {
	case "quit", "exit", "q", "leave":
		return true
	case "help", "?":
		d.help()
	case "help all":
		d.command(ctx, words[:1])
	case "", "status":
		err = d.reports(look.PrintGlance)
	default:
		err = d.do(ctx, words)
	}
	if err != nil && !errors.Is(err, errLeft) {
		d.complain(err)
		err = nil
	}
	return err != nil
}

// do does what begins with a word of the prompt's own, or runs a command.
func (d *dialogue) do(ctx context.Context, words []string) error {
	rest := words[1:]
	toFile := slices.ContainsFunc(rest, func(word string) bool {
		flag, _, _ := strings.Cut(word, "=")
		return flag == "-o" || flag == "--output"
	})
	switch {
	case words[0] == "use":
		return d.use(rest)
	case words[0] == "test":
		return d.testDay(rest)
	case words[0] == "chart" && !toFile:
		d.say("a chart is a picture; trend %s says the same in words, and chart -o FILE.png draws it into a file",
			strings.Join(rest, " "))
	default:
		d.command(ctx, words)
	}
	return nil
}

// command runs a command of the command line in this process, with an app of its own: what it is told holds for it
// alone.
func (d *dialogue) command(ctx context.Context, words []string) {
	words = append([]string{"--book", d.book.Path()}, words...)
	if d.app.TankFlag != "" {
		words = append([]string{"--tank", d.app.TankFlag}, words...)
	}
	if d.app.AsOfFlag != "" {
		words = append([]string{"--as-of", d.app.AsOfFlag}, words...)
	}
	_ = d.app.Out.Flush()
	child := d.child()
	defer child.RemoveLeftovers()
	child.Exit(d.app.Execute(ctx, child, words))
}

// child is the app of one command. It has no input, so that nothing asks for any.
func (d *dialogue) child() *app.App {
	a := d.app
	spoken := func(w io.Writer) io.Writer { return &terminal.Rewriter{To: w, Rewrite: app.InSpokenWords} }
	return &app.App{In: strings.NewReader(""), Out: bufio.NewWriter(spoken(terminal.ForTerminal(a.RawOut, a.Env))),
		RawOut: a.RawOut, ErrOut: spoken(a.ErrOut), Env: a.Env, Now: a.Now, PlainFlag: true, InStep: a.InStep}
}

func (d *dialogue) complain(err error) {
	_ = d.app.Out.Flush()
	d.child().Exit(err)
}

func (d *dialogue) say(format string, args ...any) { d.app.Sentence(format, args...) }

// ask gives the next line of the input, stripped. The question is only printed for a person.
func (d *dialogue) ask(question string) (string, error) {
	if terminal.IsTerminal(d.app.In) {
		fmt.Fprint(d.app.Out, app.InSpokenWords(usage.CleanLines(question)))
	}
	if err := d.app.Out.Flush(); err != nil {
		return "", err
	}
	if !d.lines.Scan() {
		if terminal.IsTerminal(d.app.In) {
			d.say("") // the shell's prompt begins a line
		}
		return "", errLeft
	}
	return strings.TrimSpace(d.lines.Text()), nil
}

// use sets the tank of what follows.
func (d *dialogue) use(typed []string) error {
	name := strings.Join(typed, " ")
	if name == "" || name == "all" {
		d.app.TankFlag = ""
		d.say("what follows is about all tanks")
		return nil
	}
	return d.book.View(func(v *logbook.View) error {
		t, err := d.app.TankNamed(v, name)
		if err == nil {
			d.app.TankFlag = t.Name
			d.say("what follows is about %s", words.OneLine(t.Name))
		}
		return err
	})
}

func (d *dialogue) help() {
	for _, line := range []string{
		"status: every alert, parameter, stock and chore.",
		"test: a test day, one parameter after the other; test NAME for one of several tanks.",
		"use NAME: the tank of what follows; use all for every tank.",
		"add nitrate=5: notes a reading down. dose, dosing, water-change, event and chore done note what was done.",
		"trend phosphate, demand alkalinity, alerts, readings phosphate, changed, what-if, plan: questions.",
		"undo --yes: takes back what was noted last. correct last --value 4.2, correct last --day --to NAME: put it right.",
		"strike last --why TEXT, or with an id: strikes a line, which stays readable.",
		"help COMMAND: how one of them is typed. help all: every command.",
		"quit: leaves. What was acknowledged is in the book.",
	} {
		d.say("%s", line)
	}
}

// shellWords parts a line into words as a shell does: by spaces, except in quotes.
func shellWords(line string) ([]string, error) {
	var words []string
	var word strings.Builder
	inWord, quote := false, rune(0)
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote != 0:
			word.WriteRune(r)
		case r == '\'' || r == '"':
			quote, inWord = r, true
		case r == ' ' || r == '\t':
			if inWord {
				words = append(words, word.String())
				word.Reset()
			}
			inWord = false
		default:
			word.WriteRune(r)
			inWord = true
		}
	}
	if quote != 0 {
		return nil, usage.Errorf("close it, as in event 'polyps out'", "a quotation mark %c is left open", quote)
	}
	if inWord {
		words = append(words, word.String())
	}
	return words, nil
}
