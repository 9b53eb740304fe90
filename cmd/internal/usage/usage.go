// Package usage says what was typed wrong and what to type instead: errors with hints, the nearest known word, exit
// codes.
package usage

import (
	"cmp"
	_ "embed" // of the help
	"errors"
	"fmt"
	"io/fs"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/alerts/words"
	"leadline/logbook"
)

// The exit codes. The help of every command and every manual page shows their table.
const (
	ExitDone        = 0
	ExitFailed      = 1
	ExitUsage       = 2
	ExitOpenAlerts  = 3
	ExitInterrupted = 130 // as shells count a program ended by ctrl+c
)

type exitCode struct {
	Code    int
	Meaning string
}

// ExitTable is every exit code with what it means.
func ExitTable() []exitCode {
	return []exitCode{
		{ExitDone, "done"},
		{ExitFailed, "it failed"},
		{ExitUsage, "wrong usage"},
		{ExitOpenAlerts, "only from alerts --exit-code: something is open"},
		{ExitInterrupted, "interrupted"},
	}
}

// ExitCodesHelp is the table on one line.
func ExitCodesHelp() string {
	codes := words.Of(ExitTable(), func(e exitCode) string { return fmt.Sprintf("%d %s", e.Code, e.Meaning) })
	return "\nExit codes: " + strings.Join(codes, "; ") + ".\n"
}

// hinted is an error with a line that helps.
type hinted struct {
	error
	hint string
}

func (e hinted) Unwrap() error { return e.error }

func (e hinted) Hint() string { return e.hint }

// wrong is a command that was typed wrong.
type wrong struct{ hinted }

// WithHint adds a line that helps to an error.
func WithHint(err error, hint string) error { return hinted{err, hint} }

// Wrong makes a usage error of another one.
func Wrong(err error, hint string) error { return wrong{hinted{err, hint}} }

// Mistyped makes a usage error of what a rule below refused of typed text; its hint stays. Another error stays as it
// is.
func Mistyped(err error) error {
	if _, is := errors.AsType[logbook.Refusal](err); !is {
		return err
	}
	_, hint := InWords(err)
	return Wrong(err, hint)
}

// Errorf is a usage error in words.
func Errorf(hint, format string, args ...any) error {
	return Wrong(fmt.Errorf(format, args...), hint)
}

func IsWrong(err error) bool {
	var u wrong
	return errors.As(err, &u)
}

// InWords parts what an error says from its hint, which may be a method of the error or the second line of its text.
func InWords(err error) (what, hint string) {
	what, hint, _ = strings.Cut(err.Error(), "\nhint: ")
	var h interface{ Hint() string }
	var r logbook.Refusal
	switch {
	case errors.As(err, &h) && h.Hint() != "":
		hint = h.Hint()
	case errors.As(err, &r):
		hint = r.Hint
	}
	return what, hint
}

func CleanLines(s string) string {
	return strings.Join(words.Of(strings.Split(s, "\n"), logbook.Clean), "\n")
}

// NotThere refuses a name that is not among those that are there: it says which was probably meant, else what there is,
// as "it has daily floss; ", before how to make it.
func NotThere(name string, there []string, have, make, format string, args ...any) error {
	if len(there) > 0 {
		make = have + " " + strings.Join(there, ", ") + "; " + make
	}
	return Errorf(logbook.DidYouMean(name, there, make), format, args...)
}

// NearDescribed is the described name that one nearly like it was probably meant to be; "" where the name is described,
// is not given, or is like none.
func NearDescribed(name string, described []string) string {
	if name == "" || slices.Contains(described, name) {
		return ""
	}
	return logbook.Nearest(name, described)
}

func UnknownParameter(all []logbook.Parameter, typed string) error {
	var known []string
	for _, p := range all {
		known = append(known, p.Name, p.Code)
	}
	const hint = "leadline parameter list shows them; leadline parameter add makes one of your own"
	return Errorf(logbook.DidYouMean(typed, known, hint), "unknown parameter %q", typed)
}

// ReadError names the file once, whatever the system's own error says.
func ReadError(name string, err error) error {
	var p *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file", name)
	case errors.As(err, &p):
		return fmt.Errorf("%s: %w", name, p.Err)
	}
	return err
}

// UsageArgs makes wrong arguments of every command a usage error, in words made from its usage line.
func UsageArgs(cmd *cobra.Command) {
	for _, c := range cmd.Commands() {
		UsageArgs(c)
	}
	if cmd.Parent() == nil || cmd.Name() == "help" { // help takes the words of any command
		return
	}
	check := cmd.Args
	if check == nil {
		check = argsOf(cmd)
	}
	cmd.Args = func(c *cobra.Command, args []string) error {
		err := check(c, args)
		if err == nil || IsWrong(err) {
			return err
		}
		_, wanted, found := strings.Cut(c.Use, " ")
		if !found {
			wanted = "no arguments"
		}
		for _, arg := range args {
			if near := logbook.Nearest(arg, c.ValidArgs); near != "" && near != arg {
				return Errorf("did you mean "+c.CommandPath()+" "+near+"?", "%s takes %s, and got %q", c.CommandPath(), wanted, arg)
			}
		}
		if len(args) == 0 {
			return Errorf(c.CommandPath()+" --help shows how", "%s needs %s", c.CommandPath(), wanted)
		}
		return Errorf(c.CommandPath()+" --help shows how", "%s takes %s, and got %q", c.CommandPath(), wanted,
			strings.Join(args, " "))
	}
}

// NoArguments refuses a word behind a command that others stand below.
func NoArguments(cmd *cobra.Command, args []string) error {
	if len(args) > 0 {
		return UnknownCommand(cmd, args[0])
	}
	return nil
}

// Group makes a command that only holds other commands.
func Group(use string, subs ...*cobra.Command) *cobra.Command {
	c := &cobra.Command{Use: use}
	c.AddCommand(subs...)
	onlyHolds(c)
	return c
}

// What a command line that cannot be read is answered with: what is wrong, and what was probably meant.

func UnknownCommand(cmd *cobra.Command, typed string) error {
	hint := cmd.CommandPath() + " --help lists the commands"
	if s := logbook.Nearest(typed, SubNames(cmd)); s != "" {
		hint = fmt.Sprintf("did you mean %s %s?", cmd.CommandPath(), s)
	}
	return Errorf(hint, "unknown command %q for %s", typed, cmd.CommandPath())
}

func SubNames(cmd *cobra.Command) (names []string) {
	for _, c := range cmd.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	return names
}

// WrongFlag says of a flag which one was probably meant, and of its value what it has to be.
func WrongFlag(cmd *cobra.Command, err error) error {
	hint := cmd.CommandPath() + " --help lists the flags"
	var unknown *pflag.NotExistError
	var missing *pflag.ValueRequiredError
	var wrong *pflag.InvalidValueError
	switch {
	case errors.As(err, &unknown):
		var known []string
		add := func(f *pflag.Flag) { known = append(known, f.Name) }
		cmd.Flags().VisitAll(add)
		cmd.InheritedFlags().VisitAll(add)
		name := unknown.GetSpecifiedName()
		if near := logbook.Nearest(name, known); near != "" {
			hint = "did you mean --" + near + "?"
		} else if slices.Contains(SubNames(cmd), name) {
			hint = fmt.Sprintf("did you mean %s %s?", cmd.CommandPath(), name)
		}
	case errors.As(err, &missing):
		if value, _ := pflag.UnquoteUsage(missing.GetFlag()); value != "" {
			return Errorf(hint, "--%s needs a value: --%[1]s %s", missing.GetFlag().Name, value)
		}
	case errors.As(err, &wrong):
		f := wrong.GetFlag()
		if f.Value.Type() == ownKind {
			return wrong.Unwrap()
		}
		kinds := map[string]struct{ words, example string }{"float64": {"a number", "4.2"}, "int": {"a whole number", "4"},
			"float64Slice": {"a row of numbers", "0,1,2,5"}, "duration": {"a length of time", "30s"},
			"bool": {"true or false", "or leave it out"}}
		if kind, known := kinds[f.Value.Type()]; known {
			return Errorf(fmt.Sprintf("write --%s %s", f.Name, kind.example), "--%s: %q is not %s", f.Name, wrong.GetValue(),
				kind.words)
		}
	}
	return Wrong(err, hint)
}

// ownKind is the type of a flag that Flag made.
const ownKind = "func"

// Flag makes a flag whose value is read as it is given, by a way that names the flag in what it refuses. Given as "",
// it is as good as not given.
func Flag[T any](f *pflag.FlagSet, to *T, name, meaning string, read func(flag, text string) (T, error)) {
	f.Func(name, meaning, func(text string) (err error) {
		if text != "" {
			*to, err = read("--"+name, text)
		}
		return err
	})
}

// HelpAndCompletion adds cobra's own commands, which would answer a mistyped word with their help and success. It
// answers with those that print something.
func HelpAndCompletion(root *cobra.Command) (printing []*cobra.Command) {
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	for _, c := range root.Commands() {
		switch c.Name() {
		case "help":
			printing = append(printing, c)
			show := c.Run
			c.Run = nil
			c.RunE = func(cmd *cobra.Command, args []string) error {
				if at, unknown, _ := root.Find(args); len(unknown) > 0 {
					return UnknownCommand(at, unknown[0])
				}
				show(cmd, args)
				return nil
			}
		case "completion":
			c.Long = ""
			onlyHolds(c)
			for _, shell := range c.Commands() {
				shell.Short = "the script for " + shell.Name()
			}
			printing = append(printing, c.Commands()...)
		}
	}
	return printing
}

// onlyHolds makes a command one that does nothing of its own but hold others.
func onlyHolds(c *cobra.Command) {
	c.Args = cobra.ArbitraryArgs
	c.RunE = func(cmd *cobra.Command, args []string) error {
		needs := Errorf("one of: "+strings.Join(SubNames(cmd), ", "), "%s needs a command", cmd.CommandPath())
		return cmp.Or(NoArguments(cmd, args), needs)
	}
	c.Annotations = map[string]string{holdsCommands: ""}
}

const holdsCommands = "holds commands"

// HoldsOnly reports whether a command does nothing but hold others.
func HoldsOnly(c *cobra.Command) bool { _, yes := c.Annotations[holdsCommands]; return yes }

//go:embed help.txt
var help string

// Describe gives root and the commands below it the short and the long help and the examples of help.txt. A part of it
// begins with the commands it is of, "# leadline strike, leadline correct", or with one command and what that does in
// short, "# leadline event: note down what was seen". What several parts say of a command stands in their order.
func Describe(root *cobra.Command) {
	for part := range strings.SplitSeq(strings.TrimPrefix(strings.ReplaceAll(help, "\r", ""), "# "), "\n# ") {
		head, said, _ := strings.Cut(part, "\n")
		names, short, _ := strings.Cut(head, ": ")
		long, examples, _ := strings.Cut("\n"+said, "\nExamples:\n")
		for name := range strings.SplitSeq(names, ", ") {
			c, _, err := root.Find(strings.Fields(name)[1:])
			if err != nil || c.CommandPath() != name {
				panic("usage: help.txt tells of " + name + ", which is no command")
			}
			c.Short = cmp.Or(short, c.Short)
			c.Long = strings.TrimSpace(c.Long + "\n\n" + strings.TrimSpace(long))
			c.Example = cmp.Or(strings.Trim(examples, "\n"), c.Example)
		}
	}
}

// argsOf reads from a usage line how many arguments a command takes: one for each word, none or one for a word in
// brackets, one or more for a word with dots.
func argsOf(c *cobra.Command) cobra.PositionalArgs {
	least, most := 0, 0
	for _, word := range strings.Fields(c.Use)[1:] {
		switch {
		case strings.HasPrefix(word, "--"):
			return cobra.RangeArgs(least, most)
		case strings.HasSuffix(word, "..."):
			least, most = least+1, math.MaxInt
		case strings.HasPrefix(word, "["):
			most++
		default:
			least, most = least+1, most+1
		}
	}
	if len(c.ValidArgs) > 0 {
		return cobra.MatchAll(cobra.RangeArgs(least, most), cobra.OnlyValidArgs)
	}
	return cobra.RangeArgs(least, most)
}

// WiderRows is a help page with two blanks behind the longest name of a command, as behind the others. A template would
// do it too, but with templates the linker keeps every method of the program, a quarter of the binary.
func WiderRows(cmd *cobra.Command, page string) string {
	for _, c := range cmd.Commands() {
		row := func(gap string) string { return fmt.Sprintf("  %-*s%s%s\n", c.NamePadding(), c.Name(), gap, c.Short) }
		page = strings.Replace(page, row(" "), row("  "), 1)
	}
	return page
}
