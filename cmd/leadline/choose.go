package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/logbook"
)

// tank is the tank the command is about: the one of --tank, of the environment or of the settings, else the only one of
// the book.
func (a *app) tank(v *logbook.View) (logbook.Tank, error) {
	if err := a.doubtClock(v); err != nil {
		return logbook.Tank{}, err
	}
	if a.tankFlag != "" {
		return a.tankNamed(v, a.tankFlag)
	}
	tanks, err := v.Tanks()
	usual, where, setErr := a.usualTank()
	switch {
	case err != nil:
		return logbook.Tank{}, err
	case len(tanks) == 0:
		return logbook.Tank{}, withHint(errors.New("the logbook has no tank yet"), "leadline tank add NAME")
	case setErr != nil:
		return logbook.Tank{}, setErr
	case usual != "":
		t, err := a.tankNamed(v, usual)
		if err != nil {
			_, hint := inWords(err)
			return t, withHint(fmt.Errorf("%s: %w", where, err), hint+" --tank NAME takes another")
		}
		return t, nil
	case len(tanks) > 1:
		return logbook.Tank{}, usagef("pass --tank NAME", "which tank? the logbook has %s", strings.Join(tankNames(tanks), ", "))
	}
	return tanks[0], nil
}

// usualTank is the tank that the environment or the settings name, and where.
func (a *app) usualTank() (name, where string, err error) {
	if name = a.env("LEADLINE_TANK"); name != "" {
		return name, "LEADLINE_TANK", nil
	}
	s, err := a.settings()
	if err != nil || s.tank == "" {
		return "", "", err
	}
	return s.tank, s.where("tank"), nil
}

// tanks are the tanks of a command that goes over all of them unless --tank says which.
func (a *app) tanks(v *logbook.View) ([]logbook.Tank, error) {
	if err := a.doubtClock(v); err != nil {
		return nil, err
	}
	if a.tankFlag == "" {
		return v.Tanks()
	}
	t, err := a.tankNamed(v, a.tankFlag)
	return []logbook.Tank{t}, err
}

func (a *app) tankNamed(v *logbook.View, name string) (logbook.Tank, error) {
	t, err := v.Tank(name)
	if !errors.Is(err, logbook.ErrNotFound) {
		return t, err
	}
	tanks, listErr := v.Tanks()
	if listErr != nil {
		return t, listErr
	}
	hint := fmt.Sprintf("leadline tank add %q starts it", name)
	if len(tanks) > 0 {
		hint = "the logbook has " + strings.Join(tankNames(tanks), ", ") + "; " + hint
	}
	return t, usagef(didYouMean(name, tankNames(tanks), hint), "tank %q is not in the logbook", name)
}

func tankNames(tanks []logbook.Tank) []string {
	names := make([]string, len(tanks))
	for i, t := range tanks {
		names[i] = t.Name
	}
	return names
}

// parameter finds a parameter by name or code.
func (a *app) parameter(v *logbook.View, typed string) (logbook.Parameter, error) {
	p, err := v.Parameter(typed)
	if !errors.Is(err, logbook.ErrNotFound) {
		return p, err
	}
	all, listErr := v.Parameters()
	if listErr != nil {
		return p, listErr
	}
	return p, unknownParameter(all, typed)
}

// unknownParameter says which parameter was probably meant.
func unknownParameter(all []logbook.Parameter, typed string) error {
	var known []string
	for _, p := range all {
		known = append(known, p.Name, p.Code)
	}
	const hint = "leadline parameter list shows them; leadline parameter add makes one of your own"
	return usagef(didYouMean(typed, known, hint), "unknown parameter %q", typed)
}

// subject is what a question about one parameter is about: the tank, the parameter, and the moment the answer is for.
func (a *app) subject(v *logbook.View, parameter string) (logbook.Tank, logbook.Parameter, time.Time, error) {
	var p logbook.Parameter
	var asOf time.Time
	tank, err := a.tank(v)
	if err == nil {
		p, err = a.parameter(v, parameter)
	}
	if err == nil {
		asOf, err = a.asOf(tank)
	}
	return tank, p, asOf, err
}
