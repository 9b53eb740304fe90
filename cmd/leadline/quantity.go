package main

import (
	"cmp"
	"errors"
	"strings"

	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/logbook/water"
)

// assignment is one "parameter=value" of a command line.
type assignment struct {
	parameter string
	text      string // "<0.02", or "33 ppb P"
}

// parseAssignments reads "nitrate=4.2" and "po4=33 ppb P".
func parseAssignments(args []string) ([]assignment, error) {
	var as []assignment
	for _, arg := range args {
		name, text, ok := strings.Cut(arg, "=")
		if name = strings.TrimSpace(name); !ok || name == "" || strings.TrimSpace(text) == "" {
			return nil, usagef("write nitrate=4.2 or po4='<0.02'", "%q is not a parameter with its value", arg)
		}
		as = append(as, assignment{name, strings.TrimSpace(text)})
	}
	return as, nil
}

// amount reads one assignment as a plain number in a unit of the parameter: a dose, a daily amount, the level of new
// water.
func amount(p logbook.Parameter, as assignment, unit string) (logbook.Amount, error) {
	if err := readable(p, as, unit); err != nil {
		return logbook.Amount{}, err
	}
	return entry.Amount(p, as.text, unit)
}

// readable refuses an assignment whose unit or number cannot be read. A volume is for whoever knows the supplement.
func readable(p logbook.Parameter, as assignment, unit string) error {
	value, typed := entry.Split(as.text)
	if _, err := water.Litres(1, typed); err != nil {
		if _, err := findUnit(p, cmp.Or(typed, unit)); err != nil {
			return err
		}
	}
	if _, err := entry.Number(value); err != nil {
		return notANumber(err, p.Name, value, p.Name+"=1.5")
	}
	return nil
}

// findUnit finds a unit of a parameter; of one that is not known it says which was probably meant.
func findUnit(p logbook.Parameter, typed string) (water.Unit, error) {
	u, err := p.FindUnit(typed)
	if err == nil {
		return u, nil
	}
	units := water.Units(p.Name)
	if len(units) == 0 {
		units = water.CustomUnits(p.Unit)
	}
	var known []string
	for _, u := range units {
		known = append(known, u.Name())
	}
	return u, wrongUsage(err, didYouMean(typed, known, "write "+p.Unit+", or one of the others"))
}

// notANumber refuses what entry.Number did not read: in its own words where it can be read in two ways.
func notANumber(err error, what, text, example string) error {
	var r logbook.Refusal
	if errors.As(err, &r) {
		return usagef(r.Hint, "%s: %s", what, r.Reason)
	}
	return usagef("write "+example, "%s: %q is not a number", what, text)
}
