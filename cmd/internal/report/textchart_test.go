package report

import (
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/charmbracelet/x/ansi"

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
	c.Finding.Assessment = trend.Assessment{N: 16, Level: 0.022, LevelLo: 0.018, LevelHi: 0.029, Direction: trend.Falling,
		SlopePerWeek: -0.0024, SlopeLo: -0.004, SlopeHi: -0.0003, Forecast: []trend.ForecastPoint{
			{Days: 7, Mean: 0.020, Lo: 0.015, Hi: 0.028}, {Days: 42, Mean: 0.012, Lo: 0.004, Hi: 0.026}}}
	text := TextChart(c, 80, 14, false)
	golden(t, "phosphate.txt", text)
	// 16 weekly tests in 112 days, up to one on either side.
	if n := strings.Count(text, "●") - 1; n < 15 || n > 17 {
		t.Errorf("%d readings are marked", n)
	}
	for _, want := range []string{"phosphate, mg/L, of forereef", "0.060┤", "0.030┤", "0.015┤", "═ floor 0.015 mg/L",
		" 6  28 Feb: plating colony 2"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
	if private := TextChart(demoCharts(t)[0], 80, 14, true); strings.Contains(private, "forereef") ||
		strings.Contains(private, "plating") {
		t.Errorf("the private chart tells names:\n%s", private)
	}
}

// TestTextChartOfHostileTank: no terminal command of a name or an event reaches the terminal.
func TestTextChartOfHostileTank(t *testing.T) {
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	text := TextChart(chartsOf(t, bookOf(t, hostileLog(t)), hostileTank, asOf.AddDate(0, 0, -20), asOf, "nitrate")[0], 80,
		14, false)
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

func TestTextChartWidths(t *testing.T) {
	c := demoCharts(t)[0]
	for width := leastWidth; width <= 220; width += 7 {
		for _, rows := range []int{0, 5, 14, 40} {
			checkText(t, TextChart(c, width, rows, false), width)
		}
	}
}
