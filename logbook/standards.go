package logbook

import "math"

// Standard lists the parameters that every book knows, in the order they are shown. A fresh copy each time.
//
// Where the numbers come from: AskLow and AskHigh, EveryDays, MaxRise and MaxFall of the first eight are common
// practice, no source, as collected in testdata/reference/practice.json (plausible_entry_limits, test_cadence_days,
// max_change_per_day), and so are the spreads of the generic methods where its list of methods has them. Rows and
// fields that practice.json does not have are marked "chosen here". Min and Max are chosen here throughout: wide enough
// that no water in which a coral lives, or was ever kept by mistake, lies outside. Wobble and Digits are chosen here.
// MaxFall 0 for nitrate and phosphate: practice gives their fall as 10 to 25 % of the level a day, which no fixed
// number says.
func Standard() []Parameter {
	all := []Parameter{
		{Name: "alkalinity", Code: "alk", Unit: "dKH", Digits: 2,
			Min: 0, Max: 100, AskLow: 4, AskHigh: 15, EveryDays: 3.5, MaxRise: 0.5, MaxFall: 0.5, Wobble: 0.03,
			Generic: Method{Step: 0.1, SD: 0.25}}, // between a syringe titration (0.15) and a drop titration (0.4)
		{Name: "calcium", Code: "ca", Unit: "mg/L", Digits: 0,
			Min: 0, Max: 5000, AskLow: 250, AskHigh: 600, EveryDays: 7, MaxRise: 20, MaxFall: 20, Wobble: 0.02,
			Generic: Method{Step: 5, SD: 10}}, // between a syringe titration (7) and a drop titration (12)
		{Name: "magnesium", Code: "mg", Unit: "mg/L", Digits: 0,
			Min: 0, Max: 5000, AskLow: 900, AskHigh: 1800, EveryDays: 14, MaxRise: 50, MaxFall: 50, Wobble: 0.015,
			Generic: Method{Step: 10, SD: 30}}, // between a syringe titration (25) and a drop titration (40)
		{Name: "nitrate", Code: "no3", Unit: "mg/L", Digits: 1,
			Min: 0, Max: 2000, AskLow: 0, AskHigh: 100, EveryDays: 7, MaxRise: 1, Wobble: 0.10, Nutrient: true,
			// A colorimeter: 0.5 plus 5 % of the reading; 10 % here, since a card may stand behind it.
			Generic: Method{Step: 0.1, SD: 0.5, SDRel: 0.10}},
		{Name: "phosphate", Code: "po4", Unit: "mg/L", Digits: 3,
			Min: 0, Max: 200, AskLow: 0, AskHigh: 2, EveryDays: 7, MaxRise: 0.01, Wobble: 0.10, Nutrient: true,
			Generic: Method{Step: 0.001, SD: 0.012, SDRel: 0.05}}, // a low-range colorimeter: 4 ppb P, and 5 % of the reading
		{Name: "salinity", Code: "sal", Unit: "PSU", Digits: 1,
			Min: 0, Max: 60, AskLow: 28, AskHigh: 40, EveryDays: 7, MaxRise: 0.5, MaxFall: 1, Wobble: 0.01,
			Generic: Method{Step: 0.1, SD: 0.5}}, // a hand refractometer
		{Name: "temperature", Code: "temp", Unit: "°C", Digits: 1,
			Min: -2, Max: 50, AskLow: 20, AskHigh: 31, EveryDays: 1, MaxRise: 1, MaxFall: 1, Wobble: 0.02,
			Generic: Method{Step: 0.1, SD: 0.1}}, // an aquarium thermometer
		{Name: "pH", Code: "ph", Unit: "pH", Digits: 2,
			Min: 0, Max: 14, AskLow: 7.5, AskHigh: 8.7, EveryDays: 7, MaxRise: 0.2, MaxFall: 0.2, Wobble: 0.01,
			Generic: Method{Step: 0.01, SD: 0.05}}, // a glass electrode repeats within 0.03; more here for the hour of the day
		{Name: "nitrite", Code: "no2", Unit: "mg/L", Digits: 3,
			Min: 0, Max: 500, AskLow: 0, AskHigh: 5, Wobble: 0.20, // ask range chosen here
			Generic: Method{Step: 0.01, SD: 0.02, SDRel: 0.15}}, // chosen here
		{Name: "ammonia", Code: "nh3", Unit: "mg/L", Digits: 3,
			Min: 0, Max: 500, AskLow: 0, AskHigh: 5, Wobble: 0.20, // ask range chosen here
			Generic: Method{Step: 0.01, SD: 0.05, SDRel: 0.20}}, // chosen here
		{Name: "silicate", Code: "sio2", Unit: "mg/L", Digits: 2,
			Min: 0, Max: 500, AskLow: 0, AskHigh: 5, Wobble: 0.15, // ask range chosen here
			Generic: Method{Step: 0.01, SD: 0.05, SDRel: 0.10}}, // chosen here
		{Name: "potassium", Code: "k", Unit: "mg/L", Digits: 0,
			Min: 0, Max: 5000, AskLow: 250, AskHigh: 600, EveryDays: 60, MaxRise: 10, Wobble: 0.03, // ask range chosen here
			Generic: Method{Step: 1, SDRel: 0.05}}, // major ions by laboratory: 5 to 10 %
		{Name: "strontium", Code: "sr", Unit: "mg/L", Digits: 1,
			Min: 0, Max: 1000, AskLow: 3, AskHigh: 20, EveryDays: 60, MaxRise: 0.5, Wobble: 0.05, // ask range chosen here
			Generic: Method{Step: 0.1, SDRel: 0.07}}, // by laboratory: 5 to 10 %
		{Name: "boron", Code: "b", Unit: "mg/L", Digits: 1,
			Min: 0, Max: 500, AskLow: 2, AskHigh: 10, EveryDays: 60, Wobble: 0.05, // ask range chosen here
			Generic: Method{Step: 0.1, SDRel: 0.07}}, // by laboratory: 5 to 10 %
		{Name: "iodine", Code: "i", Unit: "mg/L", Digits: 3,
			Min: 0, Max: 100, AskLow: 0, AskHigh: 0.2, EveryDays: 60, MaxRise: 0.01, Wobble: 0.15, // ask range chosen here
			Generic: Method{Step: 0.001, SD: 0.005, SDRel: 0.10}}, // chosen here
	}
	for i := range all {
		p := &all[i]
		p.Generic.Name, p.Generic.Parameter, p.Generic.Unit = GenericMethod, p.Name, p.Unit
	}
	return all
}

// GenericMethod is the name of the method that the program itself assumes for a reading whose own is not described.
const GenericMethod = "generic"

// limits are the possible values of a parameter; a parameter of the user's own without any (both 0) has none.
func (p Parameter) limits() (low, high float64) { return rangeOf(p.Min, p.Max) }

// usual is the range in which a value is not asked about; a parameter of the user's own without any (both 0) has none.
func (p Parameter) usual() (low, high float64) { return rangeOf(p.AskLow, p.AskHigh) }

func rangeOf(low, high float64) (float64, float64) {
	if low == 0 && high == 0 {
		return math.Inf(-1), math.Inf(1)
	}
	return low, high
}
