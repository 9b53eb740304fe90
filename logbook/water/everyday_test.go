package water

import (
	"math"
	"testing"
)

// Definitions: the US gallon is 231 cubic inches of 25.4 mm, 128 fluid ounces, 256 tablespoons or 768 teaspoons.
func TestEverydayVolumes(t *testing.T) {
	for unit, want := range map[string]float64{
		"L": 1, "litres": 1, "mL": 1e-3, "ml": 1e-3, "m³": 1000, "gal": 3.785411784, "US gallons": 3.785411784,
		"gal (US)": 3.785411784, "imp gal": 4.54609, "UK gal": 4.54609, "fl oz": 3.785411784 / 128, "tsp": 3.785411784 / 768,
		"tbsp": 3.785411784 / 256, "drops": 0.05e-3,
	} {
		if got, err := Litres(3, unit); err != nil || math.Abs(got-3*want) > 1e-12*got {
			t.Errorf("3 %s are %v L, want %v (%v)", unit, got, 3*want, err)
		}
	}
}
