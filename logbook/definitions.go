package logbook

import (
	"slices"
	"strconv"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// Tanks lists the tanks by name.
func (v *View) Tanks() ([]Tank, error) { return askFor[Tank](v, "") }

// askFor lists the definitions of a kind by the names of their keys; of is the tank of those that belong to
// one, or "" for all.
func askFor[T Record](v *View, of string) ([]T, error) {
	return ask(v, func() []T { return definitionsOf[T](v, v.present(of)) })
}

func definitionsOf[T Record](v *View, of string) []T {
	var kind T
	return gather(v.definitionsOf(kind.Kind(), of), func(rec Record) T { return rec.(T) })
}

// gather gathers one thing of every item, such as its name; nil of none.
func gather[T, U any](items []T, one func(T) U) (out []U) {
	for _, x := range items {
		out = append(out, one(x))
	}
	return out
}

func (v *View) definitionsOf(kind Kind, of string) []Record {
	type named struct {
		names [2]string
		rec   Record
	}
	var all []named
	eachSealed(definitionBucket(v.tx, kind), string(kind), func(k, value []byte) error {
		rec, names, err := readDefinition(kind, k, value)
		if of == "" || of == names[0] {
			all = append(all, named{names, rec})
		}
		return err
	})
	slices.SortStableFunc(all, func(a, b named) int { return slices.Compare(a.names[:], b.names[:]) })
	return gather(all, func(d named) Record { return d.rec })
}

// Tank gives a tank by its name or one that it had, in capital or small letters. ErrNotFound lists those there are.
func (v *View) Tank(name string) (Tank, error) {
	return ask(v, func() Tank { return v.tank(name) })
}

func (v *View) tank(name string) Tank {
	t, found := v.tankCalled(name)
	if !found {
		fail(v.noTank(name))
	}
	return t
}

// ShowIn sets the units that parameters are shown and typed in, by the parameter's name or code; of what the book does
// not have it takes none. It is for whoever opens the book to say, before anybody looks into it.
func (b *Book) ShowIn(units map[string]string) { b.shown = units }

// Parameters lists the standard parameters, as the book has overlaid them, and then the book's own by name.
func (v *View) Parameters() ([]Parameter, error) { return ask(v, v.parameters) }

func (v *View) parameters() []Parameter {
	parameters := Standard()
	for _, p := range definitionsOf[Parameter](v, "") {
		i := slices.IndexFunc(parameters, func(s Parameter) bool { return s.Name == p.Name })
		if i < 0 {
			parameters = append(parameters, p)
		} else {
			parameters[i] = p
		}
	}
	for name, unit := range v.shown {
		p, known := FindParameter(parameters, name)
		if u, err := p.FindUnit(unit); known && err == nil {
			parameters[slices.IndexFunc(parameters, func(q Parameter) bool { return q.Name == p.Name })].Shown = u
		}
	}
	return parameters
}

// Parameter gives a parameter by its name or code, in capital or small letters. ErrNotFound lists those there are.
func (v *View) Parameter(nameOrCode string) (Parameter, error) {
	return ask(v, func() Parameter {
		parameters := v.parameters()
		p, ok := FindParameter(parameters, nameOrCode)
		if !ok {
			known := list(parameters, func(p Parameter) string { return p.Name })
			fail(notFound("there is no parameter %q; known are %s", nameOrCode, known))
		}
		return p
	})
}

// Methods lists the methods by parameter and name.
func (v *View) Methods() ([]Method, error) { return askFor[Method](v, "") }

// Chores lists the chores of a tank by name; tank "" means of every tank.
func (v *View) Chores(tank string) ([]Chore, error) { return askFor[Chore](v, tank) }

// Supplements lists the supplements by name.
func (v *View) Supplements() ([]Supplement, error) { return askFor[Supplement](v, "") }

// Supplement gives a supplement by its exact name. ErrNotFound lists those there are.
func (v *View) Supplement(name string) (Supplement, error) {
	supplements, err := v.Supplements()
	if err != nil {
		return Supplement{}, err
	}
	i := slices.IndexFunc(supplements, func(s Supplement) bool { return s.Name == name })
	if i < 0 {
		known := list(supplements, func(s Supplement) string { return strconv.Quote(s.Name) })
		return Supplement{}, notFound("there is no supplement %q; described are %s", name, known)
	}
	return supplements[i], nil
}

// Stocks lists the stocks of a tank by name; tank "" means of every tank.
func (v *View) Stocks(tank string) ([]Stock, error) { return askFor[Stock](v, tank) }

// eachSealed reads a bucket of definitions through; what names them in an error.
func eachSealed(bucket *bolt.Bucket, what string, fn func(k, value []byte) error) {
	c := bucket.Cursor()
	for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
		value, ok := unseal(k, sealed)
		if !ok {
			fail(damaged("the checksum of the %s %q does not fit", what, k))
		}
		if err := fn(k, value); err != nil {
			fail(damaged("the %s %q: %v", what, k, err))
		}
	}
}

func (v *View) noTank(name string) error {
	tanks := definitionsOf[Tank](v, "")
	if len(tanks) == 0 {
		return notFound("there is no tank %q; the book has none yet", name)
	}
	return notFound("there is no tank %q; the book has %s", name,
		list(tanks, func(t Tank) string { return strconv.Quote(t.Name) }))
}

// list joins the names of all for a sentence: a, b and c.
func list[T any](all []T, name func(T) string) string {
	names := gather(all, name)
	switch n := len(names); n {
	case 0:
		return "none"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
}
