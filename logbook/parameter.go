package logbook

import (
	"fmt"
	"strings"

	"leadline/logbook/water"
)

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
	if len(units) > 0 {
		if text == "" {
			return units[0], nil
		}
		return water.Find(p.Name, text)
	}
	units = water.CustomUnits(p.Unit)
	if text == "" {
		return units[0], nil
	}
	var names []string
	for _, u := range units {
		if strings.EqualFold(u.Name(), text) {
			return u, nil
		}
		names = append(names, u.Name())
	}
	return water.Unit{}, fmt.Errorf("unit %q is not known for %s; accepted: %s", Clean(text), p.Name, strings.Join(names, ", "))
}
