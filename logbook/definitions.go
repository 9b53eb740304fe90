package logbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// Tanks lists the tanks by name.
func (v *View) Tanks() ([]Tank, error) { return guardedDefinitions[Tank](v, "") }

func (v *View) tanks() ([]Tank, error) { return definitionsOf[Tank](v, "") }

// guardedDefinitions is definitionsOf for a caller from outside.
func guardedDefinitions[T Record](v *View, of string) (all []T, err error) {
	err = v.guarded(func() error {
		all, err = definitionsOf[T](v, of)
		return err
	})
	return all, err
}

// definitionsOf lists the definitions of a kind by the names of their keys; of is the tank of those that belong to
// one, or "" for all.
func definitionsOf[T Record](v *View, of string) (all []T, err error) {
	var kind T
	err = v.eachDefinitionOf(kind.Kind(), of, func(rec Record) error {
		all = append(all, rec.(T))
		return nil
	})
	return all, err
}

func (v *View) eachDefinitionOf(kind Kind, of string, hand func(Record) error) error {
	type named struct {
		names [2]string
		rec   Record
	}
	var all []named
	err := eachSealed(definitionBucket(v.tx, kind), string(kind), func(k, value []byte) error {
		rec, names, err := readDefinition(kind, k, value)
		if of == "" || of == names[0] {
			all = append(all, named{names, rec})
		}
		return err
	})
	if err != nil {
		return err
	}
	slices.SortStableFunc(all, func(a, b named) int { return slices.Compare(a.names[:], b.names[:]) })
	for _, d := range all {
		if err := hand(d.rec); err != nil {
			return err
		}
	}
	return nil
}

// Tank gives a tank by its exact name. ErrNotFound lists those there are.
func (v *View) Tank(name string) (tank Tank, err error) {
	err = v.guarded(func() error {
		tanks, err := v.tanks()
		if err != nil {
			return err
		}
		i := slices.IndexFunc(tanks, func(t Tank) bool { return t.Name == name })
		if i < 0 {
			return v.noTank(name)
		}
		tank = tanks[i]
		return nil
	})
	return tank, err
}

// Parameters lists the standard parameters, as the book has overlaid them, and then the book's own by name.
func (v *View) Parameters() (parameters []Parameter, err error) {
	err = v.guarded(func() error {
		parameters, err = v.parameters()
		return err
	})
	return parameters, err
}

func (v *View) parameters() ([]Parameter, error) {
	parameters := Standard()
	own, err := definitionsOf[Parameter](v, "")
	for _, p := range own {
		i := slices.IndexFunc(parameters, func(s Parameter) bool { return s.Name == p.Name })
		if i < 0 {
			parameters = append(parameters, p)
		} else {
			parameters[i] = p
		}
	}
	return parameters, err
}

// Parameter gives a parameter by its name or code, in capital or small letters. ErrNotFound lists those there are.
func (v *View) Parameter(nameOrCode string) (parameter Parameter, err error) {
	err = v.guarded(func() error {
		parameters, err := v.parameters()
		if err != nil {
			return err
		}
		var known []string
		for _, p := range parameters {
			if sameName(p.Name, nameOrCode) || p.Code != "" && sameName(p.Code, nameOrCode) {
				parameter = p
				return nil
			}
			known = append(known, p.Name)
		}
		return notFound("there is no parameter %q; known are %s", nameOrCode, list(known))
	})
	return parameter, err
}

// Methods lists the methods by parameter and name.
func (v *View) Methods() ([]Method, error) { return guardedDefinitions[Method](v, "") }

// Method gives the method of a name for a parameter.
func (v *View) Method(name, parameter string) (method Method, err error) {
	err = v.guarded(func() error {
		key := pairKey(parameter, name)
		sealed := definitionBucket(v.tx, KindMethod).Get(key)
		if sealed == nil {
			return notFound("there is no method %q for %s", name, parameter)
		}
		value, ok := unseal(key, sealed)
		if !ok {
			return fmt.Errorf("%w: the checksum of method %q does not fit", ErrDamaged, name)
		}
		rec, _, err := readDefinition(KindMethod, key, value)
		method = rec.(Method)
		return err
	})
	return method, err
}

// Chores lists the chores of a tank by name; tank "" means of every tank.
func (v *View) Chores(tank string) ([]Chore, error) { return guardedDefinitions[Chore](v, tank) }

// Supplements lists the supplements by name.
func (v *View) Supplements() ([]Supplement, error) { return guardedDefinitions[Supplement](v, "") }

// Supplement gives a supplement by its exact name. ErrNotFound lists those there are.
func (v *View) Supplement(name string) (supplement Supplement, err error) {
	err = v.guarded(func() error {
		supplements, err := definitionsOf[Supplement](v, "")
		if err != nil {
			return err
		}
		var known []string
		for _, s := range supplements {
			if s.Name == name {
				supplement = s
				return nil
			}
			known = append(known, strconv.Quote(s.Name))
		}
		return notFound("there is no supplement %q; described are %s", name, list(known))
	})
	return supplement, err
}

// Stocks lists the stocks of a tank by name; tank "" means of every tank.
func (v *View) Stocks(tank string) ([]Stock, error) { return guardedDefinitions[Stock](v, tank) }

// eachSealed reads a bucket of definitions through; what names them in an error.
func eachSealed(bucket *bolt.Bucket, what string, fn func(k, value []byte) error) error {
	c := bucket.Cursor()
	for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
		value, ok := unseal(k, sealed)
		if !ok {
			return fmt.Errorf("%w: the checksum of the %s %q does not fit", ErrDamaged, what, k)
		}
		if err := fn(k, value); err != nil {
			return fmt.Errorf("%w: the %s %q: %v", ErrDamaged, what, k, err)
		}
	}
	return nil
}

// noTank says that a tank is not there, and which are.
func (v *View) noTank(name string) error {
	tanks, err := v.tanks()
	if err != nil {
		return err
	}
	if len(tanks) == 0 {
		return notFound("there is no tank %q; the book has none yet", name)
	}
	var known []string
	for _, t := range tanks {
		known = append(known, strconv.Quote(t.Name))
	}
	return notFound("there is no tank %q; the book has %s", name, list(known))
}

func sameName(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// list joins names for a sentence: a, b and c.
func list(names []string) string {
	switch n := len(names); n {
	case 0:
		return "none"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
