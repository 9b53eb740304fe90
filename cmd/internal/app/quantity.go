package app

import (
	"cmp"
	"errors"
	"strings"

	"leadline/alerts/entry"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

// ShareOf reads a share of the water: 15%, or where the tank's volume is known 60L.
func ShareOf(text string, tank logbook.Tank) (share float64, doubt string, err error) {
	share, doubt, err = entry.Share(text, tank, "")
	return share, doubt, usage.Mistyped(err)
}

// Assignment is one "parameter=value" of a command line.
type Assignment struct {
	Parameter string
	Text      string // "<0.02", or "33 ppb P"
}

// ParseAssignments reads "nitrate=4.2" and "po4=33 ppb P".
func ParseAssignments(args []string) ([]Assignment, error) {
	var as []Assignment
	for _, arg := range args {
		name, text, ok := strings.Cut(arg, "=")
		if name = strings.TrimSpace(name); !ok || name == "" || strings.TrimSpace(text) == "" {
			return nil, usage.Errorf("write nitrate=4.2 or po4='<0.02'", "%q is not a parameter with its value", arg)
		}
		as = append(as, Assignment{name, strings.TrimSpace(text)})
	}
	return as, nil
}

// Amount reads one assignment as a plain number in a unit of the parameter: a dose, a daily amount, the level of new
// water.
func Amount(p logbook.Parameter, as Assignment, unit string) (logbook.Amount, error) {
	if err := Readable(p, as, unit); err != nil {
		return logbook.Amount{}, err
	}
	return entry.Amount(p, as.Text, unit)
}

// Readable refuses an assignment whose unit or number cannot be read. A volume is for whoever knows the supplement.
func Readable(p logbook.Parameter, as Assignment, unit string) error {
	value, typed := logbook.Split(as.Text)
	if _, err := water.Litres(1, typed); err != nil {
		if _, err := p.TypedUnit(cmp.Or(typed, unit)); err != nil {
			return usage.Mistyped(err)
		}
	}
	if _, err := entry.Number(value); err != nil {
		return NotANumber(err, p.Name, value, p.Name+"=1.5")
	}
	return nil
}

// NotANumber refuses what entry.Number did not read: in its own words where it can be read in two ways.
func NotANumber(err error, what, text, example string) error {
	var r logbook.Refusal
	if errors.As(err, &r) {
		return usage.Errorf(r.Hint, "%s: %s", what, r.Reason)
	}
	return usage.Errorf("write "+example, "%s: %q is not a number", what, text)
}
