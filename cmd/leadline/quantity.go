package main

import (
	"cmp"
	"errors"
	"math"
	"strconv"
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
	value, typed := entry.Split(as.text)
	u, err := findUnit(p, cmp.Or(typed, unit))
	if err != nil {
		return logbook.Amount{}, err
	}
	v, err := finiteNumber(value)
	if err != nil {
		return logbook.Amount{}, notANumber(err, p.Name, value, p.Name+"=1.5")
	}
	return logbook.Amount{Value: v, Unit: u.Name()}, nil
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
	return u, usageError{err, didYouMean(typed, known, "write "+p.Unit+", or one of the others")}
}

// finiteNumber reads a plain number, with a point or a decimal comma.
func finiteNumber(text string) (float64, error) {
	text, err := logbook.PointFor(text)
	if err != nil {
		return 0, err
	}
	v, err := strconv.ParseFloat(text, 64)
	if err == nil && (math.IsInf(v, 0) || math.IsNaN(v)) {
		err = errors.New("not a number")
	}
	return v, err
}

// notANumber refuses what finiteNumber did not read: in its own words where it can be read in two ways.
func notANumber(err error, what, text, example string) error {
	var r logbook.Refusal
	if errors.As(err, &r) {
		return usagef(r.Hint, "%s: %s", what, r.Reason)
	}
	return usagef("write "+example, "%s: %q is not a number", what, text)
}
