package tui

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/guptarohit/asciigraph"
	"pgregory.net/rapid"

	"leadline/alerts"
	"leadline/logbook"
)

func plainChart(rs []logbook.Reading) chart {
	return chart{From: noon.AddDate(0, 0, -84), To: noon.AddDate(0, 0, 28), Now: noon, Width: 80, Height: 16, Readings: rs,
		Band: alerts.Band{Low: nan(), High: nan(), Floor: nan()}, Joined: hours(24 * 25), Number: func(v float64) string { return fmt.Sprintf("%.3g", v) }}
}

// No reading is invented and none within the window is lost: as many marks as cells that readings fall into, for any
// values, times and sizes.
func TestChartMarksAreTheReadings(t *testing.T) {
	th := newTheme(nil, true, false, false)
	rapid.Check(t, func(r *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(r, "n")
		var rs []logbook.Reading
		day := 0.0
		for range n {
			day += rapid.Float64Range(0, 30).Draw(r, "gap")
			rs = append(rs, logbook.Reading{Time: noon.AddDate(0, 0, -200).Add(hours(day * 24)), Value: rapid.Float64Range(0, 1e6).Draw(r, "value")})
		}
		c := plainChart(rs)
		c.Width, c.Height, c.Log = rapid.IntRange(20, 160).Draw(r, "w"), rapid.IntRange(5, 40).Draw(r, "h"), rapid.Bool().Draw(r, "log")
		rows := c.draw(th)
		y, ok := c.scale()
		if !ok {
			r.Fatal("no scale")
		}
		y.rows = c.Height - chartFeet
		_, gutter := c.labels(y, y.rows)
		columns := c.Width - gutter - 1
		if columns < 8 {
			return
		}
		want := map[[2]int]bool{}
		for _, x := range rs {
			if at := c.column(x.Time, columns); at >= 0 && at < columns {
				want[[2]int{int(math.Round(y.row(x.Value))), at}] = true
			}
		}
		got := 0
		for _, row := range rows {
			if width(row) > c.Width {
				r.Fatalf("row of %d cells in %d", width(row), c.Width)
			}
			got += strings.Count(row, th.Signs.Level)
		}
		if got != len(want) {
			r.Fatalf("%d marks for readings in %d cells:\n%s", got, len(want), strings.Join(rows, "\n"))
		}
	})
}

// The line is not drawn across a gap longer than the limit.
func TestChartLeavesGaps(t *testing.T) {
	th := newTheme(nil, true, false, false)
	at := func(days int, v float64) logbook.Reading {
		return logbook.Reading{Time: noon.AddDate(0, 0, days), Value: v}
	}
	count := func(rs ...logbook.Reading) int {
		return strings.Count(strings.Join(plainChart(rs).draw(th)[:14], "\n"), "─")
	}
	if n := count(at(-70, 5), at(-50, 5)); n < 5 {
		t.Errorf("twenty days are joined by %d cells", n)
	}
	if n := count(at(-80, 5), at(-50, 5)); n != 0 {
		t.Errorf("thirty days are joined by %d cells; the limit is 25", n)
	}
}

// Values on the band's edges stand on its lines, at every height.
func TestChartBandRows(t *testing.T) {
	for h := 6; h < 40; h++ {
		c := plainChart([]logbook.Reading{{Time: noon.AddDate(0, 0, -7), Value: 3}, {Time: noon, Value: 12}})
		c.Height, c.Band = h, alerts.Band{Low: 3, High: 12, Floor: 1}
		y, _ := c.scale()
		y.rows = h - chartFeet
		if y.row(12) != float64(y.rows-1) || y.row(1) != 0 {
			t.Fatalf("height %d: the ends are not at the ends", h)
		}
		g := newGrid(y.rows, 30, &newTheme(nil, true, false, false).Plain)
		g.lay(constant(y.row(3), 30), asciigraph.CreateCharSet("x"), &newTheme(nil, true, false, false).Plain)
		for row := range y.rows {
			line := g.cells[y.rows-1-row]
			if on := line[3] == "x"; on != (row == int(math.Round(y.row(3)))) {
				t.Fatalf("height %d: row %d", h, row)
			}
		}
	}
}

func TestChartOfNothing(t *testing.T) {
	th := newTheme(nil, true, false, false)
	for name, c := range map[string]chart{
		"no reading":    plainChart(nil),
		"no room":       {From: noon, To: noon.AddDate(0, 0, 1), Width: 80, Height: 3},
		"no time":       {From: noon, To: noon, Width: 80, Height: 20},
		"log of zeroes": {From: noon.AddDate(0, 0, -1), To: noon, Width: 80, Height: 20, Log: true, Band: alerts.Band{Low: nan(), High: nan(), Floor: nan()}, Readings: []logbook.Reading{{Time: noon.Add(-time.Hour)}}, Number: func(float64) string { return "" }},
	} {
		for _, row := range c.draw(th) {
			if width(row) > c.Width {
				t.Errorf("%s: %q", name, row)
			}
		}
	}
}

// Thinning keeps the extremes and the ends, and the order.
func TestThin(t *testing.T) {
	var rs []logbook.Reading
	for i := range 100000 {
		rs = append(rs, logbook.Reading{Time: noon.Add(time.Duration(i) * time.Minute), Value: float64((i * 7919) % 1000)})
	}
	rs[55555].Value, rs[77777].Value = -1, 2000
	out := thin(rs, rs[0].Time, rs[len(rs)-1].Time)
	if len(out) > 4100 {
		t.Errorf("%d are left", len(out))
	}
	low, high := 0, 0
	for i, r := range out {
		if i > 0 && r.Time.Before(out[i-1].Time) {
			t.Fatal("out of order")
		}
		if r.Value == -1 {
			low++
		}
		if r.Value == 2000 {
			high++
		}
	}
	if low != 1 || high != 1 || !out[0].Time.Equal(rs[0].Time) || !out[len(out)-1].Time.Equal(rs[len(rs)-1].Time) {
		t.Errorf("low %d, high %d", low, high)
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		days, columns int
		first, second string
	}{
		{7, 80, "15 Mar", "16 Mar"},
		{84, 112, "16 Mar", "23 Mar"}, // Mondays
		{300, 120, "Apr 2026", "May 2026"},
		{1000, 120, "Apr 2026", "Jul 2026"},
		{4000, 120, "2027", "2028"},
	} {
		ts := ticks(noon, noon.AddDate(0, 0, c.days), c.columns)
		if len(ts) < 2 || ts[0].label != c.first || ts[1].label != c.second {
			t.Errorf("%d days in %d columns: %+v", c.days, c.columns, ts)
		}
	}
}
