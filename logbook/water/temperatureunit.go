package water

// temperatureUnits has the units of temperature. Exact by definition.
var temperatureUnits = []spelled{
	{Unit{"°C", ratio{1, 1}}, []string{"c", "°c", "degc", "degreesc", "celsius", "degreescelsius", "ºc", "℃"}},
	{Unit{"°F", shifted{32, ratio{5, 9}}}, []string{"f", "°f", "degf", "degreesf", "fahrenheit", "degreesfahrenheit", "ºf", "℉"}},
	{Unit{"K", shifted{273.15, ratio{1, 1}}}, []string{"k", "kelvin"}},
}

// pHUnits accept a missing unit: pH has none, and a column of units is often empty beside it.
var pHUnits = []spelled{{Unit{"pH", ratio{1, 1}}, []string{"", "ph", "nbs", "nbsph", "phnbs", "phunits"}}}
