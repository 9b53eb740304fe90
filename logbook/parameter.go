package logbook

import "leadline/logbook/water"

// Parameter is a thing that is measured. Names are lower case; the standard ones are listed by Standard.
type Parameter struct {
	Name   string // "nitrate"
	Code   string // "no3"
	Unit   string // canonical unit; every Value in the book is in it
	Digits int    // decimals shown in the canonical unit

	Min, Max         float64 // outside: impossible, refused
	AskLow, AskHigh  float64 // outside: unlikely, asked once and then kept
	EveryDays        float64 // how often it is commonly tested; 0: only on occasion
	MaxRise, MaxFall float64 // greatest careful change per day; 0: none known
	Wobble           float64 // ordinary relative wandering of the level, see trend.Settings
	Nutrient         bool    // runs out: the floor rules make sense for it
	Generic          Method  // what is assumed of a reading whose method is not described
}

func (Parameter) Kind() Kind { return KindParameter }

// FindUnit reads a unit as people type it; "" is the canonical one. The error lists what is accepted.
func (p Parameter) FindUnit(text string) (water.Unit, error) {
	units := water.Units(p.Name)
	find := water.Find
	if len(units) == 0 { // a parameter of the keeper's own
		units = water.CustomUnits(p.Unit)
		find = func(_, text string) (water.Unit, error) { return water.FindCustom(p.Unit, text) }
	}
	if text == "" {
		return units[0], nil
	}
	return find(p.Name, text)
}

// CanonicalChange converts a rise, or a rate, into the canonical unit.
func (p Parameter) CanonicalChange(v float64, unit string) (float64, error) {
	u, err := p.FindUnit(unit)
	if err != nil {
		return 0, err
	}
	return u.CanonicalChange(v)
}
