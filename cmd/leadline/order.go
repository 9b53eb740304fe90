package main

import (
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/logbook"
)

// order finds the parameters of an order, each once.
func (a *app) order(v *logbook.View, typed []string) (logbook.Order, error) {
	var order logbook.Order
	for _, name := range typed {
		if name = strings.TrimSpace(name); name == "" {
			continue
		}
		p, err := a.parameter(v, name)
		if err != nil {
			return nil, err
		}
		if slices.Contains(order, p.Name) {
			return nil, usagef("name each once", "--order: %s is in it twice", p.Name)
		}
		order = append(order, p.Name)
	}
	return order, nil
}

// completeOrder offers the parameters that a list of them does not hold yet.
func (a *app) completeOrder(_ *cobra.Command, _ []string, word string) ([]string, cobra.ShellCompDirective) {
	list := word[:strings.LastIndexByte(word, ',')+1]
	names, done := a.completeParameters(nil, nil, "")
	var out []string
	for _, name := range names {
		if !slices.Contains(strings.Split(list, ","), name) {
			out = append(out, list+name)
		}
	}
	return out, done | cobra.ShellCompDirectiveNoSpace
}
