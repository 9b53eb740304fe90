package app

import (
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
)

// What a shell is offered when somebody presses tab. A book that is missing, damaged or held by another process offers
// nothing, without a word and without a wait.

// completionPatience is how long a shell may be kept waiting for a book that another process holds.
const completionPatience = 300 * time.Millisecond

// Completer is cobra's function that makes offers.
type Completer = func(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective)

// First limits offers to the first argument, Unlimited lifts this limit.
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
		if got, err := Seen(a, look); err == nil {
			seen <- got
		} else {
			seen <- *new(T)
		}
	}()
	select {
	case got := <-seen:
		return got
	case <-time.After(completionPatience):
		return *new(T)
	}
}

// CompleteOf offers the names of what the book holds of a kind.
func CompleteOf[T any](a *App, all func(v *logbook.View) ([]T, error), name func(T) string) Completer {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		var offers []string
		for _, one := range seenSoon(a, all) {
			if name := words.OneLine(name(one)); name != "" && !slices.Contains(offers, name) {
				offers = append(offers, name)
			}
		}
		return offers, cobra.ShellCompDirectiveNoFileComp
	}
}

// OfTank is what the book holds of a kind in the tank that is meant.
func OfTank[T any](a *App, all func(v *logbook.View, tank string) ([]T, error)) func(v *logbook.View) ([]T, error) {
	return func(v *logbook.View) ([]T, error) {
		tank, err := a.Tank(v)
		if err != nil {
			return nil, err
		}
		return all(v, tank.Name)
	}
}

// CompleteEntries offers the entries noted last, or of those to be brought back the ones struck last, with what they
// say.
func (a *App) CompleteEntries(cmd *cobra.Command, _ []string, _ string) ([]string, cobra.ShellCompDirective) {
	const most = 12
	struck, _ := cmd.Flags().GetBool("back") // a command without that flag strikes none
	return seenSoon(a, func(v *logbook.View) (offers []string, err error) {
		es, err := entry.Newest(v, a.TankFlag, most, struck)
		if err != nil {
			return nil, err
		}
		offers, err = entry.WithIDs(v, es, "\t")
		return append(offers, "last\twhat was noted last, or struck last"), err
	}), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveKeepOrder
}

func (a *App) CompleteTanks(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	return CompleteOf(a, (*logbook.View).Tanks, func(t logbook.Tank) string { return t.Name })(cmd, args, word)
}

// CompleteParameters offers the parameters, for the first argument; without a book the standard ones.
func (a *App) CompleteParameters(cmd *cobra.Command, args []string, word string) ([]string, cobra.ShellCompDirective) {
	return First(a.CompleteMoreParameters)(cmd, args, word)
}

// parameterOffers are the parameters but for some, each with an end. A code is offered too where a word is typed that
// it begins with, and that is no part of the name.
func (a *App) parameterOffers(word, end string, but []string) (offers []string) {
	all := seenSoon(a, (*logbook.View).Parameters)
	if len(all) == 0 {
		all = logbook.Standard()
	}
	for _, p := range all {
		is := func(typed string) bool {
			_, found := logbook.FindParameter([]logbook.Parameter{p}, typed)
			return found
		}
		if slices.ContainsFunc(but, is) {
			continue
		}
		name := words.OneLine(p.Name)
		offers = append(offers, name+end)
		if word != "" && strings.HasPrefix(p.Code, strings.ToLower(word)) &&
			!strings.HasPrefix(strings.ToLower(name), p.Code) {
			offers = append(offers, p.Code+end+"\t"+name)
		}
	}
	return offers
}

// CompleteMoreParameters offers the parameters that are not there yet.
func (a *App) CompleteMoreParameters(_ *cobra.Command, args []string, word string) ([]string,
	cobra.ShellCompDirective) {
	return a.parameterOffers(word, "", args), cobra.ShellCompDirectiveNoFileComp
}

// CompleteAssignment offers "nitrate=" and leaves the value to the person.
func (a *App) CompleteAssignment(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	return a.parameterOffers(word, "=", nil), cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}

// CompleteOrder offers the parameters that a list of them does not hold yet.
func (a *App) CompleteOrder(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	list := word[:strings.LastIndexByte(word, ',')+1]
	offers := words.Of(a.parameterOffers(word[len(list):], "", strings.Split(list, ",")),
		func(offer string) string { return list + offer })
	return offers, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
}
