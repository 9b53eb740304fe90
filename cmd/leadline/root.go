package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/charmbracelet/x/term"
	"github.com/spf13/cobra"

	"leadline/logbook"
)

// app is what the commands of one run share: where they read and write, what time it is, and the global flags.
type app struct {
	in     io.Reader
	out    *bufio.Writer // results; flushed when the command ends
	rawOut io.Writer     // the same, unbuffered, for the screen
	errOut io.Writer     // messages
	env    func(string) string
	now    func() time.Time

	bookFlag, tankFlag, asOfFlag string
	json, plainFlag              bool

	shapes map[*cobra.Command]any // what each command prints with --json

	command func(ctx context.Context, a *app, args []string) error // runs a command of the command line

	opened *logbook.Book // the book that the command works on, once it is open

	set     *settings // nil until something asks for it
	setErr  error     // what is wrong in the file of settings
	lenient bool      // a broken file of settings does not stop this command

	onScreen  atomic.Bool // the terminal interface runs and handles interrupts itself
	mu        sync.Mutex
	leftovers []string  // temporary files and folders to remove however the run ends
	underWay  *progress // the line on the terminal that says how far an import is

	everyRefusal bool // all refusals are printed, not the first ones only
	doubted      bool // the clock was looked at, and what is doubtful about it was said
}

// run is the whole program: it runs one command and answers with its exit code.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer, env func(string) string, now func() time.Time) int {
	a := &app{in: in, out: bufio.NewWriterSize(results{forTerminal(out, env)}, 1<<16), rawOut: out, errOut: forTerminal(errOut, env), env: env, now: now, command: execute}
	defer a.removeLeftovers()
	defer a.endProgress()
	done := make(chan error, 1)
	go func() { done <- execute(ctx, a, args) }()
	var err error
	select {
	case err = <-done:
	case <-ctx.Done():
		if !a.onScreen.Load() {
			return exitInterrupted
		}
		err = <-done // the terminal is to be put back in order first
	}
	return a.exit(err)
}

// execute runs the command and flushes its results. A fault of the program itself becomes an error as well.
func execute(ctx context.Context, a *app, args []string) (err error) {
	defer func() {
		if r := recover(); r != nil {
			if a.env("LEADLINE_TRACE") != "" {
				a.say("%s", debug.Stack())
			}
			err = withHint(fmt.Errorf("a fault of the program: %v", r), "LEADLINE_TRACE=1 leadline … shows where")
		}
	}()
	root := newRoot(a)
	if len(args) > 0 && strings.HasPrefix(args[0], cobra.ShellCompRequestCmd) {
		a.lenient = true // a shell that asks gets an answer, or none
		describePlainly(root)
	}
	root.SetArgs(args)
	root.SetIn(a.in)
	root.SetOut(a.out)
	root.SetErr(a.errOut)
	err = root.ExecuteContext(ctx)
	if flushErr := a.out.Flush(); err == nil {
		err = flushErr
	}
	if errors.Is(err, errResults) && a.opened != nil && a.opened.Wrote() {
		err = withHint(err, "it was noted before, in "+a.opened.Path()+": look with leadline export jsonl before you note it again")
	}
	return err
}

// errResults is what an error of writing the results wraps.
var errResults = errors.New("standard output")

// results are the results' way out.
type results struct{ io.Writer }

func (r results) Write(b []byte) (int, error) {
	n, err := r.Writer.Write(b)
	var at *fs.PathError
	if errors.As(err, &at) {
		err = at.Err
	}
	if err != nil {
		err = fmt.Errorf("%w: %w", errResults, err)
	}
	return n, err
}

// newRoot builds the command tree.
func newRoot(a *app) *cobra.Command {
	root := &cobra.Command{
		Use:   "leadline",
		Short: "a logbook for the water of coral aquariums that warns before nitrate or phosphate reach zero",
		Long: `leadline keeps the water tests of coral aquariums and says, early and with its uncertainty,
how far nitrate and phosphate are from zero.

Without a command it opens the terminal interface; without a terminal it prints the status. With --plain it says what
there is in sentences and takes commands at a prompt, from a person or from a pipe.`,
		Example: `  # look around in an invented logbook
  leadline demo

  # start a logbook, and note the first test
  leadline tank add forereef --volume 450
  leadline add nitrate=4.2 po4='<0.02'`,
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			return unknownCommand(cmd, args[0])
		},
		SilenceUsage:  true,
		SilenceErrors: true,
		RunE:          func(cmd *cobra.Command, args []string) error { return a.open(cmd.Context()) },
	}
	root.SuggestionsMinimumDistance = 2
	root.SetFlagErrorFunc(wrongFlag)
	f := root.PersistentFlags()
	f.StringVar(&a.bookFlag, "book", "", "logbook `FILE` (else $LEADLINE_BOOK, else "+bookName+" in the data folder)")
	f.StringVar(&a.tankFlag, "tank", "", "`NAME` of the tank; may be left out where the book has only one")
	f.StringVar(&a.asOfFlag, "as-of", "", "answer as of this `TIME`: RFC 3339, or a date, which means the end of that day in the tank's zone")
	f.BoolVar(&a.json, "json", false, "print JSON")
	f.BoolVar(&a.plainFlag, "plain", a.plainFlag, "sentences and a prompt in place of screens and tables, as for a screen reader (LEADLINE_PLAIN=1: always)")

	root.AddGroup(
		&cobra.Group{ID: "look", Title: "Look:"},
		&cobra.Group{ID: "act", Title: "Reckon:"},
		&cobra.Group{ID: "note", Title: "Note down:"},
		&cobra.Group{ID: "set", Title: "Set up:"},
		&cobra.Group{ID: "keep", Title: "Keep and carry:"},
	)
	inGroup(root, "look", append(lookCommands(a), newDemo(a))...)
	inGroup(root, "act", reckonCommands(a)...)
	inGroup(root, "note", noteCommands(a)...)
	inGroup(root, "set", setupCommands(a)...)
	inGroup(root, "keep", slices.Concat(importingCommands(a), keepCommands(a))...)
	root.SetHelpCommandGroupID("keep")
	root.SetCompletionCommandGroupID("keep")
	inGroup(root, "keep", aboutCommands(a)...) // once the others are there
	for _, c := range helpAndCompletion(root) {
		a.printsWords("", c)
	}
	root.SetHelpTemplate(root.HelpTemplate() + exitCodesHelp())
	usageArgs(root)
	a.refuseJSON()
	a.completions(root)
	return root
}

func inGroup(root *cobra.Command, id string, cmds ...*cobra.Command) {
	for _, c := range cmds {
		c.GroupID = id
		root.AddCommand(c)
	}
}

// usageArgs makes wrong arguments of every command a usage error, in words made from its usage line.
func usageArgs(cmd *cobra.Command) {
	for _, c := range cmd.Commands() {
		usageArgs(c)
	}
	check := cmd.Args
	if check == nil || cmd.Parent() == nil {
		return
	}
	cmd.Args = func(c *cobra.Command, args []string) error {
		err := check(c, args)
		if err == nil || isUsage(err) {
			return err
		}
		_, wanted, found := strings.Cut(c.Use, " ")
		if !found {
			wanted = "no arguments"
		}
		for _, arg := range args {
			if near := nearest(arg, c.ValidArgs); near != "" && near != arg {
				return usagef("did you mean "+c.CommandPath()+" "+near+"?", "%s takes %s, and got %q", c.CommandPath(), wanted, arg)
			}
		}
		if len(args) == 0 {
			return usagef(c.CommandPath()+" --help shows how", "%s needs %s", c.CommandPath(), wanted)
		}
		return usagef(c.CommandPath()+" --help shows how", "%s takes %s, and got %q", c.CommandPath(), wanted, strings.Join(args, " "))
	}
}

// group makes a command that only holds other commands.
func group(use, short string, subs ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use, Short: short}
	c.AddCommand(subs...)
	onlyHolds(c)
	return c
}

// say prints a message for people beside the results.
func (a *app) say(format string, args ...any) {
	_ = a.out.Flush() // keep the order of results and messages on a terminal
	fmt.Fprintln(a.errOut, cleanLines(fmt.Sprintf(format, args...)))
}

// hasTerminal reports whether a person sits at both ends.
func (a *app) hasTerminal() bool { return isTerminal(a.in) && isTerminal(a.rawOut) }

func isTerminal(end any) bool {
	if w, is := end.(*rewriter); is {
		end = w.to
	}
	f, ok := end.(*os.File)
	return ok && term.IsTerminal(f.Fd())
}

func (a *app) leaveBehind(path string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.leftovers = append(a.leftovers, path)
}

// keepAfterAll takes back what leaveBehind said of a file.
func (a *app) keepAfterAll(path string) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.leftovers = slices.DeleteFunc(a.leftovers, func(p string) bool { return p == path })
}

func (a *app) removeLeftovers() {
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, path := range a.leftovers {
		_ = os.RemoveAll(path)
	}
	a.leftovers = nil
}
