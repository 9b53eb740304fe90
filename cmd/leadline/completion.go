package main

import (
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/logbook"
)

// What a shell is offered when somebody presses tab. A book that is missing, damaged or held by another process offers
// nothing, without a word and without a wait.

// completionPatience is how long a shell may be kept waiting for a book that another process holds.
const completionPatience = 300 * time.Millisecond

// completer is cobra's function that makes offers.
type completer = func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective)

// completions gives every argument and flag its offers: names from the book where it takes one, files where it takes a
// file, and otherwise nothing, where cobra would offer files.
func (a *app) completions(root *cobra.Command) {
	flags := map[string]completer{
		"tank": a.completeTanks, "parameter": unlimited(a.completeParameters),
		"method": a.completeOf(methodNames), "supplement": a.completeOf(supplementNames),
	}
	arguments := map[string]completer{
		"leadline method show": first(a.completeOf(methodNames)), "leadline method check": first(a.completeOf(methodNames)),
		"leadline supplement show": first(a.completeOf(supplementNames)),
		"leadline chore done":      first(a.completeOf(choreNames)), "leadline stock refill": first(a.completeOf(stockNames)),
		"leadline chart": a.completeMoreParameters, "leadline tank set": first(a.completeTanks), "leadline tank show": first(a.completeTanks),
	}
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		if offers, ok := arguments[cmd.CommandPath()]; ok {
			cmd.ValidArgsFunction = offers
		}
		if cmd.ValidArgsFunction == nil && len(cmd.ValidArgs) == 0 && !takesFile(cmd.Use) {
			cmd.ValidArgsFunction = cobra.NoFileCompletions
		}
		cmd.LocalFlags().VisitAll(func(f *pflag.Flag) {
			offers, ok := flags[f.Name]
			if value, _ := pflag.UnquoteUsage(f); !ok && value != "" && !takesFile(value) {
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

// first limits offers to the first argument, unlimited lifts this limit.
func first(offers completer) completer {
	return func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offers(cmd, args, word)
	}
}

func unlimited(offers completer) completer {
	return func(cmd *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
		return offers(cmd, nil, word)
	}
}

// glimpse looks into the book, but not for long. The zero value is the answer where nothing could be seen.
func glimpse[T any](a *app, look func(v *logbook.View) (T, error)) T {
	seen := make(chan T, 1)
	go func() {
		var got T
		err := a.view(func(v *logbook.View) (err error) {
			got, err = look(v)
			return err
		})
		if err != nil {
			got = *new(T)
		}
		seen <- got
	}()
	select {
	case got := <-seen:
		return got
	case <-time.After(completionPatience):
		return *new(T)
	}
}

// completeOf offers names from the book.
func (a *app) completeOf(names func(a *app, v *logbook.View) ([]string, error)) completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		found := glimpse(a, func(v *logbook.View) ([]string, error) { return names(a, v) })
		var offers []string
		for _, name := range found {
			if name = oneLine(name); name != "" && !slices.Contains(offers, name) {
				offers = append(offers, name)
			}
		}
		return offers, cobra.ShellCompDirectiveNoFileComp
	}
}

func (a *app) completeTanks(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	return a.completeOf(func(_ *app, v *logbook.View) ([]string, error) {
		tanks, err := v.Tanks()
		return tankNames(tanks), err
	})(cmd, args, word)
}

// completeParameters offers the parameters, for the first argument; without a book the standard ones.
func (a *app) completeParameters(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return a.parameterOffers(), cobra.ShellCompDirectiveNoFileComp
}

func (a *app) parameterOffers() (names []string) {
	all := glimpse(a, func(v *logbook.View) ([]logbook.Parameter, error) { return v.Parameters() })
	if len(all) == 0 {
		all = logbook.Standard()
	}
	for _, p := range all {
		names = append(names, oneLine(p.Name))
	}
	return names
}

// completeMoreParameters offers the parameters that are not there yet.
func (a *app) completeMoreParameters(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	names := slices.DeleteFunc(a.parameterOffers(), func(name string) bool { return slices.Contains(args, name) })
	return names, cobra.ShellCompDirectiveNoFileComp
}

// completeAssignment offers "nitrate=" and leaves the value to the person.
func (a *app) completeAssignment(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	names := a.parameterOffers()
	for i := range names {
		names[i] += "="
	}
	return names, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

func methodNames(_ *app, v *logbook.View) (names []string, err error) {
	methods, err := v.Methods()
	for _, m := range methods {
		names = append(names, m.Name)
	}
	return names, err
}

func supplementNames(_ *app, v *logbook.View) (names []string, err error) {
	all, err := v.Supplements()
	for _, s := range all {
		names = append(names, s.Name)
	}
	return names, err
}

func choreNames(a *app, v *logbook.View) (names []string, err error) {
	tank, err := a.tank(v)
	if err != nil {
		return nil, err
	}
	all, err := v.Chores(tank.Name)
	for _, c := range all {
		names = append(names, c.Name)
	}
	return names, err
}

func stockNames(a *app, v *logbook.View) (names []string, err error) {
	tank, err := a.tank(v)
	if err != nil {
		return nil, err
	}
	all, err := v.Stocks(tank.Name)
	for _, s := range all {
		names = append(names, s.Name)
	}
	return names, err
}
