package report

import (
	"math"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/charmbracelet/x/ansi"

	"leadline/logbook"
	"leadline/trend"
)

func checkText(t *testing.T, text string, width int) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		if w := ansi.StringWidth(line); w > width {
			t.Errorf("%d columns in %d: %s", w, width, line)
		}
	}
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
		t.Errorf("no number:\n%s", text)
	}
}

func TestTextChartOfDemo(t *testing.T) {
	c := demoCharts(t)[0]
	c.Line.Assessment = trend.Assessment{N: 16, Level: 0.022, LevelLo: 0.018, LevelHi: 0.029, Direction: trend.Falling,
		SlopePerWeek: -0.0024, SlopeLo: -0.004, SlopeHi: -0.0003, Forecast: []trend.ForecastPoint{
			{Days: 7, Mean: 0.020, Lo: 0.015, Hi: 0.028}, {Days: 42, Mean: 0.012, Lo: 0.004, Hi: 0.026}}}
	text := c.Text(80, 14, false)
	golden(t, "phosphate.txt", text)
	// 16 weekly tests in 112 days, up to one on either side.
	if n := strings.Count(text, "●") - 1; n < 15 || n > 17 {
		t.Errorf("%d readings are marked", n)
	}
	for _, want := range []string{"phosphate, mg/L, of forereef", "0.100┤", "0.030┤", "0.015┤", "═ floor 0.015 mg/L", "* 28 Feb  plating colony 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
	if private := demoCharts(t)[0].Text(80, 14, true); strings.Contains(private, "forereef") || strings.Contains(private, "plating") {
		t.Errorf("the private chart tells names:\n%s", private)
	}
}

// TestTextChartOfHostileTank: no terminal command of a name or an event reaches the terminal.
func TestTextChartOfHostileTank(t *testing.T) {
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	text := chartsOf(t, bookOf(t, hostileLog(t)), hostileTank, asOf.AddDate(0, 0, -20), asOf, "nitrate")[0].Text(80, 14, false)
	checkText(t, text, 80)
	for _, r := range text {
		if unicode.IsControl(r) && r != '\n' || r == '\u202e' {
			t.Errorf("%U in the chart", r)
		}
	}
	if !strings.Contains(text, "secret event") {
		t.Errorf("no event:\n%s", text)
	}
}

// TestThinned: of a dense series few readings are drawn, none of them invented, and every stretch keeps its extremes.
func TestThinned(t *testing.T) {
	start := time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)
	const n = 50000
	rs := make([]logbook.Reading, n)
	for i := range rs {
		rs[i] = logbook.Reading{Time: start.Add(time.Duration(i) * time.Minute), Value: math.Sin(float64(i) / 300)}
	}
	rs[31234].Value, rs[41234].Value = 7, -7
	out, few := thinned(rs, func(at time.Time) float64 { return float64(at.Sub(start)) / float64(n*time.Minute) })
	if few || len(out) > 4*720 {
		t.Errorf("%d readings, few: %v", len(out), few)
	}
	low, high := 0.0, 0.0
	for i, r := range out {
		if k := int(r.Time.Sub(start) / time.Minute); rs[k] != r || i > 0 && !out[i-1].Time.Before(r.Time) {
			t.Fatalf("reading %d is %v", i, r)
		}
		low, high = math.Min(low, r.Value), math.Max(high, r.Value)
	}
	if low != -7 || high != 7 || out[0] != rs[0] || out[len(out)-1] != rs[n-1] {
		t.Errorf("extremes or ends are lost: %v, %v", low, high)
	}
	if same, few := thinned(rs[:200], nil); !few || len(same) != 200 {
		t.Error("a short series is thinned")
	}
}

func TestTextChartWidths(t *testing.T) {
	c := demoCharts(t)[0]
	for width := leastWidth; width <= 220; width += 7 {
		for _, rows := range []int{0, 5, 14, 40} {
			checkText(t, c.Text(width, rows, false), width)
		}
	}
}

func TestTicks(t *testing.T) {
	zone, err := time.LoadLocation("Pacific/Auckland")
	if err != nil {
		t.Fatal(err)
	}
	at := func(y int, m time.Month, d int) time.Time { return time.Date(y, m, d, 15, 0, 0, 0, zone) }
	for _, c := range []struct {
		from, to time.Time
		room     int
		want     string
	}{
		{at(2026, 3, 3), at(2026, 3, 25), 9, "9 Mar,16 Mar,23 Mar"},
		{at(2026, 1, 15), at(2026, 5, 2), 8, "Feb 2026,Mar 2026,Apr 2026,May 2026"}, // across the end of summer time on 5 April
		{at(2025, 2, 15), at(2026, 5, 2), 8, "Apr 2025,Jul 2025,Oct 2025,Jan 2026,Apr 2026"},
		{at(2020, 2, 15), at(2026, 5, 2), 8, "2021,2022,2023,2024,2025,2026"},
	} {
		var got []string
		for _, k := range ticks(c.from, c.to, c.room) {
			got = append(got, k.label)
			if k.at.Hour() != 0 || k.at.Location() != zone {
				t.Errorf("%v is no start of a day in the tank's zone", k.at)
			}
		}
		if strings.Join(got, ",") != c.want {
			t.Errorf("%v to %v: %v, want %s", c.from, c.to, got, c.want)
		}
	}
}
