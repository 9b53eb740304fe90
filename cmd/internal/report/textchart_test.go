package report

import (
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
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
	text := demoCharts(t)[0].Text(80, 14, false)
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
