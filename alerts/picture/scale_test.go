package picture

import (
	"math"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/trend"
)

// A forecast that runs away leaves what was measured, the band and the floor at least a third of the scale.
func TestSpanOfARunawayForecast(t *testing.T) {
	now := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	c := Chart{From: now.AddDate(0, 0, -60), Now: now, To: now.AddDate(0, 0, 42)}
	c.Finding.Parameter = logbook.Parameter{Name: "phosphate", Unit: "mg/L", Digits: 3}
	c.Finding.Band = alerts.Band{Low: 0.02, High: 0.08, Floor: 0.02}
	for i := range 8 {
		c.Readings = append(c.Readings, logbook.Reading{Time: now.AddDate(0, 0, -7*i), Value: 0.03 + 0.002*float64(i%3)})
	}
	forecast := func(mean float64) trend.Assessment {
		return trend.Assessment{N: 8, Level: 0.03, LevelLo: 0.025, LevelHi: 0.036, Forecast: []trend.ForecastPoint{
			{Days: 7, Mean: 0.03 + mean/4, Lo: 0.02, Hi: 0.06 + mean/2}, {Days: 28, Mean: 0.03 + mean, Lo: 0.02, Hi: 0.06 + 2*mean}}}
	}
	c.Finding.Assessment = forecast(0.8)
	s, ok := c.Scale(true)
	lo, hi := s.Lo, s.Hi
	if !ok || lo > 0.02 || hi < 0.08 || hi-lo > 3*0.08 {
		t.Errorf("scale from %v to %v", lo, hi)
	}
	c.Finding.Assessment = forecast(0.03) // a forecast that stays near is shown whole
	if s, _ := c.Scale(true); s.Hi < 0.08 || math.IsNaN(s.Hi) {
		t.Errorf("scale up to %v", s.Hi)
	}
	c.Finding.Assessment = forecast(0.1)
	if s, _ := c.Scale(true); s.Hi < 0.13 {
		t.Errorf("the mean goes up to 0.13, the scale to %v", s.Hi)
	}
}

// Only what can be a slip of the decimal point, and stands alone, is held at the edge; the newest readings are not cut off
// because those before them were alike. No band is set.
func TestSpanHoldsTheNewestReadings(t *testing.T) {
	now := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	for _, row := range []struct {
		values []float64
		lo, hi float64 // on the axis
		beyond float64 // not on it; 0: none
	}{
		{[]float64{8, 8, 8, 8, 8, 8.3}, 8, 8.3, 0},
		{[]float64{8, 8, 8, 8, 8, 6.5}, 6.5, 8, 0},
		{[]float64{8, 8, 8, 8, 8, 8, 8, 8, 20, 30, 40}, 8, 40, 0},
		{[]float64{8, 8, 8, 8, 8, 8, 8, 8, 2, 0.5}, 0.5, 8, 0},
		{[]float64{8, 8, 82, 8, 8, 8}, 8, 8, 82},
		{[]float64{8.1, 8, 8.2, 8, 8, 81}, 8, 8.2, 81},
		{[]float64{80, 80, 8.1, 80, 82}, 80, 82, 8.1},
		{[]float64{8, 8, 82, 0.8, 8, 8, 8}, 8, 8, 82},
		{[]float64{0, 0, 0, 0, 5}, 0, 0, 5},
	} {
		c := Chart{From: now.AddDate(0, 0, -90), Now: now, To: now.AddDate(0, 0, 42)}
		c.Finding.Parameter = logbook.Parameter{Name: "alkalinity", Unit: "dKH", Digits: 2}
		c.Finding.Band = alerts.Band{Low: math.NaN(), High: math.NaN(), Floor: math.NaN()}
		for i, v := range row.values {
			c.Readings = append(c.Readings, logbook.Reading{Time: now.AddDate(0, 0, 7*(i-len(row.values))), Value: v})
		}
		s, ok := c.Scale(true)
		lo, hi := s.Lo, s.Hi
		if !ok || lo > row.lo || hi < row.hi {
			t.Errorf("%v: scale from %v to %v", row.values, lo, hi)
		}
		if row.beyond != 0 && row.beyond > lo && row.beyond < hi {
			t.Errorf("%v: the scale from %v to %v is pressed by one slip", row.values, lo, hi)
		}
	}
}

func TestNiceStep(t *testing.T) {
	for _, c := range []struct {
		least, step float64
		digits      int
	}{{0.011, 0.02, 2}, {0.02, 0.02, 2}, {1, 1, 0}, {3, 5, 0}, {7, 10, 0}, {0.3, 0.5, 1}, {0.06, 0.1, 1}, {40, 50, 0}} {
		if step, digits := niceStep(c.least); math.Abs(step-c.step) > 1e-12 || digits != c.digits {
			t.Errorf("niceStep(%v) = %v, %d, want %v, %d", c.least, step, digits, c.step, c.digits)
		}
	}
}
