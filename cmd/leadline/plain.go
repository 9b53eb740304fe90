package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
)

// The plain mode is the program for a screen reader, and for a terminal that only takes lines: no cursor is moved,
// nothing is drawn or coloured, and whatever there is to say comes as a sentence on a line of its own.

// plain reports whether sentences were asked for, once or for always.
func (a *app) plain() bool {
	set, _ := a.settings() // what is wrong in the file is said by what depends on it
	return a.plainFlag || a.switched("LEADLINE_PLAIN", set.plain)
}

// talks reports whether the plain mode takes the place of the screens: when it was asked for, and where the terminal
// cannot draw.
func (a *app) talks() bool { return a.plain() || a.env("TERM") == "dumb" }

// dialogue is a talk at a prompt: a line is asked for and answered, until it is left. The commands are those of the
// command line.
type dialogue struct {
	app   *app
	book  *logbook.Book
	lines *bufio.Scanner
}

// errLeft is how a question says that the input has ended.
var errLeft = errors.New("the input has ended")

func (a *app) talk(ctx context.Context, book *logbook.Book) error {
	d := &dialogue{app: a, book: book, lines: bufio.NewScanner(a.in)}
	if err := d.glance(); err != nil {
		return err
	}
	d.say("type help for what can be typed here, quit to leave")
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

// ended is what cut the input off; nil where it ended by itself, or the talk did.
func (d *dialogue) ended() error {
	if err := d.lines.Err(); !errors.Is(err, bufio.ErrTooLong) {
		return err
	}
	return fmt.Errorf("a line of the input is longer than %d characters: nothing after it was read", bufio.MaxScanTokenSize)
}

// answer does what a line says, and reports whether it says to leave.
func (d *dialogue) answer(ctx context.Context, words []string) (left bool) {
	var err error
	d.app.doubted = false
	switch word := strings.Join(words, " "); {
	case word == "quit" || word == "exit" || word == "q" || word == "leave":
		return true
	case word == "help" || word == "?":
		d.help()
	case word == "help all":
		d.command(ctx, words[:1])
	case word == "" || word == "status":
		err = d.glance()
	case words[0] == "use":
		err = d.use(words[1:])
	case words[0] == "test":
		err = d.testDay(words[1:])
	case words[0] == "chart" && !hasFlag(words, "-o", "--output"):
		d.say("a chart is a picture; trend %s says the same in words, and chart -o FILE.png draws it into a file", strings.Join(words[1:], " "))
	default:
		d.command(ctx, words)
	}
	switch {
	case errors.Is(err, errLeft):
		return true
	case err != nil:
		d.complain(err)
	}
	return false
}

func hasFlag(words []string, names ...string) bool {
	for _, w := range words {
		for _, n := range names {
			if w == n || strings.HasPrefix(w, n+"=") {
				return true
			}
		}
	}
	return false
}

// command runs a command of the command line in this process, with an app of its own: what it is told holds for it
// alone.
func (d *dialogue) command(ctx context.Context, words []string) {
	words = append([]string{"--book", d.book.Path()}, words...)
	if d.app.tankFlag != "" {
		words = append([]string{"--tank", d.app.tankFlag}, words...)
	}
	if d.app.asOfFlag != "" {
		words = append([]string{"--as-of", d.app.asOfFlag}, words...)
	}
	_ = d.app.out.Flush()
	child := d.child()
	defer child.removeLeftovers()
	child.exit(d.app.command(ctx, child, words))
}

// child is the app of one command. It has no input, so that nothing asks for any.
func (d *dialogue) child() *app {
	a := d.app
	spoken := func(w io.Writer) io.Writer { return &rewriter{to: w, rewrite: inSpokenWords} }
	return &app{in: strings.NewReader(""), out: bufio.NewWriter(spoken(forTerminal(a.rawOut, a.env))), rawOut: a.rawOut, errOut: spoken(a.errOut),
		env: a.env, now: a.now, plainFlag: true}
}

func (d *dialogue) complain(err error) {
	_ = d.app.out.Flush()
	d.child().exit(err)
}

// say prints a sentence.
func (d *dialogue) say(format string, args ...any) { d.app.sentence(format, args...) }

// sentence prints a sentence on a line of its own. A terminal gets it broken between words: by itself it would break it
// inside of one, and half words would be read aloud.
func (a *app) sentence(format string, args ...any) {
	text := inSpokenWords(fmt.Sprintf(format, args...))
	if isTerminal(a.rawOut) {
		text = brokenBetweenWords(text, a.columns())
	}
	a.printf("%s", text)
}

func brokenBetweenWords(text string, width int) string {
	var b strings.Builder
	used := 0
	for _, word := range strings.Fields(text) {
		w := ansi.StringWidth(word)
		switch {
		case used == 0:
		case used+1+w > width:
			b.WriteByte('\n')
			used = 0
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += w
	}
	return b.String()
}

// inSpokenWords writes out the signs that are read aloud wrong or not at all. A dash between numbers is a range.
func inSpokenWords(text string) string {
	text = regexp.MustCompile(`(\d)–([-+\d])`).ReplaceAllString(text, "$1 to $2")
	return strings.NewReplacer("–", "-", "—", "none", "…", "...", "↗", "rising", "↘", "falling", "→", "to", "≤", "at most ", "≥", "at least ", "·", "none").Replace(text)
}

// ask gives the next line of the input, stripped. The question is only printed for a person.
func (d *dialogue) ask(question string) (string, error) {
	if isTerminal(d.app.in) {
		fmt.Fprint(d.app.out, inSpokenWords(cleanLines(question)))
	}
	if err := d.app.out.Flush(); err != nil {
		return "", err
	}
	if !d.lines.Scan() {
		if isTerminal(d.app.in) {
			d.say("") // the shell's prompt begins a line
		}
		return "", errLeft
	}
	return strings.TrimSpace(d.lines.Text()), nil
}

// use sets the tank of what follows.
func (d *dialogue) use(words []string) error {
	name := strings.Join(words, " ")
	if name == "" || name == "all" {
		d.app.tankFlag = ""
		d.say("what follows is about all tanks")
		return nil
	}
	return d.book.View(func(v *logbook.View) error {
		t, err := d.app.tankNamed(v, name)
		if err == nil {
			d.app.tankFlag = t.Name
			d.say("what follows is about %s", oneLine(t.Name))
		}
		return err
	})
}

func (d *dialogue) help() {
	for _, line := range []string{
		"status: the glance again.",
		"test: a test day, one parameter after the other; test NAME for one of several tanks.",
		"use NAME: the tank of what follows; use all for every tank.",
		"add nitrate=5: notes a reading down. dose, dosing, water-change, event and chore done note what was done.",
		"trend phosphate, demand alkalinity, alerts, readings phosphate, changed, what-if, plan: questions.",
		"strike ID --why TEXT: strikes a line, which stays readable.",
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
		return nil, usagef("close it, as in event 'polyps out'", "a quotation mark %c is left open", quote)
	}
	if inWord {
		words = append(words, word.String())
	}
	return words, nil
}
