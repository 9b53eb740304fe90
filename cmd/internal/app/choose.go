package app

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func (a *App) Supplement(v *logbook.View, name string) (logbook.Supplement, error) {
	return foundAmong(v.Supplement, v.Supplements, name, func(all []logbook.Supplement) error {
		return usage.NotThere(name, words.Of(all, func(s logbook.Supplement) string { return s.Name }), "described are",
			fmt.Sprintf("leadline supplement add %q --salt … describes it", name),
			"supplement %q is not described, so its strength is not known", name)
	})
}

// foundAmong finds what has a name; where nothing has, unknown says what is wrong with the name beside all that there
// are.
func foundAmong[T any](find func(string) (T, error), list func() ([]T, error), name string,
	unknown func(all []T) error) (T, error) {
	found, err := find(name)
	if !errors.Is(err, logbook.ErrNotFound) {
		return found, err
	}
	all, err := list()
	if err != nil {
		return found, err
	}
	return found, unknown(all)
}

// Tank is the tank the command is about: the one of --tank, of the environment or of the settings, else the only one of
// the book.
func (a *App) Tank(v *logbook.View) (logbook.Tank, error) {
	if err := a.DoubtClock(v); err != nil {
		return logbook.Tank{}, err
	}
	if a.TankFlag != "" {
		return a.TankNamed(v, a.TankFlag)
	}
	tanks, err := a.TanksInUse(v)
	usual, where, setErr := a.UsualTank()
	switch {
	case err != nil:
		return logbook.Tank{}, err
	case len(tanks) == 0:
		return logbook.Tank{}, usage.WithHint(errors.New("the logbook has no tank yet"), "leadline tank add NAME")
	case setErr != nil:
		return logbook.Tank{}, setErr
	case usual != "":
		t, err := a.TankNamed(v, usual)
		if err != nil {
			_, hint := usage.InWords(err)
			return t, usage.WithHint(fmt.Errorf("%s: %w", where, err), hint+" --tank NAME takes another")
		}
		return t, nil
	case len(tanks) > 1:
		return logbook.Tank{}, usage.Errorf("pass --tank NAME", "which tank? the logbook has %s",
			strings.Join(TankNames(tanks), ", "))
	}
	return tanks[0], nil
}

// Tanks are the tanks of a command that goes over all of them unless --tank says which.
func (a *App) Tanks(v *logbook.View) ([]logbook.Tank, error) {
	if err := a.DoubtClock(v); err != nil {
		return nil, err
	}
	if a.TankFlag == "" {
		return a.TanksInUse(v)
	}
	t, err := a.TankNamed(v, a.TankFlag)
	return []logbook.Tank{t}, err
}

// TanksInUse are the tanks that are not retired at the moment that the command is for.
func (a *App) TanksInUse(v *logbook.View) ([]logbook.Tank, error) {
	tanks, err := v.Tanks()
	return logbook.InUse(tanks, func(t logbook.Tank) time.Time {
		at, wrong := a.AsOf(t)
		err = cmp.Or(err, wrong)
		return at
	}), err
}

func (a *App) TankNamed(v *logbook.View, name string) (logbook.Tank, error) {
	return foundAmong(v.Tank, v.Tanks, name, func(all []logbook.Tank) error {
		return usage.NotThere(name, TankNames(all), "the logbook has", fmt.Sprintf("leadline tank add %q starts it", name),
			"tank %q is not in the logbook", name)
	})
}

func TankNames(tanks []logbook.Tank) []string {
	return words.Of(tanks, func(t logbook.Tank) string { return t.Name })
}

// Parameter finds a parameter by name or code, whose unit the settings may set.
func (a *App) Parameter(v *logbook.View, typed string) (p logbook.Parameter, err error) {
	all, err := v.Parameters()
	if err == nil {
		err = a.CheckUnits(all)
	}
	if err != nil {
		return p, err
	}
	return foundAmong(v.Parameter, v.Parameters, typed, func(all []logbook.Parameter) error {
		return usage.UnknownParameter(all, typed)
	})
}

// ParametersNamed finds the parameters of some names or codes.
func (a *App) ParametersNamed(v *logbook.View, typed []string) (named []logbook.Parameter, err error) {
	for _, name := range typed {
		p, err := a.Parameter(v, name)
		if err != nil {
			return nil, err
		}
		named = append(named, p)
	}
	return named, nil
}

// Parameters are those of the book; without one the standard ones.
func (a *App) Parameters() ([]logbook.Parameter, error) {
	all, err := Seen(a, (*logbook.View).Parameters)
	if errors.Is(err, errNoBook) {
		return logbook.Standard(), nil
	}
	return all, err
}

// ViewSubject looks into the book at what a question about one parameter is about: the tank, the parameter, and the
// moment the answer is for.
func (a *App) ViewSubject(parameter string,
	look func(v *logbook.View, tank logbook.Tank, p logbook.Parameter, asOf time.Time) error) error {
	return a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		p, err1 := a.Parameter(v, parameter)
		asOf, err2 := a.AsOf(tank)
		if err := cmp.Or(err1, err2); err != nil {
			return err
		}
		return look(v, tank, p, asOf)
	})
}

// Order finds the parameters of an order, each once.
func (a *App) Order(v *logbook.View, typed []string) (logbook.Order, error) {
	var order logbook.Order
	typed = slices.DeleteFunc(words.Of(typed, strings.TrimSpace), func(name string) bool { return name == "" })
	named, err := a.ParametersNamed(v, typed)
	for _, p := range named {
		if slices.Contains(order, p.Name) {
			return nil, usage.Errorf("name each once", "--order: %s is in it twice", p.Name)
		}
		order = append(order, p.Name)
	}
	return order, err
}
