package logbook

import (
	"fmt"
	"math"

	"leadline/logbook/water"
)

// CheckBand refuses a band that no water can be in: edges the wrong way round, a floor at or above the upper edge, a
// number that the parameter cannot have. What is merely unlikely comes back as warnings, one sentence each: a floor
// above the lower edge, a number outside the usual range, or one too small to tell from zero. The error is a Refusal.
func CheckBand(p Parameter, b Band) (warnings []string, err error) {
	u, err := p.FindUnit(b.Unit)
	if err != nil {
		return nil, Refusal{Field: p.Name, Value: b.Unit, Reason: err.Error()}
	}
	typed := func(f *float64) string { return withUnit(formatNumber(*f), u.Name()) }
	const meant = "was another unit meant? --unit says which"
	low, high := p.limits()
	usualLow, usualHigh := p.usual()
	for _, e := range []struct {
		name string
		edge *float64
	}{{"low", b.Low}, {"high", b.High}, {"floor", b.Floor}} {
		if e.edge == nil {
			continue
		}
		c := u.Canonical(*e.edge)
		if !(c >= low && c <= high) {
			return nil, Refusal{Field: p.Name, Value: formatNumber(*e.edge), Hint: meant,
				Reason: fmt.Sprintf("%s %s is not possible: outside %s", e.name, typed(e.edge), p.between(low, high))}
		}
		switch {
		case c < usualLow, c > usualHigh:
			warnings = append(warnings, fmt.Sprintf("%s %s is outside the usual %s", e.name, typed(e.edge),
				p.between(usualLow, usualHigh)))
		case c > 0 && c < math.Pow(10, -float64(p.Digits))/2:
			warnings = append(warnings, fmt.Sprintf("%s %s is %s, too little to tell from zero: was another unit meant?", e.name,
				typed(e.edge), withUnit(water.FormatAtMost(p.Shown.FromCanonical(c), 2), p.ShownUnit())))
		}
	}
	switch {
	case b.Low != nil && b.High != nil && !(*b.Low < *b.High):
		return nil, Refusal{Field: p.Name, Value: formatNumber(*b.Low),
			Reason: fmt.Sprintf("low %s is not below high %s", typed(b.Low), typed(b.High))}
	case b.Floor != nil && b.High != nil && !(*b.Floor < *b.High):
		return nil, Refusal{Field: p.Name, Value: formatNumber(*b.Floor),
			Reason: fmt.Sprintf("floor %s is not below high %s", typed(b.Floor), typed(b.High))}
	case b.Floor != nil && b.Low != nil && *b.Floor > *b.Low:
		warnings = append(warnings, fmt.Sprintf("floor %s is above low %s: it would count as bottomed out inside its band",
			typed(b.Floor), typed(b.Low)))
	}
	return warnings, nil
}
