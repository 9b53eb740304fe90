package water

// temperatureUnits lists the units of temperature. Exact by definition.
func temperatureUnits() []Unit {
	return []Unit{
		{"°C", ratio{1, 1}},
		{"°F", shifted{32, ratio{5, 9}}},
		{"K", shifted{273.15, ratio{1, 1}}},
	}
}

func findTemperature(folded string) (Unit, bool) {
	units := temperatureUnits()
	switch folded {
	case "c", "°c", "degc", "degreesc", "celsius", "degreescelsius", "ºc", "℃":
		return units[0], true
	case "f", "°f", "degf", "degreesf", "fahrenheit", "degreesfahrenheit", "ºf", "℉":
		return units[1], true
	case "k", "kelvin":
		return units[2], true
	}
	return Unit{}, false
}

// findPH accepts a missing unit: pH has none, and a column of units is often empty beside it.
func findPH(folded string) (Unit, bool) {
	switch folded {
	case "", "ph", "nbs", "nbsph", "phnbs", "phunits":
		return Unit{"pH", ratio{1, 1}}, true
	}
	return Unit{}, false
}
