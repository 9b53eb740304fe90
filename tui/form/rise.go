package form

import (
	"errors"
	"fmt"
	"strings"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// rises reads the amount field of an addition.
func (f *Form) rises(label string, a entry.Addition) ([]entry.Rise, error) {
	var named *logbook.Parameter
	if p, ok := f.parameter(); ok {
		named = &p
	}
	rises, err := f.data.Read(a, named, f.Value(label), f.Value("unit"))
	if errors.Is(err, entry.ErrUndescribed) {
		return nil, fmt.Errorf("%w: %s describes it, or give the rise", err, describeKey)
	}
	if err != nil {
		return nil, errors.New(part.RefusalText(err))
	}
	return rises, nil
}

// checkRise says what an amount comes to, and what it takes of the supplement.
func (f *Form) checkRise(label string, daily bool) (string, error) {
	a := entry.Addition{Daily: daily, Supplement: f.Value("supplement")}
	rises, err := f.rises(label, a)
	if err != nil {
		return "", err
	}
	if rises[0].Amount == 0 {
		return "stops it", nil
	}
	var said []string
	for _, r := range rises {
		by, err := r.Parameter.CanonicalChange(r.Amount, r.Unit)
		if err != nil {
			return "", err
		}
		text := "+" + words.Quantity(r.Parameter, by)
		if len(rises) > 1 {
			text = r.Parameter.Name + " " + text
		}
		said = append(said, text)
		if takes := f.data.Takes(r, a.Supplement); takes != "" && len(rises) == 1 {
			said = append(said, "takes "+takes)
		}
	}
	return strings.Join(said, ", "), nil
}

func risesText(rs []entry.Rise) string {
	return words.List(rs, func(r entry.Rise) string { return words.Amount(r.Amount, r.Unit) + " " + r.Parameter.Name })
}
