package picture

import (
	"math"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"leadline/alerts"
	"leadline/logbook"
)

// yearChart is a year of readings, a day and a value each.
func yearChart(band alerts.Band, days ...[2]float64) Chart {
	c := chartOf(1)
	c.From, c.To = noon.AddDate(0, 0, -YearDays), noon
	c.Finding.EveryDays, c.Finding.Band = 0, band
	for _, d := range days {
		c.Readings = append(c.Readings, reading(d[0], d[1]))
	}
	return c
}

// The share of time in the band is that of the line, between the ends of the chart, to a day; gaps count for nothing.
func TestSumOfAYear(t *testing.T) {
	nan := math.NaN()
	both := alerts.Band{Low: 4, High: 8, Floor: nan}
	for name, row := range map[string]struct {
		chart Chart
		want  Sum
		says  string
	}{
		"half of a slope": {yearChart(both, [2]float64{-30, 6}, [2]float64{-10, 10}),
			Sum{N: 2, Share: 0.5, Lo: 6, Hi: 10, Swings: 1}, "50 % in band, 6.0–10.0, 1 swing, from 2 readings"},
		"a gap": {yearChart(both, [2]float64{-300, 5}, [2]float64{-290, 5}, [2]float64{-20, 9},
			[2]float64{-10, 9}), Sum{N: 4, Share: 0.5, Lo: 5, Hi: 9, Swings: 1},
			"50 % in band, 5.0–9.0, 1 swing, from 4 readings"},
		"from before the year": {yearChart(both, [2]float64{-375, 9}, [2]float64{-355, 3}),
			Sum{N: 1, Share: 1.0 / 1.5, Lo: 3, Hi: 3, Swings: 0}, "64 % in band, 3.0–3.0, 0 swings, from 1 reading"},
		"up and down": {yearChart(both, [2]float64{-50, 5}, [2]float64{-40, 7.5}, [2]float64{-30, 6.5},
			[2]float64{-20, 7.9}, [2]float64{-10, 5}), Sum{N: 5, Share: 1, Lo: 5, Hi: 7.9, Swings: 2},
			"100 % in band, 5.0–7.9, 2 swings, from 5 readings"},
		"not quite all": {yearChart(both, [2]float64{-50, 8}, [2]float64{-16, 8}, [2]float64{-15, 8.1}),
			Sum{N: 3, Share: 34.0 / 35, Lo: 8, Hi: 8.1, Swings: 0}, "97 % in band, 8.0–8.1, 0 swings, from 3 readings"},
		"one edge": {yearChart(alerts.Band{Low: nan, High: 8, Floor: nan}, [2]float64{-30, 6}, [2]float64{-10, 10}),
			Sum{N: 2, Share: 0.5, Lo: 6, Hi: 10, Swings: -1}, "50 % in band, 6.0–10.0, from 2 readings"},
		"no band": {yearChart(alerts.Band{Low: nan, High: nan, Floor: nan}, [2]float64{-30, 6}, [2]float64{-10, 10}),
			Sum{N: 2, Share: nan, Lo: 6, Hi: 10, Swings: -1}, "6.0–10.0, from 2 readings"},
		"no readings": {yearChart(both), Sum{Share: nan, Swings: -1}, "no readings"},
	} {
		got := row.chart.Sum()
		if math.Abs(got.Share-row.want.Share) > 0.03 || math.IsNaN(got.Share) != math.IsNaN(row.want.Share) {
			t.Errorf("%s: share %v, want %v", name, got.Share, row.want.Share)
		}
		if got.Share, row.want.Share = 0, 0; got != row.want {
			t.Errorf("%s: %+v, want %+v", name, got, row.want)
		}
		if says := row.chart.Sum().Text(row.chart.Finding.Parameter); says != row.says {
			t.Errorf("%s: %q, want %q", name, says, row.says)
		}
	}
}

// Two tanks stand on one axis, at any size all rows fit and are as wide, and each of their charts stands in the row
// that is told.
func TestPlotsOfTwoTanks(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var tanks [][]Chart
		n := rapid.IntRange(1, 12).Draw(r, "parameters")
		for range rapid.IntRange(1, 2).Draw(r, "tanks") {
			var charts []Chart
			for range n {
				var days [][2]float64
				for day := -380.0; day < 0; day += rapid.Float64Range(3, 60).Draw(r, "gap") {
					days = append(days, [2]float64{day, rapid.Float64Range(0, 20).Draw(r, "value")})
				}
				c := yearChart(alerts.Band{Low: 4, High: 8, Floor: 1}, days[:rapid.IntRange(0, len(days)).Draw(r, "n")]...)
				c.Done = []logbook.Entry{logbook.WaterChange{Time: noon.AddDate(0, 0, -200)},
					logbook.Event{Time: noon.AddDate(0, 0, -20), Text: "pale"}}
				charts = append(charts, c)
			}
			tanks = append(tanks, charts)
		}
		if len(tanks) == 2 {
			for i := range n {
				OnOneAxis(&tanks[0][i], &tanks[1][i])
				a, one := tanks[0][i].Scale(true)
				b, other := tanks[1][i].Scale(true)
				if a != b || one != other {
					r.Fatalf("two axes: %v and %v", a, b)
				}
				for _, c := range []Chart{tanks[0][i], tanks[1][i]} {
					for _, v := range c.held(c.Seen()) {
						if a.Beyond(v) {
							r.Fatalf("%v is not on the axis %v", v, a)
						}
					}
				}
			}
		}
		width, height := rapid.IntRange(0, 160).Draw(r, "w"), rapid.IntRange(0, 60).Draw(r, "h")
		top := rapid.IntRange(0, n-1).Draw(r, "top")
		rows, each := Plots(tanks, top, width, height)
		if len(rows) > max(1+1+feet, height) {
			r.Fatalf("%d rows in %d", len(rows), height)
		}
		named := 0
		for i, row := range rows {
			if w := ansi.StringWidth(row.String()); w > width {
				r.Fatalf("a row of %d in %d: %s", w, width, row)
			}
			if strings.HasPrefix(row.String(), "nitrate") {
				if (i-1)%each != 0 {
					r.Fatalf("a chart begins in row %d, of %d each", i, each)
				}
				named++
			}
		}
		if len(rows) > 1 && (named == 0 || named > Room(n, height)) {
			r.Fatalf("%d charts; room for %d", named, Room(n, height))
		}
	})
}

// What was done is one deed however often; the rare are numbered in their order, what may have changed the water before
// what is only set anew.
func TestDeeds(t *testing.T) {
	at := func(days int) time.Time { return noon.AddDate(0, 0, days) }
	var done []logbook.Entry
	for i := range 6 {
		done = append(done, logbook.Dosing{Time: at(-60 + i), Parameter: "alkalinity", PerDay: float64(i + 1), Unit: "dKH"})
	}
	for i := range 5 {
		done = append(done, logbook.WaterChange{Time: at(-50 + i), Fraction: 0.1})
	}
	done = append(done, logbook.ChoreDone{Time: at(-40), Chore: "media"}, logbook.ChoreDone{Time: at(-39), Chore: "media"},
		logbook.ChoreDone{Time: at(-38), Chore: "media", Note: "new brand"}, logbook.Event{Time: at(-37), Text: "pale"},
		logbook.Event{Time: at(-36), Text: "pale"})
	var lines []string
	for _, k := range Listed(Deeds(done, chartOf(1).Known, false, 5), time.UTC) {
		lines = append(lines, k.Line())
	}
	want := []string{" 1  18 Jan: alkalinity dosing 6 dKH a day", " 2  2 Feb, 3 Feb: media done",
		" 3  4 Feb: media done: new brand", " 4  5 Feb: pale", " 5  6 Feb: pale",
		" w  23 Jan, … 27 Jan (5 times): water change of 10 %", "    … and 5 more"}
	if got := strings.Join(lines, "\n"); got != strings.Join(want, "\n") {
		t.Errorf("listed:\n%s\nwant\n%s", got, strings.Join(want, "\n"))
	}
}
