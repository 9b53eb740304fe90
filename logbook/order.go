package logbook

import (
	"cmp"
	"slices"
	"strings"
)

// Order is an order of parameters as a keeper goes through them, by name or code. Parameters it does not list come after
// those it lists.
type Order []string

// Rank is where a parameter stands in the order, from 0; all that are not listed share the last.
func (o Order) Rank(p Parameter) int {
	i := slices.IndexFunc(o, func(s string) bool {
		return strings.EqualFold(s, p.Name) || p.Code != "" && strings.EqualFold(s, p.Code)
	})
	if i < 0 {
		return len(o)
	}
	return i
}

// Sort puts parameters in the order; those not listed keep the order they have.
func (o Order) Sort(ps []Parameter) {
	slices.SortStableFunc(ps, func(a, b Parameter) int { return cmp.Compare(o.Rank(a), o.Rank(b)) })
}

// OrderOr is the tank's own order, or the usual one where it has none.
func (t Tank) OrderOr(usual Order) Order {
	if len(t.Order) > 0 {
		return t.Order
	}
	return usual
}
