package tui

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
	"leadline/tui/form"
	"leadline/tui/part"
)

// The golden frames: what each screen shows of a fixed tank at the agreed sizes, with colour and without. They are made
// from hand-written assessments, so that they change when a screen changes and not when the engine does. Renew with
// go test ./tui -update, and look at the difference.

const frames = "../testdata/frames"

// updating reports whether -update was given; the flag is registered by the package teatest brings along.
func updating() bool {
	f := flag.Lookup("update")
	return f != nil && f.Value.String() == "true"
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join(frames, name+".txt")
	if updating() {
		if err := os.WriteFile(path, []byte(got+"\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("%v (make it with -update)", err)
	}
	if strings.TrimSuffix(string(want), "\n") != got {
		t.Errorf("%s differs.\n--- want\n%s\n--- got\n%s", path, want, got)
	}
}

var noon = time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)

func clock() time.Time { return noon }

func testApp(noColor bool) *app {
	return newApp(Options{Now: clock, Out: io.Discard, NoColor: noColor})
}

// openApp shows the glance of a book, with all that it asks for.
func openApp(b *logbook.Book) *app {
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	return a
}

func resize(a *app, w, h int) { a.Update(tea.WindowSizeMsg{Width: w, Height: h}) }

func parameter(t testing.TB, name string) logbook.Parameter {
	t.Helper()
	p, ok := logbook.FindParameter(logbook.Standard(), name)
	if !ok {
		t.Fatalf("no standard parameter %s", name)
	}
	return p
}

// weekly makes readings a week apart, the last one three days before noon.
func weekly(p logbook.Parameter, tank, method string, values ...float64) []logbook.Reading {
	var out []logbook.Reading
	for i, v := range values {
		at := noon.AddDate(0, 0, -3-7*(len(values)-1-i))
		r := logbook.Reading{Time: at, Tank: tank, Parameter: p.Name, Unit: p.Unit, Value: v, Text: fmt.Sprintf("%g", v),
			Method: method}
		r.ID = logbook.NewID(at, p.Name+tank, i)
		out = append(out, r)
	}
	return out
}

// assessed is an assessment with a level, a slope per week and a spread.
func assessed(n int, level, spread, slope, floor float64) trend.Assessment {
	nan := nan()
	a := trend.Assessment{
		AsOf: alerts.Day(noon), N: n, Level: level, LevelLo: level - spread, LevelHi: level + spread,
		SlopePerWeek: slope, SlopeLo: slope - spread/4, SlopeHi: slope + spread/4, Direction: trend.Steady,
		Floor: floor, PFloor14: nan, PFloor28: nan, PFloor42: nan, FloorP10: inf(), FloorP50: inf(), FloorP90: inf(),
		BottomingOutSince: nan, BottomedOutSince: nan, Surprise: nan, NextTest: nan,
		Rolling: trend.Rolling{Method: "theil-sen", WindowDays: 56, N: 8, SlopePerWeek: slope, Lo: slope - spread/3,
			Hi: slope + spread/3, P: 0.04},
	}
	switch {
	case slope < -spread/4:
		a.Direction = trend.Falling
	case slope > spread/4:
		a.Direction = trend.Rising
	}
	for _, d := range []float64{7, 14, 28} {
		mean := level + slope*d/7
		wide := spread * (1 + d/14)
		a.Forecast = append(a.Forecast, trend.ForecastPoint{Days: d, Mean: max(0, mean), Lo: max(0, mean-wide),
			Hi: mean + wide})
	}
	return a
}

// example is a tank with a bottoming-out phosphate, and one where all is well but little is known.
func example(t testing.TB) []alerts.Report {
	ptr := func(v float64) *float64 { return &v }
	forereef := logbook.Tank{Name: "forereef", VolumeL: 450, Bands: map[string]logbook.Band{
		"alkalinity": {Low: ptr(7), High: ptr(9)}, "calcium": {Low: ptr(400), High: ptr(450)},
		"nitrate":     {Low: ptr(3), High: ptr(12), Floor: ptr(1)},
		"phosphate":   {Low: ptr(0.03), High: ptr(0.1), Floor: ptr(0.015)},
		"temperature": {Low: ptr(24.5), High: ptr(26.5)},
	}}
	lagoon := logbook.Tank{Name: "lagoon 珊瑚", Bands: map[string]logbook.Band{"nitrate": {Low: ptr(3), High: ptr(15)}}}
	line := func(tank logbook.Tank, name, method string, a trend.Assessment, values ...float64) alerts.Finding {
		p := parameter(t, name)
		b, err := alerts.BandOf(tank, p)
		if err != nil {
			t.Fatal(err)
		}
		l := alerts.Finding{Series: alerts.Series{Tank: tank, Parameter: p, Band: b,
			Readings: weekly(p, tank.Name, method, values...)},
			Assessment: a, EveryDays: 7}
		l.BandState = b.StateIn(a)
		if n := len(l.Readings); n > 0 {
			l.Due = l.Readings[n-1].Time.AddDate(0, 0, 7)
		}
		return l
	}
	po4 := assessed(12, 0.026, 0.006, -0.005, 0.015)
	po4.BottomingOut, po4.FloorP10, po4.FloorP50, po4.FloorP90, po4.PFloor14, po4.PFloor42 = true, 9, 15, 24, 0.42, 0.97
	po4.BottomingOutSince = alerts.Day(noon) - 10
	lines := []alerts.Finding{
		line(forereef, "alkalinity", "titration-alk", assessed(12, 8.3, 0.2, 0.01, nan()), 8.1, 8.2, 8.2, 8.3, 8.4, 8.3, 8.2,
			8.3, 8.3, 8.4, 8.3, 8.3),
		line(forereef, "calcium", "titration-ca", assessed(12, 448, 6, 2, nan()), 425, 430, 430, 435, 440, 440, 445, 440, 445,
			450, 445, 450),
		line(forereef, "nitrate", "nitrate-meter", assessed(12, 7.4, 0.6, -0.05, 1), 7.8, 7.5, 7.7, 7.4, 7.6, 7.3, 7.5, 7.4,
			7.2, 7.6, 7.5, 7.3),
		line(forereef, "phosphate", "photometer-p", po4, 0.056, 0.055, 0.052, 0.049, 0.046, 0.043, 0.043, 0.04, 0.034, 0.031,
			0.028, 0.025),
		line(forereef, "temperature", "", assessed(12, 25.4, 0.3, 0, nan()), 25.5, 25.4, 25.6, 25.3, 25.4, 25.5, 25.4, 25.2,
			25.4, 25.5, 25.6, 25.4),
	}
	lines[3].Readings[11].Bound = logbook.Below
	lines[3].Readings[11].Text = "<0.025"
	lines[0].Due = noon.AddDate(0, 0, -2)
	alert := alerts.Alert{Tank: "forereef", Parameter: "phosphate", Rule: alerts.RuleBottomingOut,
		Severity: alerts.Warning, Since: noon.AddDate(0, 0, -10),
		Headline: "phosphate <0.025, at floor about 29 Mar, maybe by 23 Mar: feed or dose",
		Because: "level 0.026 mg/L (0.020–0.032), falling 0.0050 mg/L a week (0.0035–0.0065); last reading <0.025 mg/L of " +
			"11 Mar"}
	near := alerts.Alert{Tank: "forereef", Parameter: "calcium", Rule: alerts.RuleNearHigh, Severity: alerts.Notice,
		Since:        noon.AddDate(0, 0, -3),
		Headline:     "calcium 450, close to your edge 450: retest on 18 Mar",
		Because:      "level 448 mg/L (442–454), steady (0.5 to 3.5 mg/L a week); last reading 450 mg/L of 11 Mar",
		Acknowledged: true}
	lines[3].Alerts = []alerts.Alert{alert}
	lines[1].Alerts = []alerts.Alert{near}
	young := assessed(2, 6.6, 1.2, 0, nan())
	young.Direction = trend.Unknown
	return []alerts.Report{
		{Tank: forereef, AsOf: noon, Findings: lines, Alerts: []alerts.Alert{alert, near}},
		{Tank: lagoon, AsOf: noon, Findings: []alerts.Finding{line(lagoon, "nitrate", "nitrate-card", young, 5, 6.8)}},
	}
}

func nan() float64 { return trend.Assess(nil, nil, 0, trend.Settings{}).Level }

// sizes are the agreed ones.
func sizes() [][2]int { return [][2]int{{80, 24}, {120, 40}, {40, 12}} }

// scenes are the screens the frames are taken of. Each gets an app that shows the glance of the example.
func scenes() map[string]func(t testing.TB, a *app) {
	return map[string]func(t testing.TB, a *app){
		"glance": func(testing.TB, *app) {},
		"glance-quiet": func(t testing.TB, a *app) {
			g := a.stack[0].(*glance)
			g.reports = g.reports[1:]
			g.clamp()
		},
		"glance-looking": func(t testing.TB, a *app) { lookAgain(t, a.stack[0].(*glance)) },
		"glance-empty":   func(t testing.TB, a *app) { a.stack[0].(*glance).reports = nil },
		"testday": func(t testing.TB, a *app) {
			d := showTestDay(t, a)
			keysOf(a, "8", ".", "3", "enter", "4", "2", "enter")
			_ = d
		},
		"testday-refused": func(t testing.TB, a *app) {
			showTestDay(t, a)
			keysOf(a, "-", "3")
		},
		"parameter": func(t testing.TB, a *app) { showParameter(t, a) },
		"parameter-over": func(t testing.TB, a *app) {
			showParameter(t, a)
			p := a.top().(*parameterScreen)
			p.over.name, p.over.tank = "phosphate", "lagoon 珊瑚"
			of := parameter(t, "phosphate")
			p.laid = &picture.Over{Parameter: of, Readings: weekly(of, "lagoon", "", 0.02, 0.03, 0.05, 0.09, 0.08, 0.07),
				Shared: true}
		},
		"parameter-why": func(t testing.TB, a *app) {
			showParameter(t, a)
			keysOf(a, "W")
		},
		"parameter-log-cursor": func(t testing.TB, a *app) {
			showParameter(t, a)
			keysOf(a, "L", "v", "h", "h", "h")
		},
		"alerts": func(t testing.TB, a *app) { a.push(newAlertList(a.env, a.stack[0].(*glance))) },
		"dose": func(t testing.TB, a *app) {
			f := form.NewDose(a.env, example(t)[0].Tank, "phosphate")
			a.push(f)
			f.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard()}, Measured: []string{"nitrate", "phosphate"},
				Offered: []string{"phosphate mix"}})
			keysOf(a, "0", ".", "0", "2")
		},
		"dose-asked": func(t testing.TB, a *app) {
			f := form.NewDose(a.env, example(t)[0].Tank, "phosphate")
			a.push(f)
			f.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard()}, Measured: []string{"nitrate", "phosphate"}})
			keysOf(a, "3", "0")
			why := logbook.UnlikelyRise(parameter(t, "phosphate"), 30)
			f.Ask("phosphate: "+why, f.Texts())
		},
		"method": func(t testing.TB, a *app) {
			f := form.NewMethod(a.env, example(t)[0].Tank, "nitrate")
			a.push(f)
			f.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard(), Methods: []logbook.Method{
				{Name: "nitrate-card", Parameter: "nitrate", Unit: "mg/L", Marks: []float64{0, 1, 2, 5, 10}, SDSteps: 0.35}}},
				Measured: []string{"nitrate"}})
			for _, c := range "nitrate-card" {
				keysOf(a, string(c))
			}
		},
		"tank": func(t testing.TB, a *app) {
			a.push(form.NewFirstTank(a.env, logbook.Tank{}, ""))
		},
		"tank-like": func(t testing.TB, a *app) {
			f := form.NewTank(a.env, logbook.Tank{}, "")
			a.push(f)
			first := example(t)[0].Tank
			first.Timezone, first.Bands = "Pacific/Auckland", map[string]logbook.Band{"nitrate": {}}
			f.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard()}, Tanks: []logbook.Tank{first}})
			keysOf(a, "n", "u", "r", "s", "e", "r", "y", "tab", "tab")
		},
		"tank-change": func(t testing.TB, a *app) {
			f := form.NewTankChange(a.env, example(t)[0].Tank, "")
			a.push(f)
			f.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard()}})
			keysOf(a, "up", "up", "n", "o", "up", "up")
		},
		"bands": func(t testing.TB, a *app) { showBands(a, example(t)[0].Tank) },
		"help":  func(t testing.TB, a *app) { keysOf(a, "?") },
		"journal": func(t testing.TB, a *app) {
			j := newJournal(a.env, example(t)[0].Tank)
			a.push(j)
			j.fill(journalLines{rows: exampleRecords(t)})
		},
		"journal-day": func(t testing.TB, a *app) {
			j := newJournal(a.env, example(t)[0].Tank)
			a.push(j)
			j.fill(journalLines{rows: append(exampleDay(t), exampleRecords(t)...)})
			keysOf(a, "enter")
		},
		"correct":     func(t testing.TB, a *app) { showCorrect(t, a, exampleDay(t)[:1]) },
		"correct-day": func(t testing.TB, a *app) { showCorrect(t, a, exampleDay(t)) },
		"whatif": func(t testing.TB, a *app) {
			w := form.NewWhatIf(a.env, example(t)[0].Findings[3])
			a.push(w)
			keysOf(a, "0", ".", "0", "0", "1")
			then := assessed(12, 0.026, 0.006, 0.002, 0.015)
			then.PFloor42 = 0.03
			w.Shown, w.Known = then, true
		},
		"plan": func(t testing.TB, a *app) {
			l := example(t)[0].Findings[0]
			l.Assessment = assessed(12, 6.2, 0.2, -0.3, nan())
			soda := logbook.Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: 60}
			chloride := logbook.Supplement{Name: "calcium chloride", Salt: "CaCl2.2H2O", GramsPerL: 80}
			p := form.NewPlan(a.env, l)
			a.push(p)
			p.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard(),
				Supplements: []logbook.Supplement{soda, chloride}},
				Offered: []string{"soda ash", "calcium chloride"}})
			keysOf(a, "enter", "ctrl+o")
			p.Made, p.Answer, p.Refused = true, examplePlan(t, l, soda, chloride), ""
		},
		"plan-refused": func(t testing.TB, a *app) {
			p := form.NewPlan(a.env, example(t)[0].Findings[3])
			a.push(p)
			p.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard()}})
			keysOf(a, "1")
		},
		"parameter-demand": func(t testing.TB, a *app) {
			showParameter(t, a)
			keysOf(a, "U")
			a.top().(*parameterScreen).aside.takes = []string{
				"phosphate: the tank takes 0.0041 mg/L a day (80 %: 0.0036 to 0.0047), 0.0287 mg/L a week; nothing is dosed daily",
				"to hold the level: 1.85 mL a day of phosphate mix (80 %: 1.62 to 2.12), 12.9 mL a week, reckoned with 450 L of " +
					"water"}
		},
		"upkeep": func(t testing.TB, a *app) {
			u := newUpkeep(a.env, example(t)[0].Tank, "")
			a.push(u)
			u.fill(exampleUpkeep(t))
		},
		"upkeep-empty": func(t testing.TB, a *app) {
			u := newUpkeep(a.env, example(t)[0].Tank, "")
			a.push(u)
			u.fill(alerts.Upkeep{})
		},
		"changes": func(t testing.TB, a *app) {
			r := example(t)[0]
			c := newChanges(a.env, r.Tank, noon.AddDate(0, 0, -30))
			a.push(c)
			found := alerts.Changed{Tank: r.Tank, Around: c.around, Days: 28}
			for i, l := range r.Findings {
				k := trend.Comparison{NBefore: 4, NAfter: 4, Shift: float64(i-1) * 0.3,
					Interval: trend.Interval{Lo: float64(i-1)*0.3 - 0.2, Hi: float64(i-1)*0.3 + 0.2}}
				if i == 3 {
					k.Limits = 1
				}
				if i == 1 {
					k.Interval = trend.Interval{Lo: -inf(), Hi: inf()}
				}
				found.Parameters = append(found.Parameters, alerts.ParameterChange{Parameter: l.Parameter,
					Before: l.Readings[0].Value, After: l.Readings[11].Value, Comparison: k})
			}
			c.fill(found)
			c.rows = exampleRecords(t)
		},
		"year":        func(t testing.TB, a *app) { showYear(t, a, "forereef") },
		"year-beside": func(t testing.TB, a *app) { showYear(t, a, "forereef", "lagoon 珊瑚") },
		"palette":     func(t testing.TB, a *app) { keysOf(a, ":", "d", "o") },
		"table": func(t testing.TB, a *app) {
			s := newTable(a.env, example(t)[0].Tank)
			a.push(s)
			s.fill(exampleSheet(t))
			keysOf(a, "right", "j")
		},
	}
}

// exampleSheet is a table of the example's readings and lines.
func exampleSheet(t testing.TB) alerts.Table {
	sheet := alerts.Table{Tank: example(t)[0].Tank, Known: words.Known{Parameters: logbook.Standard()}}
	rows := map[time.Time]int{}
	row := func(at time.Time) *alerts.Row {
		if _, there := rows[at]; !there {
			rows[at] = len(sheet.Rows)
			sheet.Rows = append(sheet.Rows, alerts.Row{Time: at})
		}
		return &sheet.Rows[rows[at]]
	}
	for _, f := range example(t)[0].Findings {
		if len(f.Readings) == 0 {
			continue
		}
		sheet.Columns = append(sheet.Columns, f.Parameter)
		for _, r := range f.Readings {
			x := row(r.Time)
			x.Readings = append(x.Readings, r)
		}
	}
	for _, l := range exampleRecords(t) {
		if l.entry.Kind() != logbook.KindReading {
			x := row(l.entry.When())
			x.Done = append(x.Done, l.entry)
		}
	}
	slices.SortFunc(sheet.Rows, func(a, b alerts.Row) int { return b.Time.Compare(a.Time) })
	return sheet
}

// showYear shows a year of the example's parameters: slow waves, a fall of phosphate after the media were changed.
func showYear(t testing.TB, a *app, tanks ...string) {
	bands := example(t)[0].Tank.Bands
	y := newYear(a.env, logbook.Tank{Name: tanks[0]}, part.Place{OverTank: strings.Join(tanks[1:], "")})
	a.push(y)
	found := yearFound{others: []string{"lagoon 珊瑚"}}
	for i, name := range tanks {
		tank := logbook.Tank{Name: name, Bands: bands}
		var charts []picture.Chart
		for j, of := range []struct {
			name       string
			least, top float64
		}{{"alkalinity", 7.2, 8.9}, {"calcium", 396, 452}, {"nitrate", 2.5, 9}, {"phosphate", 0.04, 0.09},
			{"temperature", 24.6, 26.2}, {"salinity", 34.8, 35.2}} {
			p := parameter(t, of.name)
			c := picture.Chart{From: y.from(), Now: noon, To: noon}
			c.Finding.Tank, c.Finding.Parameter = tank, p
			c.Finding.Band, _ = alerts.BandOf(tank, p)
			var values []float64
			for week := range 52 {
				wave := float64((week*(j+2)+9*i)%26) / 13
				v := of.least + (of.top-of.least)*min(wave, 2-wave)
				if week > 44 && of.name == "phosphate" && i == 0 {
					v = max(0.004, 0.06-0.008*float64(week-44))
				}
				values = append(values, v)
			}
			if of.name != "salinity" || i == 0 {
				c.Readings = weekly(p, name, "", values...)
			}
			c.Done = []logbook.Entry{
				logbook.ChoreDone{Time: noon.AddDate(0, 0, -58), Tank: name, Chore: "phosphate media", Note: "new brand"},
				logbook.Dose{Time: noon.AddDate(0, 0, -5), Tank: name, Parameter: "phosphate", Amount: 0.01, Unit: "mg/L",
					Supplement: "phosphate mix"},
				logbook.Event{Time: noon.AddDate(0, 0, -3), Tank: name, Tags: []string{"coral"}, Subject: "cup coral 3",
					Text: "stays closed\x1b[31m by \u202eday"}}
			for k := range 12 {
				c.Done = append(c.Done, logbook.WaterChange{Time: noon.AddDate(0, 0, -28*k-10), Tank: name, Fraction: 0.12})
			}
			slices.SortFunc(c.Done, func(a, b logbook.Entry) int { return a.When().Compare(b.When()) })
			charts = append(charts, c)
		}
		found.tanks = append(found.tanks, charts)
	}
	if len(tanks) > 1 {
		for i := range found.tanks[0] {
			picture.OnOneAxis(&found.tanks[0][i], &found.tanks[1][i])
		}
	}
	y.fill(found)
	keysOf(a, "j", "j", "j")
}

// examplePlan brings a level to the middle of its band.
func examplePlan(t testing.TB, l alerts.Finding, supplement logbook.Supplement,
	others ...logbook.Supplement) alerts.Plan {
	t.Helper()
	w := alerts.Wish{Target: l.PlanTarget()}
	if err := w.Use(supplement, l.Parameter, others); err != nil {
		t.Fatal(err)
	}
	aim := water.Aim{Parameter: l.Parameter.Name, Unit: l.Parameter.Unit, Start: noon, Level: l.Assessment.Level,
		LevelSD: 0.1, Target: w.Target,
		Demand: 0.8, DemandSD: 0.04, ReadingSD: 0.12, Litres: l.Tank.VolumeL, Strength: w.Strength, ContentSD: 0.03,
		MaxRise: 0.5, MaxFall: 0.5}
	p, err := water.NewPlan(aim)
	if err != nil {
		t.Fatal(err)
	}
	demand := trend.Demand{PerDay: 0.8, Lo: 0.75, Hi: 0.85, Supply: 0.76, Net: -0.04}
	return alerts.Plan{Finding: l, Demand: alerts.Demand{Tank: l.Tank, Parameter: l.Parameter, AsOf: noon,
		Estimate: demand}, Wish: w, Aim: aim, Plan: p}
}

func showTestDay(t testing.TB, a *app) *testDay {
	d := newTestDay(a.env, example(t)[0].Tank, nil)
	a.push(d)
	d.fill(testDayFound{report: example(t)[0],
		context: entry.Context{Methods: []logbook.Method{{Name: "nitrate-card", Parameter: "nitrate", Unit: "mg/L"}}}})
	for i, f := range d.fields {
		l := f.Assessment
		d.hear(i, "", f.Method, trend.Judgement{Expected: trend.Prediction{
			Mean: l.Level, Lo: l.LevelLo - (l.Level - l.LevelLo), Hi: l.LevelHi + (l.LevelHi - l.Level)}})
	}
	return d
}

// lookAgain puts a glance back to when all but its first two lines were still to be examined.
func lookAgain(t testing.TB, g *glance) {
	t.Helper()
	g.settled, g.left = false, 1
	for i := range g.reports {
		r := &g.reports[i]
		r.Alerts, r.Unexamined = nil, true
		for j := range r.Findings {
			if l := &r.Findings[j]; i > 0 || j > 1 {
				*l = alerts.Finding{Series: alerts.Series{Tank: l.Tank, Parameter: l.Parameter, Band: l.Band,
					Readings: l.Readings[len(l.Readings)-1:]},
					Assessment: trend.Assess(nil, nil, alerts.Day(noon), trend.Settings{}), Unexamined: true}
			}
		}
	}
}

func exampleUpkeep(testing.TB) alerts.Upkeep {
	var r alerts.Upkeep
	at := func(days int) time.Time { return noon.AddDate(0, 0, days) }
	r.Chores = []alerts.Chore{
		alerts.ChoreOf(logbook.Chore{Tank: "forereef", Name: "reactor media", EveryDays: 42}, []time.Time{at(-90), at(-47)},
			time.UTC),
		alerts.ChoreOf(logbook.Chore{Tank: "forereef", Name: "clean the pump"},
			[]time.Time{at(-61), at(-40), at(-21), at(-1)}, time.UTC),
		alerts.ChoreOf(logbook.Chore{Tank: "forereef", Name: "change the lamp"}, nil, time.UTC),
	}
	r.Stocks = []alerts.Stock{
		{Stock: logbook.Stock{Tank: "forereef", Name: "carbonate reservoir", Unit: "mL", Supplement: "carbonate mix"},
			Filled: logbook.Refill{Time: at(-20), Amount: 5000},
			Left:   1400, Used: 3600, PerDay: 180, Out: alerts.RunOut{P10: 6.9, P50: 7.8, P90: 8.9}, Since: at(-1)},
		{Stock: logbook.Stock{Tank: "forereef", Name: "nitrate reagent", Unit: "tests"}, Left: nan(), Used: nan(),
			PerDay: nan(),
			Out:    alerts.RunOut{P10: nan(), P50: nan(), P90: nan()}, Why: "not told yet how much there is"},
	}
	return r
}

func showBands(a *app, tank logbook.Tank) {
	s := form.NewBandPicker(a.env, tank, nil)
	a.push(s)
	s.Take(logbook.Standard())
}

func exampleRecords(t testing.TB) []record {
	known := words.Known{Parameters: logbook.Standard()}
	var out []record
	for _, r := range example(t)[0].Findings[3].Readings {
		out = append(out, newRecord(r, known, false))
	}
	at := func(days int) time.Time { return noon.AddDate(0, 0, -days) }
	struck := newRecord(logbook.Reading{ID: logbook.NewID(at(24), "s", 0), Time: at(24), Tank: "forereef",
		Parameter: "phosphate", Text: "33", Unit: "mg/L", Value: 33}, known, false)
	struck.struck, struck.why = true, "typed ppb as ppm"
	out = append(out, struck,
		newRecord(logbook.WaterChange{ID: logbook.NewID(at(20), "w", 0), Time: at(20), Tank: "forereef", Fraction: 0.12},
			known, false),
		newRecord(logbook.Event{ID: logbook.NewID(at(40), "e", 0), Time: at(40), Tank: "forereef", Tags: []string{"coral"},
			Subject: "cup coral 3", Text: "stays closed\x1b[31m by \u202eday"}, known, false),
		newRecord(logbook.Dose{ID: logbook.NewID(at(5), "d", 0), Time: at(5), Tank: "forereef", Parameter: "phosphate",
			Amount: 0.01, Unit: "mg/L", Supplement: "phosphate mix"}, known, false))
	newestFirst(out)
	return out
}

// exampleDay is a test day of three readings.
func exampleDay(t testing.TB) (day []record) {
	known := words.Known{Parameters: logbook.Standard()}
	for _, x := range [][2]string{{"alkalinity", "7.9"}, {"calcium", "425"}, {"phosphate", "<0.02"}} {
		r, err := logbook.ParseReading(parameter(t, x[0]), x[1], "")
		if err != nil {
			t.Fatal(err)
		}
		r.Time, r.Tank, r.Method = noon.AddDate(0, 0, -1), "forereef", "photometer-p"
		day = append(day, newRecord(r, known, true))
	}
	return day
}

func showCorrect(t testing.TB, a *app, day []record) {
	lines := part.Lines{Tank: example(t)[0].Tank, Entries: words.Of(day, func(r record) logbook.Entry { return r.entry }),
		What: day[0].what}
	f := form.NewCorrection(a.env, lines)
	a.push(f)
	f.Take(form.Data{Context: entry.Context{Parameters: logbook.Standard()}})
}

func showParameter(t testing.TB, a *app) {
	r := example(t)[0]
	p := newParameterScreen(a.env, r.Tank, part.Place{Parameter: "phosphate"})
	a.push(p)
	p.take(charted{line: r.Findings[3], others: []string{"nitrate", "phosphate"}, shown: r.Findings[3].Readings,
		rows: exampleRecords(t)})
}

// keysOf presses keys by their names; answers of commands are not awaited.
func keysOf(a *app, names ...string) {
	for _, n := range names {
		a.Update(keyNamed(n))
	}
}

func keyNamed(n string) tea.KeyMsg {
	special := map[string]tea.KeyType{
		"enter": tea.KeyEnter, "esc": tea.KeyEsc, "tab": tea.KeyTab, "up": tea.KeyUp, "down": tea.KeyDown,
		"left":  tea.KeyLeft,
		"right": tea.KeyRight, "ctrl+s": tea.KeyCtrlS, "ctrl+c": tea.KeyCtrlC, "ctrl+x": tea.KeyCtrlX, "ctrl+o": tea.KeyCtrlO,
		"ctrl+n": tea.KeyCtrlN, "ctrl+t": tea.KeyCtrlT, "ctrl+y": tea.KeyCtrlY, "ctrl+r": tea.KeyCtrlR,
		"ctrl+z":    tea.KeyCtrlZ,
		"shift+tab": tea.KeyShiftTab, "backspace": tea.KeyBackspace, "f1": tea.KeyF1, "pgdown": tea.KeyPgDown,
		"pgup": tea.KeyPgUp,
		"home": tea.KeyHome, "end": tea.KeyEnd, "ctrl+l": tea.KeyCtrlL, "ctrl+p": tea.KeyCtrlP,
	}
	if k, ok := special[n]; ok {
		return tea.KeyMsg{Type: k}
	}
	if n == " " {
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(n)}
}

// exampleApp shows the glance of the example at a size.
func exampleApp(t testing.TB, noColor bool, w, h int) *app {
	a := testApp(noColor)
	resize(a, w, h)
	a.home.look(glimpse{reports: example(t), drafts: map[string]logbook.Draft{}})
	return a
}

func TestFrames(t *testing.T) {
	for name, show := range scenes() {
		for _, s := range sizes() {
			for _, colour := range []bool{false, true} {
				file := fmt.Sprintf("%s-%dx%d", name, s[0], s[1])
				if colour {
					file += "-colour"
				}
				t.Run(file, func(t *testing.T) {
					a := exampleApp(t, !colour, s[0], s[1])
					show(t, a)
					got := a.View()
					checkFits(t, got, s[0], s[1])
					golden(t, file, got)
				})
			}
		}
	}
}

func checkFits(t testing.TB, frame string, w, h int) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	if len(lines) > h {
		t.Fatalf("%d rows, asked for %d", len(lines), h)
	}
	for i, l := range lines {
		if part.Width(l) > w {
			t.Fatalf("row %d is %d cells wide, asked for %d: %q", i, part.Width(l), w, l)
		}
	}
}

// settle runs a command and hands its answers to the app.
func settle(a *app, cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil:
	case tea.BatchMsg:
		for _, c := range msg {
			settle(a, c)
		}
	default:
		a.Update(msg)
	}
}

// settleAll does so until nothing more comes, leaving the clock aside.
func settleAll(a *app, cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	switch msg := cmd().(type) {
	case nil, part.TickMsg, tea.QuitMsg:
	case tea.BatchMsg:
		for _, c := range msg {
			settleAll(a, c)
		}
	default:
		if inOrder := reflect.ValueOf(msg); inOrder.Type().ConvertibleTo(reflect.TypeFor[[]tea.Cmd]()) { // of tea.Sequence
			for _, c := range inOrder.Convert(reflect.TypeFor[[]tea.Cmd]()).Interface().([]tea.Cmd) {
				settleAll(a, c)
			}
			return
		}
		_, next := a.Update(msg)
		settleAll(a, next)
	}
}

func exampleTimes(days ...int) []time.Time {
	var out []time.Time
	for _, d := range days {
		out = append(out, noon.AddDate(0, 0, d))
	}
	return out
}
