package picture

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"
	"pgregory.net/rapid"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/trend"
)

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

func reading(days float64, v float64) logbook.Reading {
	return logbook.Reading{Time: noon.Add(time.Duration(days * 24 * float64(time.Hour))), Value: v}
}

// chartOf is a chart of twelve weeks without a band; lines cross gaps of 25 days.
func chartOf(digits int, rs ...logbook.Reading) Chart {
	c := Chart{From: noon.AddDate(0, 0, -84), Now: noon, To: noon.AddDate(0, 0, 28), Readings: rs}
	c.Finding.Parameter = logbook.Parameter{Name: "nitrate", Unit: "mg/L", Digits: digits}
	c.Finding.Band = alerts.Band{Low: math.NaN(), High: math.NaN(), Floor: math.NaN()}
	c.Finding.EveryDays = 25 / 3.5
	return c
}

func drawn(c Chart, width, height int) []string {
	var out []string
	for _, row := range c.Draw(width, height) {
		out = append(out, row.String())
	}
	return out
}

// No reading is invented and none within the window is lost: as many marks as cells that readings fall into, for any
// values, times and sizes.
func TestMarksAreTheReadings(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		var rs []logbook.Reading
		day := -200.0
		for range rapid.IntRange(1, 60).Draw(r, "n") {
			day += rapid.Float64Range(0, 30).Draw(r, "gap")
			rs = append(rs, reading(day, rapid.Float64Range(0, 1e6).Draw(r, "value")))
		}
		c := chartOf(0, rs...)
		width, height := rapid.IntRange(20, 160).Draw(r, "w"), rapid.IntRange(5, 40).Draw(r, "h")
		c.Log = rapid.Bool().Draw(r, "log")
		rows := drawn(c, width, height)
		g, ok := c.sheet(width, height)
		if !ok || len(rows) == 0 {
			return
		}
		want := map[[2]int]bool{}
		for _, x := range rs {
			if at := g.column(x.Time); at >= 0 && at < g.columns() {
				want[[2]int{g.row(x.Value), at}] = true
			}
		}
		got := 0
		for _, row := range rows {
			if w := ansi.StringWidth(row); w > width {
				r.Fatalf("row of %d cells in %d", w, width)
			}
			got += strings.Count(row, Level)
		}
		if got != len(want) {
			r.Fatalf("%d marks for readings in %d cells:\n%s", got, len(want), strings.Join(rows, "\n"))
		}
	})
}

// The line is not drawn across a gap longer than the limit.
func TestLineLeavesGaps(t *testing.T) {
	count := func(rs ...logbook.Reading) int {
		return len(slices.DeleteFunc([]rune(strings.Join(drawn(chartOf(1, rs...), 80, 16)[:14], "")), func(r rune) bool {
			return !isDots(r)
		}))
	}
	if n := count(reading(-70, 5), reading(-50, 5)); n < 5 {
		t.Errorf("twenty days are joined by %d cells", n)
	}
	if n := count(reading(-80, 5), reading(-50, 5)); n != 0 {
		t.Errorf("thirty days are joined by %d cells; the limit is 25", n)
	}
}

// Readings on the band's edges stand on its lines, at every height.
func TestBandRows(t *testing.T) {
	for height := 6; height < 40; height++ {
		c := chartOf(1, reading(-21, 3), reading(-20, 3), reading(-1, 12), reading(0, 12))
		c.Finding.Band = alerts.Band{Low: 3, High: 12, Floor: 1}
		g, _ := c.sheet(80, height)
		g.plot()
		for row := range g.cells {
			on := g.cells[len(g.cells)-1-row]
			edge := row == g.row(3) || row == g.row(12)
			if marked := slices.Contains(on, Cell{Level, Accent}); marked != edge || (on[0].Sign == BandLine) != edge {
				t.Fatalf("height %d: row %d is %s", height, row, on)
			}
		}
	}
}

// A chart shows the band and the floor that held then: a band that was changed or taken away goes in steps.
func TestBandThatHeld(t *testing.T) {
	none := alerts.Band{Low: math.NaN(), High: math.NaN(), Floor: math.NaN()}
	c := chartOf(1, reading(-84, 3), reading(0, 12))
	c.Finding.Band = alerts.Band{Low: 3, High: 12, Floor: 1}
	c.Bands = []alerts.HeldBand{{Band: alerts.Band{Low: 5, High: 9, Floor: math.NaN()}},
		{From: noon.AddDate(0, 0, -56), Band: none},
		{From: noon.AddDate(0, 0, -28), Band: c.Finding.Band}, {From: noon.AddDate(0, 0, 7), Band: none}}
	for i := range 3 {
		c.Bands[i].To = c.Bands[i+1].From
	}
	g, _ := c.sheet(80, 24)
	g.plot()
	for v, want := range map[float64][2]time.Time{5: {c.From, noon.AddDate(0, 0, -56)},
		9: {c.From, noon.AddDate(0, 0, -56)},
		3: {noon.AddDate(0, 0, -28), c.To}, 12: {noon.AddDate(0, 0, -28), c.To}, 1: {noon.AddDate(0, 0, -28), c.To}} {
		first, last := g.columns(), 0
		for i, cell := range g.cells[len(g.cells)-1-g.row(v)] {
			if cell.Sign == BandLine || cell.Sign == FloorLine {
				first, last = min(first, i), max(last, i)
			}
		}
		if from, to := g.column(want[0]), min(g.column(want[1]), g.columns()); first-from > 3 || first < from || last >= to ||
			to-last > 5 {
			t.Errorf("the edge at %v runs from column %d to %d, want %d to %d", v, first, last, from, to)
		}
	}
	if c.Bands = c.Bands[2:3]; len(c.Held()) != 1 || c.Held()[0].Band != c.Finding.Band {
		t.Errorf("one band holds all the time: %+v", c.Held())
	}
}

func TestChartOfNothing(t *testing.T) {
	zeros := chartOf(1, reading(-1, 0))
	zeros.Log = true
	noTime := chartOf(1, reading(0, 4))
	noTime.From, noTime.To = noon, noon
	for name, c := range map[string]Chart{"no reading": chartOf(1), "no time": noTime, "log of zeroes": zeros} {
		for _, size := range [][2]int{{80, 20}, {80, 3}, {20, 20}, {5, 5}} {
			for _, row := range drawn(c, size[0], size[1]) {
				if ansi.StringWidth(row) > size[0] || strings.Contains(row, "NaN") {
					t.Errorf("%s: %q", name, row)
				}
			}
		}
	}
}

// The same parameter of another tank is laid over on the one axis: equal readings stand in one row, and it has room for
// both.
func TestTankLaidOverSharesTheAxis(t *testing.T) {
	c := chartOf(0, reading(-60, 5), reading(-30, 10))
	c.Over = &Over{Readings: []logbook.Reading{reading(-50, 5), reading(-20, 20)}, Shared: true}
	text := strings.Join(drawn(c, 80, 16), "\n")
	g, _ := c.sheet(80, 16)
	g.plot()
	for _, v := range []float64{5, 20} {
		if row := g.cells[len(g.cells)-1-g.row(v)].String(); !strings.Contains(row, OverSign) ||
			v == 5 && !strings.Contains(row, Level) {
			t.Errorf("another tank's %v does not stand at %v:\n%s", v, v, text)
		}
	}
	if g.scale.Beyond(20) {
		t.Errorf("the axis ends below another tank's 20:\n%s", text)
	}
}

// A reading that the scale leaves out is told by its number, inside the chart.
func TestSlipIsTold(t *testing.T) {
	for _, days := range []float64{-84, -40, -10, 27} {
		rs := []logbook.Reading{reading(-80, 8), reading(-60, 8.2), reading(-50, 7.9), reading(-30, 8.1), reading(-20, 8),
			reading(days, 82), reading(28, 8)}
		slices.SortFunc(rs, func(a, b logbook.Reading) int { return a.Time.Compare(b.Time) })
		text := strings.Join(drawn(chartOf(1, rs...), 60, 12), "\n")
		if !strings.Contains(text, "82.0") || strings.Contains(text, "82.0┤") {
			t.Errorf("the reading of 82 is not told:\n%s", text)
		}
	}
}

// The axis of values holds the level now, the moment the forecast begins has its line, and the fan ends with the chart.
func TestChartHoldsTheNow(t *testing.T) {
	c := chartOf(1, reading(-70, 4), reading(-60, 4.1), reading(-50, 4))
	c.To = noon.AddDate(0, 0, 10)
	c.Finding.Assessment = trend.Assessment{N: 3, Level: 9, LevelLo: 8, LevelHi: 10, Forecast: []trend.ForecastPoint{
		{Days: 7, Mean: 9.5, Lo: 8, Hi: 11}, {Days: 14, Mean: 10.2, Lo: 8, Hi: 12}, {Days: 28, Mean: 11, Lo: 8, Hi: 14}}}
	fan := c.Fan()
	if n := len(fan); n != 3 || !fan[n-1].Time.Equal(c.To) || math.Abs(fan[n-1].Mean-9.8) > 1e-9 {
		t.Errorf("fan %v", fan)
	}
	if s, _ := c.Scale(false); s.Beyond(9) {
		t.Errorf("the level now is beyond %v", s)
	}
	for _, row := range drawn(c, 80, 16)[:3] {
		if !strings.Contains(row, nowLine) {
			t.Errorf("no line at now: %s", row)
		}
	}
}

// Several marks in one column: what was done is seen before a chore, the hindcast's warning before all.
func TestMarksOnTheAxis(t *testing.T) {
	c := chartOf(1, reading(-10, 4))
	at := noon.AddDate(0, 0, -20)
	c.Done = []logbook.Entry{
		logbook.WaterChange{Time: at}, logbook.ChoreDone{Time: at},
		logbook.Dose{Time: noon.AddDate(0, 0, -40), Parameter: "calcium"},
		logbook.Dosing{Time: noon.AddDate(0, 0, -60), Parameter: "nitrate"},
	}
	axis := func() string { return strings.Trim(strings.ReplaceAll(drawn(c, 80, 16)[14], "┬", "─"), " └─") }
	if got := strings.ReplaceAll(axis(), "─", ""); got != "dw" {
		t.Errorf("on the axis: %q", got)
	}
	if got := fmt.Sprint(c.Marks()); got != "[{w water change} {d dosing} {c chore}]" {
		t.Errorf("explained: %s", got)
	}
	c.Warned = []time.Time{at}
	if got := strings.ReplaceAll(axis(), "─", ""); got != "d!" {
		t.Errorf("with a warning: %q", got)
	}
}

// At every size a tick, its date, a mark, now and a reading stand in the column of their moment, and the line reaches
// the readings it joins.
func TestColumnsLineUp(t *testing.T) {
	for _, size := range [][2]int{{34, 8}, {40, 6}, {74, 14}, {80, 20}, {114, 24}, {120, 30}} {
		rs := []logbook.Reading{reading(-60.3, 4), reading(-41.7, 9), reading(-20.2, 5)}
		c := chartOf(1, rs...)
		c.Done = []logbook.Entry{logbook.WaterChange{Time: noon.AddDate(0, 0, -30)},
			logbook.Event{Time: noon.AddDate(0, 0, -50)}}
		rows := drawn(c, size[0], size[1])
		g, _ := c.sheet(size[0], size[1])
		column := func(at time.Time) int { return g.gutter + 1 + g.column(at) }
		axis, dates := []rune(rows[len(rows)-2]), []rune(rows[len(rows)-1])
		ticks := Ticks(c.From, c.To, g.columns())
		if len(ticks) < 3 {
			t.Errorf("%v: only %d dates for sixteen weeks", size, len(ticks))
		}
		for _, k := range ticks {
			at := column(k.At)
			if at+len(k.Label) <= len(dates) && string(dates[at:at+len(k.Label)]) != k.Label {
				t.Errorf("%v: %s does not stand at %d: %s", size, k.Label, at, string(dates))
			}
		}
		if axis[column(c.Done[0].When())] != 'w' || axis[column(c.Done[1].When())] != 'e' {
			t.Errorf("%v: marks beside their moments: %s", size, string(axis))
		}
		plot := rows[:len(rows)-2]
		for _, r := range rs {
			at := column(r.Time)
			beside := 0
			for _, row := range plot {
				if cells := []rune(row); string(cells[at]) == Level {
					beside++
				}
			}
			if beside != 1 {
				t.Errorf("%v: the reading of %v is not in column %d:\n%s", size, r.Time, at, strings.Join(rows, "\n"))
			}
		}
		for x := column(rs[0].Time); x <= column(rs[2].Time); x++ {
			if !slices.ContainsFunc(plot, func(row string) bool {
				r := []rune(row)[x]
				return isDots(r) || string(r) == Level
			}) {
				t.Errorf("%v: the line is broken at column %d:\n%s", size, x, strings.Join(rows, "\n"))
			}
		}
	}
}

// The line moves by no more than a dot's height from one column to the next where the readings do not: it is smooth.
func TestLineIsFinerThanCells(t *testing.T) {
	c := chartOf(1, reading(-84, 0), reading(-60, 2.5), reading(-36, 5), reading(-12, 7.5), reading(0, 8.75))
	g, _ := c.sheet(80, 14)
	seen := map[int]bool{}
	for _, v := range g.joined(g.columns()*dotsWide, g.height) {
		if !math.IsNaN(v) {
			seen[int(math.Round(v))] = true
		}
	}
	if n := len(seen); n < 3*len(g.cells) {
		t.Errorf("a straight slope over %d rows stands at %d heights only", len(g.cells), n)
	}
}

// Band edge and floor that fall into one row are both drawn, and what is drawn at 24 lines shows each.
func TestEdgesInOneRowAreBothDrawn(t *testing.T) {
	for height := 5; height < 30; height++ {
		c := chartOf(3, reading(-60, 0.016), reading(-20, 0.1))
		c.Finding.Band = alerts.Band{Low: 0.017, High: 0.08, Floor: 0.015}
		text := strings.Join(drawn(c, 78, height), "\n")
		if strings.Count(text, BandLine) < 80 || strings.Count(text, FloorLine) < 10 {
			t.Errorf("height %d:\n%s", height, text)
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
		if k := int(r.Time.Sub(noon) / time.Minute); rs[k] != r || i > 0 && r.Time.Before(out[i-1].Time) {
			t.Fatal("invented, or out of order")
		}
		if r.Value == -1 {
			low++
		}
		if r.Value == 2000 {
			high++
		}
	}
	if low != 1 || high != 1 || out[0] != rs[0] || out[len(out)-1] != rs[len(rs)-1] {
		t.Errorf("low %d, high %d", low, high)
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
		{noon, noon.AddDate(0, 0, 7), 80, "15 Mar,16 Mar,17 Mar"},
		{noon, noon.AddDate(0, 0, 84), 112, "16 Mar,23 Mar,30 Mar"}, // Mondays
		{noon, noon.AddDate(0, 0, 300), 120, "Apr 2026,May 2026"},
		{noon, noon.AddDate(0, 0, 365), 74, "Apr,May,Jun,Jul,Aug,Sep,Oct,Nov,Dec,2027,Feb,Mar"},
		{noon, noon.AddDate(0, 0, 1000), 120, "Apr 2026,Jul 2026"},
		{noon, noon.AddDate(0, 0, 4000), 120, "2027,2028"},
		{noon.AddDate(-20, 0, 0), noon, 40, "2010,2015,2020,2025"},
		{at(2026, 3, 3), at(2026, 3, 25), 97, "9 Mar,16 Mar,23 Mar"},
		// across the end of summer time on 5 April
		{at(2026, 1, 15), at(2026, 5, 2), 80, "Feb 2026,Mar 2026,Apr 2026,May 2026"},
		{at(2025, 2, 15), at(2026, 5, 2), 80, "Apr 2025,Jul 2025,Oct 2025,Jan 2026,Apr 2026"},
		{at(2020, 2, 15), at(2026, 5, 2), 80, "2021,2022,2023,2024,2025,2026"},
	} {
		var got []string
		for _, k := range Ticks(c.from, c.to, c.room) {
			got = append(got, k.Label)
			if k.At.Hour() != 0 || k.At.Location() != c.from.Location() {
				t.Errorf("%v is no start of a day in the tank's zone", k.At)
			}
		}
		if !strings.HasPrefix(strings.Join(got, ","), c.want) {
			t.Errorf("%v to %v: %v, want %s", c.from, c.to, got, c.want)
		}
	}
}

func TestSparkline(t *testing.T) {
	band := alerts.Band{Low: 4, High: 8}
	for _, row := range []struct {
		rs   []logbook.Reading
		want string
	}{
		{[]logbook.Reading{reading(-27, 4), reading(-13, 5), reading(-8, 6), reading(-1, 8), reading(1, 9)}, "▁∙▅█"},
		// from 2 to 10
		{[]logbook.Reading{reading(-30, 7), reading(-27, 4), reading(-20, 400), reading(-13, 6), reading(0, 0.1)}, "▃█▅▁"},
	} {
		if got := Sparkline(Latest(row.rs, noon, 28, 4), band); got != row.want {
			t.Errorf("%v: %s, want %s", row.rs, got, row.want)
		}
	}
	alike := Latest([]logbook.Reading{reading(-8, 3), reading(-1, 3)}, noon, 14, 2)
	if got := Sparkline(alike, alerts.Band{Low: math.NaN(), High: math.NaN()}); got != "▅▅" {
		t.Errorf("all alike: %s", got)
	}
}

func TestInASCIIKeepsWidths(t *testing.T) {
	for _, text := range []string{"0.017–0.028 mg/L", "├──●──┤ ⊥ ━━", "25.3 °C … · ≤ ≥ ± µ", "▁▂▃▄▅▆▇█", "lagoon 珊瑚",
		"⠉⠒⠤⣀⡇⢸⠑⢄⡐⣿⠀"} {
		got := InASCII(text)
		ascii := !strings.ContainsFunc(got, func(r rune) bool { return r >= 0x80 })
		if !ascii || ansi.StringWidth(got) != ansi.StringWidth(text) {
			t.Errorf("%q becomes %q", text, got)
		}
	}
	for text, want := range map[string]string{NoData: " ", "⠉⠒⠤⣀⡇⢸⠑⢄": "'--.||--", Fan + Fan: "::"} {
		if got := InASCII(text); got != want {
			t.Errorf("%s becomes %q, want %q", text, got, want)
		}
	}
}
