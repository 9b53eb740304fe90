package main

import (
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/cmd/internal/app"
)

// completions gives every argument and flag its offers: names from the book where it takes one, files where it takes a
// file, and otherwise nothing, where cobra would offer files.
func completions(a *app.App, root *cobra.Command) {
	flags := map[string]app.Completer{
		"tank": a.CompleteTanks, "parameter": app.Unlimited(a.CompleteParameters),
		"method": a.CompleteOf(app.MethodNames), "supplement": a.CompleteOf(app.SupplementNames),
	}
	arguments := map[string]app.Completer{
		"leadline method show": app.First(a.CompleteOf(app.MethodNames)), "leadline method check": app.First(a.CompleteOf(app.MethodNames)),
		"leadline supplement show": app.First(a.CompleteOf(app.SupplementNames)),
		"leadline chore done":      app.First(a.CompleteOf(app.ChoreNames)), "leadline stock refill": app.First(a.CompleteOf(app.StockNames)),
		"leadline tank set": app.First(a.CompleteTanks), "leadline tank show": app.First(a.CompleteTanks),
	}
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		if offers, ok := arguments[cmd.CommandPath()]; ok {
			cmd.ValidArgsFunction = offers
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
