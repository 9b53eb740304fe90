package main

import (
	"bufio"
	"context"
	_ "embed" // of the documents
	"errors"
	"fmt"
	"io"
	"io/fs"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/alerts"
	"leadline/cmd/internal/about"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/importing"
	"leadline/cmd/internal/keep"
	"leadline/cmd/internal/look"
	"leadline/cmd/internal/note"
	"leadline/cmd/internal/reckon"
	"leadline/cmd/internal/settings"
	"leadline/cmd/internal/setup"
	"leadline/cmd/internal/team"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// run is the whole program: it runs one command and answers with its exit code.
func run(ctx context.Context, args []string, in io.Reader, out, errOut io.Writer, env func(string) string,
	now func() time.Time) int {
	a := &app.App{In: in, Out: bufio.NewWriterSize(results{terminal.ForTerminal(out, env)}, 1<<16), RawOut: out,
		ErrOut: terminal.ForTerminal(errOut, env), Env: env, Now: now, Execute: execute}
	defer a.RemoveLeftovers()
	defer a.EndProgress()
	done := make(chan error, 1)
	go func() { done <- execute(ctx, a, args) }()
	var err error
	select {
	case err = <-done:
	case <-ctx.Done():
		if !a.OnScreen.Load() {
			return usage.ExitInterrupted
		}
		err = <-done // the terminal is to be put back in order, or a command to be ended, first
	}
	a.JSON = a.JSON || slices.Contains(args, "--json") // also where it stands behind what could not be read
	return a.Exit(err)
}

// execute runs the command and flushes its results. A fault of the program itself becomes an error as well.
func execute(ctx context.Context, a *app.App, args []string) (err error) {
	defer func() {
		if r := recover(); r != nil {
			if a.Env("LEADLINE_TRACE") != "" {
				a.Say("%s", debug.Stack())
			}
			err = usage.WithHint(fmt.Errorf("a fault of the program: %v", r), "LEADLINE_TRACE=1 leadline … shows where")
		}
	}()
	root := newRoot(a)
	if len(args) > 0 && strings.HasPrefix(args[0], cobra.ShellCompRequestCmd) {
		a.Lenient = true // a shell that asks gets an answer, or none
		usage.Describe(root)
		completions(a, root) // which go by the marks of the values' names
		describePlainly(root)
	}
	root.SetArgs(args)
	root.SetIn(a.In)
	root.SetOut(a.Out)
	root.SetErr(a.ErrOut)
	err = root.ExecuteContext(ctx)
	if a.Opened != nil {
		if why := a.Opened.BackupFailed(); why != nil {
			what, _ := usage.InWords(why)
			a.Warn("no backup of the book could be made: " + what)
		}
	}
	if err == nil {
		team.After(ctx, a)
	}
	if flushErr := a.Out.Flush(); err == nil {
		err = flushErr
	}
	if fails := errors.Is(err, errResults) || logbook.OfSystem(err); fails && a.Opened != nil && a.Opened.Wrote() {
		err = usage.WithHint(err, "it was noted before, in "+a.Opened.Path()+
			": look with leadline export jsonl before you note it again")
	}
	return err
}

// errResults is what an error of writing the results wraps.
var errResults = errors.New("standard output")

// results are the results' way out.
type results struct{ io.Writer }

func (r results) Write(b []byte) (int, error) {
	n, err := r.Writer.Write(b)
	if at, is := errors.AsType[*fs.PathError](err); is {
		err = at.Err
	}
	if err != nil {
		err = fmt.Errorf("%w: %w", errResults, err)
	}
	return n, err
}

func newRoot(a *app.App) *cobra.Command {
	version := false
	root := &cobra.Command{
		Use:           "leadline",
		Args:          usage.NoArguments,
		SilenceUsage:  true,
		SilenceErrors: true,
		RunE: func(cmd *cobra.Command, args []string) error {
			if version {
				return about.PrintVersion(a)
			}
			return open(cmd.Context(), a)
		},
	}
	root.Flags().BoolVarP(&version, "version", "v", false, "print what was built, as leadline version does")
	root.SuggestionsMinimumDistance = 2
	root.SetFlagErrorFunc(usage.WrongFlag)
	f := root.PersistentFlags()
	f.StringVar(&a.BookFlag, "book", "", "logbook `FILE` (else $LEADLINE_BOOK, else "+app.BookName+" in the data folder)")
	f.StringVar(&a.TankFlag, "tank", "", "`NAME` of the tank; may be left out where the book has only one")
	f.StringVar(&a.AsOfFlag, "as-of", "",
		"answer as of this `TIME`, such as 'mon 18:00' or 2026-03-07; a day alone means its end in the tank's zone")
	f.BoolVar(&a.JSON, "json", false, "print JSON")
	f.BoolVar(&a.PlainFlag, "plain", a.PlainFlag,
		"sentences and a prompt in place of screens and tables, as for a screen reader (LEADLINE_PLAIN=1: always)")

	root.AddGroup(
		&cobra.Group{ID: "look", Title: "View:"},
		&cobra.Group{ID: "act", Title: "Calculate:"},
		&cobra.Group{ID: "note", Title: "Note down:"},
		&cobra.Group{ID: "set", Title: "Set up:"},
		&cobra.Group{ID: "keep", Title: "Back up and transfer:"},
	)
	inGroup(root, "look", append(look.Commands(a), newDemo(a))...)
	inGroup(root, "act", reckon.Commands(a)...)
	inGroup(root, "note", note.Commands(a)...)
	inGroup(root, "set", setup.Commands(a)...)
	inGroup(root, "keep", slices.Concat(importing.Commands(a), keep.Commands(a), team.Commands(a))...)
	root.SetHelpCommandGroupID("keep")
	root.SetCompletionCommandGroupID("keep")
	inGroup(root, "keep", about.Commands(a, documents())...) // once the others are there
	for _, c := range usage.HelpAndCompletion(root) {
		a.Prints(app.Words(""), c)
	}
	help := root.HelpFunc()
	root.SetHelpFunc(func(cmd *cobra.Command, args []string) {
		usage.Describe(root)
		var page strings.Builder
		root.SetOut(&page)
		help(cmd, args)
		root.SetOut(a.Out)
		a.PrintHelp(usage.WiderRows(cmd, page.String()) + usage.ExitCodesHelp())
	})
	usage.UsageArgs(root)
	a.RefuseJSON()
	return root
}

//go:embed GUIDE.md
var guide string

//go:embed TUTORIAL.md
var tutorial string

//go:embed SHARING.md
var sharing string

func documents() []about.Document {
	return []about.Document{{Name: "leadline-guide", Text: guide}, {Name: "leadline-tutorial", Text: tutorial},
		{Name: "leadline-sharing", Text: sharing}}
}

func inGroup(root *cobra.Command, id string, cmds ...*cobra.Command) {
	for _, c := range cmds {
		c.GroupID = id
		root.AddCommand(c)
	}
}

// completions gives every argument and flag its offers: names from the book where it takes one, words where its help
// names them, files where it takes a file, and otherwise nothing, where cobra would offer files.
func completions(a *app.App, root *cobra.Command) {
	methods := app.CompleteOf(a, (*logbook.View).Methods, func(m logbook.Method) string { return m.Name })
	supplements := app.CompleteOf(a, (*logbook.View).Supplements, func(s logbook.Supplement) string { return s.Name })
	answered := look.CompleteOpen(a, func(al alerts.Alert) string { return al.Parameter })
	flags := map[string]app.Completer{
		"tank": a.CompleteTanks, "to": a.CompleteTanks, "like": a.CompleteTanks, "beside": a.CompleteTanks,
		"parameter": app.Unlimited(a.CompleteParameters), "method": methods, "supplement": supplements,
	}
	arguments := map[string]app.Completer{
		"leadline method show": methods, "leadline method check": methods, "leadline supplement show": supplements,
		"leadline chore done": app.CompleteOf(a, app.OfTank(a, (*logbook.View).Chores), func(c logbook.Chore) string {
			return c.Name
		}),
		"leadline stock refill": app.CompleteOf(a, app.OfTank(a, (*logbook.View).Stocks), func(s logbook.Stock) string {
			return s.Name
		}),
		"leadline strike": app.Unlimited(a.CompleteEntries), "leadline correct": app.Unlimited(a.CompleteEntries),
		"leadline alerts acknowledge": answered, "leadline alerts snooze": answered,
		"leadline config set": cobra.FixedCompletions(settings.Keys(), cobra.ShellCompDirectiveNoFileComp),
		"leadline tank set":   a.CompleteTanks, "leadline tank show": a.CompleteTanks,
	}
	choice := regexp.MustCompile(`, | or `)
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		if offers, ok := arguments[cmd.CommandPath()]; ok {
			cmd.ValidArgsFunction = app.First(offers)
		} else if _, wants, ok := strings.Cut(cmd.Use, "PARAMETER"); ok {
			switch {
			case strings.HasPrefix(wants, "="):
				cmd.ValidArgsFunction = a.CompleteAssignment
			case strings.HasPrefix(wants, "..."):
				cmd.ValidArgsFunction = a.CompleteMoreParameters
			default:
				cmd.ValidArgsFunction = a.CompleteParameters
			}
		}
		if cmd.ValidArgsFunction == nil && len(cmd.ValidArgs) == 0 && !takesFile(cmd.Use) {
			cmd.ValidArgsFunction = cobra.NoFileCompletions
		}
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			offers, ok := flags[f.Name]
			if value, _ := pflag.UnquoteUsage(f); !ok && strings.Contains(value, " or ") { // "dmy or mdy"
				offers = cobra.FixedCompletions(choice.Split(value, -1), cobra.ShellCompDirectiveNoFileComp)
			} else if !ok && value != "" && !takesFile(value) {
				offers = cobra.NoFileCompletions
			}
			if offers != nil {
				_ = cmd.RegisterFlagCompletionFunc(f.Name, offers) // which keeps what the command itself has registered
			}
		})
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	walk(root)
}

func takesFile(usage string) bool {
	return strings.Contains(usage, "FILE") || strings.Contains(usage, "FOLDER") || strings.Contains(usage, ".book")
}

// describePlainly takes the marks of the values' names out of the words beside flags, as the help does.
func describePlainly(cmd *cobra.Command) {
	plain := func(f *pflag.Flag) { f.Usage = strings.ReplaceAll(f.Usage, "`", "") }
	cmd.PersistentFlags().VisitAll(plain)
	cmd.Flags().VisitAll(plain)
	for _, c := range cmd.Commands() {
		describePlainly(c)
	}
}
