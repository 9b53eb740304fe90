package app

import (
	"slices"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/logbook"
)

// What a shell is offered when somebody presses tab. A book that is missing, damaged or held by another process offers
// nothing, without a word and without a wait.

// completionPatience is how long a shell may be kept waiting for a book that another process holds.
const completionPatience = 300 * time.Millisecond

// Completer is cobra's function that makes offers.
type Completer = func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective)

// First limits offers to the first argument, unlimited lifts this limit.
func First(offers Completer) Completer {
	return func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
		if len(args) > 0 {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		return offers(cmd, args, word)
	}
}

func Unlimited(offers Completer) Completer {
	return func(cmd *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
		return offers(cmd, nil, word)
	}
}

// seenSoon looks into the book, but not for long. The zero value is the answer where nothing could be seen.
func seenSoon[T any](a *App, look func(v *logbook.View) (T, error)) T {
	seen := make(chan T, 1)
	go func() {
		var got T
		err := a.View(func(v *logbook.View) (err error) {
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

// CompleteOf offers names from the book.
func (a *App) CompleteOf(names func(a *App, v *logbook.View) ([]string, error)) Completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		found := seenSoon(a, func(v *logbook.View) ([]string, error) { return names(a, v) })
		var offers []string
		for _, name := range found {
			if name = words.OneLine(name); name != "" && !slices.Contains(offers, name) {
				offers = append(offers, name)
			}
		}
		return offers, cobra.ShellCompDirectiveNoFileComp
	}
}

func (a *App) CompleteTanks(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	return a.CompleteOf(func(_ *App, v *logbook.View) ([]string, error) {
		tanks, err := v.Tanks()
		return TankNames(tanks), err
	})(cmd, args, word)
}

// CompleteParameters offers the parameters, for the first argument; without a book the standard ones.
func (a *App) CompleteParameters(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	return a.parameterOffers(), cobra.ShellCompDirectiveNoFileComp
}

func (a *App) parameterOffers() (names []string) {
	all := seenSoon(a, func(v *logbook.View) ([]logbook.Parameter, error) { return v.Parameters() })
	if len(all) == 0 {
		all = logbook.Standard()
	}
	for _, p := range all {
		names = append(names, words.OneLine(p.Name))
	}
	return names
}

// CompleteMoreParameters offers the parameters that are not there yet.
func (a *App) CompleteMoreParameters(_ *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
	names := slices.DeleteFunc(a.parameterOffers(), func(name string) bool { return slices.Contains(args, name) })
	return names, cobra.ShellCompDirectiveNoFileComp
}

// CompleteAssignment offers "nitrate=" and leaves the value to the person.
func (a *App) CompleteAssignment(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	names := a.parameterOffers()
	for i := range names {
		names[i] += "="
	}
	return names, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

func MethodNames(_ *App, v *logbook.View) (names []string, err error) {
	methods, err := v.Methods()
	for _, m := range methods {
		names = append(names, m.Name)
	}
	return names, err
}

func SupplementNames(_ *App, v *logbook.View) (names []string, err error) {
	all, err := v.Supplements()
	for _, s := range all {
		names = append(names, s.Name)
	}
	return names, err
}

func ChoreNames(a *App, v *logbook.View) (names []string, err error) {
	tank, err := a.Tank(v)
	if err != nil {
		return nil, err
	}
	all, err := v.Chores(tank.Name)
	for _, c := range all {
		names = append(names, c.Name)
	}
	return names, err
}

func StockNames(a *App, v *logbook.View) (names []string, err error) {
	tank, err := a.Tank(v)
	if err != nil {
		return nil, err
	}
	all, err := v.Stocks(tank.Name)
	for _, s := range all {
		names = append(names, s.Name)
	}
	return names, err
}
