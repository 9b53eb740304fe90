package study

import (
	"math"
	"testing"

	"leadline/trend"
)

// What is held by dosing is nearly always on its way, a little up or down; the slope's interval must allow for it. The
// truth is the supply less what the simulated tank takes.
func TestSlopeOfWhatIsHeld(t *testing.T) {
	for name, c := range map[string]struct {
		draw   func(seed uint64, number int) Consumer
		wobble float64
	}{"alkalinity": {Alkalinity, 0.03}, "calcium": {Calcium, 0.02}} {
		n, inside, directed, wrong := 0, 0, 0, 0
		for k := range 8 {
			tank := c.draw(5, k)
			set := trend.Settings{Floor: math.NaN(), Low: math.NaN(), High: math.NaN(), Wobble: c.wobble}
			for i, a := range trend.Hindcast(tank.Obs, tank.Inputs, set) {
				if tank.Obs[i].Day < burnIn {
					continue
				}
				slope := 7 * (supplyAt(tank.Inputs, tank.Obs[i].Day) - tank.Taken[i])
				n++
				if a.SlopeLo <= slope && slope <= a.SlopeHi {
					inside++
				}
				if a.Direction == trend.Rising || a.Direction == trend.Falling {
					directed++
					if (a.Direction == trend.Rising) != (slope > 0) {
						wrong++
					}
				}
			}
		}
		covered, mistaken := share(inside, n), share(wrong, directed)
		t.Logf("%s: 80 %% intervals of the slope held it in %.2f of %d; %.2f of %d directions were wrong", name, covered, n,
			mistaken, directed)
		if covered < 0.68 || covered > 0.92 {
			t.Errorf("%s: 80 %% intervals of the slope held it in %.2f", name, covered)
		}
		if mistaken > 0.1 {
			t.Errorf("%s: %.2f of the directions were wrong", name, mistaken)
		}
	}
}

// supplyAt is the dosing in force on a day.
func supplyAt(in []trend.Input, day float64) float64 {
	supply := 0.0
	for _, i := range in {
		if i.Kind == trend.Dosing && i.Day <= day {
			supply = i.Amount
		}
	}
	return supply
}
