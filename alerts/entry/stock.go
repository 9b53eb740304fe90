package entry

import (
	"cmp"
	"fmt"
	"strings"

	"leadline/logbook"
	"leadline/logbook/water"
)

// Stock is a stock as it is set up: what holds a supplement is counted in mL and what tests a parameter in tests,
// unless another unit is named. A supplement that is not described yet is no hindrance.
func Stock(s logbook.Stock) (logbook.Stock, error) {
	switch {
	case s.Supplement != "":
		s.Unit = cmp.Or(s.Unit, "mL")
	case s.Parameter != "":
		s.Unit = cmp.Or(s.Unit, "tests")
	}
	return s, logbook.Validate(s)
}

// There reads how much of a stock there is, in its unit, or in another unit of volume where it has one: "2000", "2 L".
func There(s logbook.Stock, text string) (float64, error) {
	number, unit := logbook.Split(text)
	n, err := Number(number)
	if err != nil || n < 0 || n > 1e9 {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%q is not an amount of %s", text, s.Unit), Hint: "write 2000, or 2L for what is kept in mL"}
	}
	if unit == "" || strings.EqualFold(unit, s.Unit) {
		return n, nil
	}
	litres, err := water.Litres(n, unit)
	if err != nil {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%q is not an amount of %s", text, s.Unit), Hint: "leave the unit out: " + s.Name + " is counted in " + s.Unit}
	}
	each, err := water.Litres(1, s.Unit)
	if err != nil {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%s is counted in %s, not in %s", s.Name, s.Unit, unit), Hint: "leave the unit out"}
	}
	return significant(litres / each), nil
}
