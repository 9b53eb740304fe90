package logbook

import (
	"fmt"
	"slices"
	"sort"
	"strconv"
	"strings"

	bolt "go.etcd.io/bbolt"
)

// Tanks lists the tanks by name.
func (v *View) Tanks() (tanks []Tank, err error) {
	err = v.guarded(func() error {
		tanks, err = v.tanks()
		return err
	})
	return tanks, err
}

func (v *View) tanks() (tanks []Tank, err error) {
	err = eachSealed(tanksBucket(v.tx), "tank", func(k, value []byte) error {
		t, err := readTank(string(k), value)
		tanks = append(tanks, t)
		return err
	})
	return tanks, err
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
	own, err := v.ownParameters()
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

// ownParameters lists those that the book itself describes, by name.
func (v *View) ownParameters() (own []Parameter, err error) {
	err = eachSealed(parametersBucket(v.tx), "parameter", func(k, value []byte) error {
		p, err := readParameter(string(k), value)
		own = append(own, p)
		return err
	})
	return own, err
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
func (v *View) Methods() (methods []Method, err error) {
	err = v.guarded(func() error {
		methods, err = v.methods()
		return err
	})
	return methods, err
}

func (v *View) methods() (methods []Method, err error) {
	err = eachSealed(methodsBucket(v.tx), "method", func(k, value []byte) error {
		parameter, name, ok := splitPair(k)
		if !ok {
			return errShortValue
		}
		m, err := readMethod(name, parameter, value)
		methods = append(methods, m)
		return err
	})
	sort.SliceStable(methods, func(i, j int) bool {
		a, b := methods[i], methods[j]
		return a.Parameter < b.Parameter || a.Parameter == b.Parameter && a.Name < b.Name
	})
	return methods, err
}

// Method gives the method of a name for a parameter.
func (v *View) Method(name, parameter string) (method Method, err error) {
	err = v.guarded(func() error {
		key := pairKey(parameter, name)
		sealed := methodsBucket(v.tx).Get(key)
		if sealed == nil {
			return notFound("there is no method %q for %s", name, parameter)
		}
		value, ok := unseal(key, sealed)
		if !ok {
			return fmt.Errorf("%w: the checksum of method %q does not fit", ErrDamaged, name)
		}
		method, err = readMethod(name, parameter, value)
		return err
	})
	return method, err
}

// Chores lists the chores of a tank by name; tank "" means of every tank.
func (v *View) Chores(tank string) (chores []Chore, err error) {
	err = v.guarded(func() error {
		chores, err = v.chores(tank)
		return err
	})
	return chores, err
}

func (v *View) chores(tank string) (chores []Chore, err error) {
	err = eachSealed(choresBucket(v.tx), "chore", func(k, value []byte) error {
		of, name, ok := splitPair(k)
		if !ok {
			return errShortValue
		}
		if tank != "" && of != tank {
			return nil
		}
		c, err := readChore(of, name, value)
		chores = append(chores, c)
		return err
	})
	sort.SliceStable(chores, func(i, j int) bool {
		a, b := chores[i], chores[j]
		return a.Tank < b.Tank || a.Tank == b.Tank && a.Name < b.Name
	})
	return chores, err
}

// Supplements lists the supplements by name.
func (v *View) Supplements() (supplements []Supplement, err error) {
	err = v.guarded(func() error {
		supplements, err = v.supplements()
		return err
	})
	return supplements, err
}

func (v *View) supplements() (supplements []Supplement, err error) {
	err = eachSealed(supplementsBucket(v.tx), "supplement", func(k, value []byte) error {
		s, err := readSupplement(string(k), value)
		supplements = append(supplements, s)
		return err
	})
	return supplements, err
}

// Supplement gives a supplement by its exact name. ErrNotFound lists those there are.
func (v *View) Supplement(name string) (supplement Supplement, err error) {
	err = v.guarded(func() error {
		supplements, err := v.supplements()
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
func (v *View) Stocks(tank string) (stocks []Stock, err error) {
	err = v.guarded(func() error {
		stocks, err = v.stocks(tank)
		return err
	})
	return stocks, err
}

func (v *View) stocks(tank string) (stocks []Stock, err error) {
	err = eachSealed(stocksBucket(v.tx), "stock", func(k, value []byte) error {
		of, name, ok := splitPair(k)
		if !ok {
			return errShortValue
		}
		if tank != "" && of != tank {
			return nil
		}
		s, err := readStock(of, name, value)
		stocks = append(stocks, s)
		return err
	})
	sort.SliceStable(stocks, func(i, j int) bool {
		a, b := stocks[i], stocks[j]
		return a.Tank < b.Tank || a.Tank == b.Tank && a.Name < b.Name
	})
	return stocks, err
}

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
