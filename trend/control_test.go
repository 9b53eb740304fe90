package trend

import (
	"encoding/json"
	"math"
	"slices"
	"testing"
)

type controlCase struct {
	ID, Kind      string
	Chart         string
	Y             []float64
	Lambda, Sigma float64
	Width         float64 `json:"L"`
	Target        float64
	Slack         float64 `json:"k"`
	Line          float64 `json:"h"`
	Shift         float64
	ARL           float64
	Expected      json.RawMessage
}

// The worked examples of the NIST/SEMATECH handbook and made series, by other formulas in Python and R: 1e-9. Average run
// lengths from R package spc 0.6.7, for which 1e-4 is promised: 1e-8.
func TestControlReference(t *testing.T) {
	for _, c := range reference[controlCase](t, "control_charts.json") {
		t.Run(c.ID, func(t *testing.T) {
			switch c.Kind {
			case "ewma":
				checkEWMA(t, c)
			case "cusum":
				checkCUSUM(t, c)
			case "individuals_mr":
				checkIndividuals(t, c)
			case "average_run_length":
				got := CUSUMRunLength(max(c.Slack, 0), max(c.Line, 1), c.Shift)
				if c.Lambda > 0 {
					got = EWMARunLength(c.Lambda, c.Width, c.Shift)
				}
				check(t, "average run length", got, c.ARL, 1e-8, 0)
			default:
				t.Errorf("kind %q is not tested", c.Kind)
			}
		})
	}
}

func expected(t *testing.T, c controlCase, into any) {
	t.Helper()
	if err := json.Unmarshal(c.Expected, into); err != nil {
		t.Fatal(err)
	}
}

// numbered counts from 1.
func numbered(indices []int) []int {
	out := make([]int, len(indices))
	for i, at := range indices {
		out[i] = at + 1
	}
	return out
}

func checkSeries(t *testing.T, what string, got, want []float64, abs float64) {
	t.Helper()
	if len(got) != len(want) {
		t.Fatalf("%s: %d values, want %d", what, len(got), len(want))
	}
	for i := range got {
		check(t, what, got[i], want[i], 1e-9, abs)
	}
}

func checkIndices(t *testing.T, what string, got, want []int) {
	t.Helper()
	if !slices.Equal(numbered(got), want) {
		t.Errorf("%s: readings %v, want %v", what, numbered(got), want)
	}
}

func checkEWMA(t *testing.T, c controlCase) {
	var want struct {
		EWMA         []float64
		Limits       [][2]float64 `json:"limits_at_i"`
		Final        [2]float64   `json:"asymptotic_limits"`
		OutsideFinal []int        `json:"outside_asymptotic"`
		Outside      []int        `json:"outside_exact"`
	}
	expected(t, c, &want)
	got := EWMA(c.Y, c.Lambda, c.Target, c.Sigma, c.Width)
	checkSeries(t, "average", got.Z, want.EWMA, 0)
	for i, l := range want.Limits {
		check(t, "lower limit", got.Lo[i], l[0], 1e-9, 0)
		check(t, "upper limit", got.Hi[i], l[1], 1e-9, 0)
	}
	check(t, "final lower limit", got.FinalLo, want.Final[0], 1e-9, 0)
	check(t, "final upper limit", got.FinalHi, want.Final[1], 1e-9, 0)
	checkIndices(t, "outside", got.Outside, want.Outside)
	checkIndices(t, "outside of the final limits", got.OutsideOfFinal, want.OutsideFinal)
}

func checkCUSUM(t *testing.T, c controlCase) {
	var want struct {
		High       []float64 `json:"s_high"`
		Low        []float64 `json:"s_low"`
		Cumulative []float64
		HighSignal []int `json:"high_above_h"`
		LowSignal  []int `json:"low_above_h"`
	}
	expected(t, c, &want)
	got := CUSUM(c.Y, c.Target, c.Slack, c.Line)
	abs := 1e-12 * size(c.Y)
	checkSeries(t, "high", got.High, want.High, abs)
	checkSeries(t, "low", got.Low, want.Low, abs)
	checkSeries(t, "cumulative", got.Cumulative, want.Cumulative, abs)
	checkIndices(t, "high", got.HighSignal, want.HighSignal)
	checkIndices(t, "low", got.LowSignal, want.LowSignal)
}

func checkIndividuals(t *testing.T, c controlCase) {
	var want struct {
		Center  float64
		Ranges  []float64  `json:"moving_ranges"`
		Mean    float64    `json:"mr_bar"`
		Sigma   float64    `json:"sigma_hat"`
		Limits  [2]float64 `json:"x_limits"`
		Range   [2]float64 `json:"mr_limits"`
		Outside []int      `json:"x_outside"`
		Above   []int      `json:"mr_above"`
	}
	expected(t, c, &want)
	got := Individuals(c.Y)
	check(t, "center", got.Center, want.Center, 1e-9, 0)
	checkSeries(t, "moving ranges", got.MovingRanges, want.Ranges, 1e-12*size(c.Y))
	check(t, "mean range", got.MeanRange, want.Mean, 1e-9, 0)
	check(t, "sigma", got.Sigma, want.Sigma, 1e-9, 0)
	check(t, "lo", got.Lo, want.Limits[0], 1e-9, 0)
	check(t, "hi", got.Hi, want.Limits[1], 1e-9, 0)
	check(t, "range limit", got.RangeHi, want.Range[1], 1e-9, 0)
	checkIndices(t, "outside", got.Outside, want.Outside)
	checkIndices(t, "ranges above", got.RangeOutside, want.Above)
}

// With lambda 1 the chart is Shewhart's, whose run length is 1 over the chance of a call.
func TestRunLengthOfSingleReadings(t *testing.T) {
	for _, shift := range []float64{0, 1, 3} {
		call := 1 - (normalCDF(3-shift) - normalCDF(-3-shift))
		check(t, "run length", EWMARunLength(1, 3, shift), 1/call, 1e-9, 0)
	}
}

func TestControlEdges(t *testing.T) {
	if c := Individuals([]float64{3}); !math.IsNaN(c.Sigma) {
		t.Errorf("one reading: %+v", c)
	}
	if c := EWMA(nil, 0.2, 8, 1, 3); len(c.Z) != 0 || c.FinalHi <= c.FinalLo {
		t.Errorf("no reading: %+v", c)
	}
	mustPanic(t, "trend: EWMA", func() { EWMA(nil, 0, 8, 1, 3) })
	mustPanic(t, "trend: EWMA", func() { EWMA(nil, 0.2, math.NaN(), 1, 3) })
	mustPanic(t, "trend: CUSUM", func() { CUSUM(nil, 8, -1, 3) })
	mustPanic(t, "trend: EWMARunLength", func() { EWMARunLength(0.2, 3, math.Inf(1)) })
	mustPanic(t, "trend: CUSUMRunLength", func() { CUSUMRunLength(0.5, 0, 0) })
}
