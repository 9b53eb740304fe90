package main

import (
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/cmd/internal/app"
	"leadline/logbook"
)

// completions gives every argument and flag its offers: names from the book where it takes one, files where it takes a
// file, and otherwise nothing, where cobra would offer files.
func completions(a *app.App, root *cobra.Command) {
	methods := app.CompleteOf(a, (*logbook.View).Methods, func(m logbook.Method) string { return m.Name })
	supplements := app.CompleteOf(a, (*logbook.View).Supplements, func(s logbook.Supplement) string { return s.Name })
	flags := map[string]app.Completer{
		"tank": a.CompleteTanks, "to": a.CompleteTanks, "parameter": app.Unlimited(a.CompleteParameters), "method": methods,
		"supplement": supplements,
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
		"leadline tank set": a.CompleteTanks, "leadline tank show": a.CompleteTanks,
	}
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
