package app

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// Order finds the parameters of an order, each once.
func (a *App) Order(v *logbook.View, typed []string) (logbook.Order, error) {
	var order logbook.Order
	for _, name := range typed {
		if name = strings.TrimSpace(name); name == "" {
			continue
		}
		p, err := a.Parameter(v, name)
		if err != nil {
			return nil, err
		}
		if slices.Contains(order, p.Name) {
			return nil, usage.Errorf("name each once", "--order: %s is in it twice", p.Name)
		}
		order = append(order, p.Name)
	}
	return order, nil
}

// CompleteOrder offers the parameters that a list of them does not hold yet.
func (a *App) CompleteOrder(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	list := word[:strings.LastIndexByte(word, ',')+1]
	names, done := a.CompleteParameters(nil, nil, "")
	var out []string
	for _, name := range names {
		if !slices.Contains(strings.Split(list, ","), name) {
			out = append(out, list+name)
		}
	}
	return out, done | cobra.ShellCompDirectiveNoSpace
}
