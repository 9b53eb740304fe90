package form

import (
	"errors"
	"fmt"
	"strconv"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// bandOffer is a usual band of a parameter, in its canonical unit.
type bandOffer struct {
	parameter string
	low, high float64
	floor     float64 // 0: none
	usual     bool    // taken unless the keeper leaves it
}

// bandOffers are common practice, no source: the target bands of testdata/reference/practice.json. For the two
// nutrients the inner band of its notes is offered and the edge of the outer one as the floor.
func bandOffers() []bandOffer {
	return []bandOffer{
		{"alkalinity", 7, 9, 0, true},
		{"calcium", 400, 450, 0, true},
		{"magnesium", 1250, 1400, 0, true},
		{"nitrate", 2, 10, 1, true},
		{"phosphate", 0.03, 0.08, 0.02, true},
		{"salinity", 34, 36, 0, true},
		{"temperature", 24, 27, 0, true},
		{"pH", 7.8, 8.4, 0, true},
		{"potassium", 380, 420, 0, false},
		{"strontium", 7, 10, 0, false},
		{"boron", 4, 5.5, 0, false},
		{"iodine", 0.04, 0.08, 0, false},
		{"ammonia", 0, 0.05, 0, false},
		{"nitrite", 0, 0.1, 0, false},
		{"silicate", 0, 0.5, 0, false},
	}
}

func (o bandOffer) band() logbook.Band {
	b := logbook.Band{Low: &o.low, High: &o.high}
	if o.floor > 0 {
		b.Floor = &o.floor
	}
	return b
}

// newBandForm edits the band of one parameter. every is how often it is tested while nothing is set, in days; 0: not
// known.
func newBandForm(e *part.Env, t logbook.Tank, parameter string, every float64) *Form {
	number := readable(optional)
	old := t.Bands[parameter]
	f := newForm(e, t, "band and floor",
		parameterField(parameter),
		&formField{label: "low", initial: numberText(old.Low), hint: "none", check: number},
		&formField{label: "high", initial: numberText(old.High), hint: "none", check: checkHigh},
		&formField{label: "floor", initial: numberText(old.Floor), hint: "none; below it counts as bottomed out", check: number},
		unitField(old.Unit),
		&formField{label: "test every", initial: numberText(old.EveryDays), hint: "days; empty: as you do it", check: readable(daysOf)})
	if every > 0 {
		f.Field("test every").hint = "days; empty: as now, " + parameter + " " + words.Every(every)
	}
	f.StartAt("low")
	f.ready = (*Form).hintUnit
	f.intro = "Where you want it. All three numbers are in the unit below; leave out what you do not want watched."
	f.doubt = func(f *Form) (doubter, error) {
		b, err := f.band()
		if err != nil {
			return nil, err
		}
		p, _ := f.parameter()
		warnings, err := logbook.CheckBand(p, b)
		return doubting(warnings...), err
	}
	f.save = func(f *Form) (saver, error) {
		b, err := f.band()
		p, _ := f.parameter()
		return f.changing("band of "+p.Name+" set", func(t *logbook.Tank) {
			if b == (logbook.Band{Unit: b.Unit}) {
				delete(t.Bands, p.Name)
				return
			}
			t.Bands[p.Name] = b
		}), err
	}
	return f
}

func checkHigh(f *Form, text string) (string, error) {
	low, _ := optional(f.Value("low"))
	high, err := optional(text)
	if low != nil && high != nil && *low >= *high {
		return "", errors.New("the upper edge must lie above the lower one")
	}
	return "", err
}

// band is what the fields of a band form say.
func (f *Form) band() (logbook.Band, error) {
	p, _ := f.parameter()
	u, err := p.FindUnit(f.Value("unit"))
	if err != nil {
		return logbook.Band{}, err
	}
	b := logbook.Band{Unit: u.Name()}
	for _, x := range []struct {
		label string
		to    **float64
	}{{"low", &b.Low}, {"high", &b.High}, {"floor", &b.Floor}} {
		if *x.to, err = optional(f.Value(x.label)); err != nil {
			return b, fmt.Errorf("%s: %w", x.label, err)
		}
	}
	days, err := daysOf(f.Value("test every"))
	if days > 0 {
		b.EveryDays = &days
	}
	return b, err
}

func numberText(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}
