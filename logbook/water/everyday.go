package water

import (
	"fmt"
	"strings"
)

// Everyday measures, exact by legal definition: the US gallon is 231 cubic inches, the inch 25.4 mm, the imperial
// gallon 4.54609 L.
const (
	LitresPerUSGallon       = 231 * 2.54 * 2.54 * 2.54 / 1000
	LitresPerImperialGallon = 4.54609
	MillilitresPerTeaspoon  = LitresPerUSGallon * 1000 / 768 // US
	MillilitresPerFluidOz   = LitresPerUSGallon * 1000 / 128 // US
)

// Litres turns a volume into litres. It reads L, mL, m3, gal (US), imp gal, fl oz (US), tsp (US), tbsp (US) and drops,
// of which 20 make a mL (common practice, no source).
func Litres(v float64, unit string) (float64, error) {
	switch fold(unit) {
	case "l", "litre", "litres", "liters", "ls":
		return v, nil
	case "ml", "millil", "millils", "cc", "cm3":
		return v / 1000, nil
	case "m3":
		return v * 1000, nil
	case "gal", "usgal", "galus", "gallon", "gallons", "usgallon", "usgallons":
		return v * LitresPerUSGallon, nil
	case "impgal", "ukgal", "galimp", "galuk", "imperialgallon", "imperialgallons", "impgallon", "impgallons":
		return v * LitresPerImperialGallon, nil
	case "floz", "usfloz", "fluidounce", "fluidounces":
		return v * MillilitresPerFluidOz / 1000, nil
	case "tsp", "teaspoon", "teaspoons":
		return v * MillilitresPerTeaspoon / 1000, nil
	case "tbsp", "tablespoon", "tablespoons":
		return v * 3 * MillilitresPerTeaspoon / 1000, nil
	case "drop", "drops":
		return v / 20 / 1000, nil
	}
	return 0, fmt.Errorf("unit %q is not a volume; accepted: L, mL, m3, gal, imp gal, fl oz, tsp, tbsp, drops",
		strings.TrimSpace(unit))
}
