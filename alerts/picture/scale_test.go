package picture

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/trend"
)

// A forecast that runs away leaves what was measured, half the width of the band at least, a third of the scale.
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
			{Days: 7, Mean: 0.03 + mean/4, Lo: 0.02, Hi: 0.06 + mean/2},
			{Days: 28, Mean: 0.03 + mean, Lo: 0.02, Hi: 0.06 + 2*mean}}}
	}
	c.Finding.Assessment = forecast(0.8)
	s, ok := c.Scale(true)
	lo, hi := s.Lo, s.Hi
	if !ok || lo > 0.02 || hi < 0.06 || hi-lo > 3*0.03 {
		t.Errorf("scale from %v to %v", lo, hi)
	}
	c.Finding.Assessment = forecast(0.03) // a forecast that stays near is shown whole
	if s, _ := c.Scale(true); s.Hi < 0.06 || math.IsNaN(s.Hi) {
		t.Errorf("the mean goes up to 0.06, the scale to %v", s.Hi)
	}
}

// The axis is that of the readings: an edge of the band or a floor belongs to it only where it is near, and what is
// small beside the band's width is not drawn large.
func TestAxisIsThatOfTheReadings(t *testing.T) {
	for name, row := range map[string]struct {
		band           alerts.Band
		values         []float64
		on, beyond     []float64
		leastSpan      float64
		digits         int
		mostSpanInThem float64 // the axis as against the span of the readings
	}{
		"an edge far above": {alerts.Band{Low: 0.03, High: 0.1, Floor: 0.015}, []float64{0.06, 0.05, 0.04, 0.03, 0.02},
			[]float64{0.015, 0.03}, []float64{0.1}, 0.04, 3, 1.6},
		"both edges near": {alerts.Band{Low: 7, High: 9, Floor: math.NaN()}, []float64{7.4, 8.6, 7.6}, []float64{7, 9},
			nil, 2, 1, 2.1},
		"steady in the band": {alerts.Band{Low: 7, High: 9, Floor: math.NaN()}, []float64{8, 8.1, 8}, nil, nil, 1, 1, 20},
		"far below the band": {alerts.Band{Low: 400, High: 450, Floor: math.NaN()}, []float64{300, 310, 305}, nil,
			[]float64{400, 450}, 20, 0, 5},
		"no band": {alerts.Band{Low: math.NaN(), High: math.NaN(), Floor: math.NaN()}, []float64{4, 5, 6}, nil, nil, 2, 1,
			1.5},
	} {
		c := chartOf(row.digits)
		c.Finding.Band = row.band
		for i, v := range row.values {
			c.Readings = append(c.Readings, reading(float64(7*(i-len(row.values))), v))
		}
		s, _ := c.Scale(true)
		for _, v := range append(row.on, row.values...) {
			if s.Beyond(v) {
				t.Errorf("%s: %v is not on the axis from %v to %v", name, v, s.Lo, s.Hi)
			}
		}
		for _, v := range row.beyond {
			if !s.Beyond(v) {
				t.Errorf("%s: %v presses the axis from %v to %v", name, v, s.Lo, s.Hi)
			}
		}
		span := slices.Max(row.values) - slices.Min(row.values)
		if s.Hi-s.Lo < row.leastSpan || s.Hi-s.Lo > row.mostSpanInThem*span {
			t.Errorf("%s: the axis from %v to %v, the readings span %v", name, s.Lo, s.Hi, span)
		}
		for _, line := range drawn(c, 80, 20)[:18] {
			if label := strings.TrimLeft(line, " "); strings.HasPrefix(label, "0.100┤") || strings.HasPrefix(label, "400┤") {
				t.Errorf("%s: what is beyond the axis has a row: %s", name, line)
			}
		}
	}
}

// Only what can be a slip of the decimal point, and stands alone among others, is held at the edge; the newest readings
// never are. No band is set.
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
		{[]float64{8.1, 8, 8.2, 8, 8, 81}, 8, 81, 0},
		{[]float64{8.1, 8, 8.2, 8, 81, 8}, 8, 8.2, 81},
		{[]float64{8.1, 8, 8.2, 8, 8, 2.5}, 2.5, 8.2, 0},
		{[]float64{80, 80, 8.1, 80, 82}, 80, 82, 8.1},
		{[]float64{8, 8, 82, 0.8, 8, 8, 8}, 8, 8, 82},
		{[]float64{0, 0, 0, 0, 5}, 0, 5, 0},
		{[]float64{0, 0, 0, 5, 0}, 0, 0, 5},
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

// The numbers beside an axis are round in the unit that is shown, and stand where they belong.
func TestStepsAreRoundInTheUnitShown(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		of := rapid.SampledFrom([][2]string{{"salinity", "SG 25/25"}, {"salinity", "mS/cm"}, {"alkalinity", "meq/L"},
			{"alkalinity", "mg/L CaCO3"}, {"temperature", "°F"}, {"phosphate", "ppb P"}, {"phosphate", ""}, {"pH", ""}}).Draw(t,
			"parameter")
		p, _ := logbook.FindParameter(logbook.Standard(), of[0])
		if of[1] != "" {
			p.Shown, _ = p.FindUnit(of[1])
		}
		lo := math.Max(p.AskLow, 1) + rapid.Float64Range(0, 5).Draw(t, "bottom")
		s := Scale{Lo: lo, Hi: lo + rapid.Float64Range(1, 9).Draw(t, "span"), Log: rapid.Bool().Draw(t, "logarithmic")}
		steps, digits := Chart{Finding: alerts.Finding{Series: alerts.Series{Parameter: p}}}.Steps(s, 8)
		for _, v := range steps {
			shown := p.Shown.FromCanonical(v)
			if round := shown * math.Pow10(digits); s.At(v) < 0 || v < s.Lo-1e-6 || v > s.Hi+1e-6 ||
				math.Abs(round-math.Round(round)) > 1e-4 {
				t.Fatalf("%v, shown as %v %s, on the axis from %v to %v", v, shown, p.ShownUnit(), s.Lo, s.Hi)
			}
		}
	})
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

// Every kind of what is done or seen has a mark, a lane and words of its own: one that is forgotten would not be seen.
func TestWhatIsDoneIsShown(t *testing.T) {
	for _, kind := range alerts.DoneKinds() {
		i := slices.IndexFunc(doings(), func(d doing) bool { return d.kind == kind })
		if i < 0 || doings()[i].mark == (Mark{}) || !slices.Contains(laneNames(), doings()[i].lane) {
			t.Errorf("%s has no mark or no lane in doings", kind)
		}
	}
}
