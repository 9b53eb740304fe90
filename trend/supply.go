package trend

import (
	"cmp"
	"math"
	"slices"
)

const (
	// A change of supply under this many anchors a day lies within the courses that a model has anyway.
	supplyLeast = 0.005
	supplyMost  = 8     // at most so many courses of each sign are added
	supplyEnd   = 0.004 // hazard per day that such a course ends: that the tank has come to take up what it is given
)

// carry adds the courses that changes of dosing lead to. Courses that a tank takes of itself are slow, and those that a doser
// can force on it are not: were they left out, a tripled dose would be foretold to do no more than the fastest rise in nature. The
// added courses move by a constant amount, so that a tank that stood still moves by exactly what is added; they never begin
// by themselves.
func (m *model) carry(in []Input, anchor float64) {
	var rates []float64
	first, last, any := 0.0, 0.0, false
	for _, i := range in {
		if i.Kind != Dosing {
			continue
		}
		if any {
			rates = append(rates, i.Amount-first)
		}
		rates = append(rates, i.Amount-last)
		if !any {
			first, any = i.Amount, true
		}
		last = i.Amount
	}
	for k := range rates {
		rates[k] = math.Abs(rates[k]) / anchor
	}
	slices.SortFunc(rates, func(a, b float64) int { return cmp.Compare(b, a) })
	added := 0
	for _, r := range rates {
		if r < supplyLeast || added == supplyMost || m.hasRate(r) {
			continue
		}
		m.hyps = append(m.hyps, hypothesis{absolute, r, 0, supplyEnd}, hypothesis{absolute, -r, 0, supplyEnd})
		added++
	}
}

// hasRate says whether the model has a constant course within a hundredth of a rate.
func (m *model) hasRate(rate float64) bool {
	for _, h := range m.hyps {
		if h.motion == absolute && math.Abs(h.rate-rate) <= 0.01*rate {
			return true
		}
	}
	return false
}
