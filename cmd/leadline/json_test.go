package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/look"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
	"leadline/trend"
)

// published are the fields of an assessment that scripts rely on: none may be renamed or dropped.
const published = `tank parameter unit as_of n latest level level_lo level_hi slope_per_week slope_lo slope_hi rolling direction
floor p_floor_14d p_floor_28d p_floor_42d floor_date_p10 floor_date_p50 floor_date_p90 forecast bottoming_out bottomed_out band reasons`

// TestAssessmentFields: every published field is there, also where nothing at all is known, and nothing that JSON
// cannot carry gets out.
func TestAssessmentFields(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	nothing := trend.Assessment{Level: nan, LevelLo: nan, LevelHi: nan, SlopePerWeek: nan, SlopeLo: nan, SlopeHi: nan,
		Rolling: trend.Rolling{SlopePerWeek: nan, Lo: math.Inf(-1), Hi: inf, Tau: nan, Z: nan, P: nan, S: nan, VarS: nan,
			Lo80: nan, Hi80: nan},
		Floor: nan, PFloor14: nan, PFloor28: nan, PFloor42: nan, FloorP10: inf, FloorP50: inf, FloorP90: inf,
		BottomingOutSince: nan, BottomedOutSince: nan, NextTest: nan, Surprise: nan,
		Forecast: []trend.ForecastPoint{{Days: 7, Mean: nan, Lo: math.Inf(-1), Hi: inf}},
		Expected: trend.Prediction{Mean: nan, Lo: nan, Hi: nan}}
	l := alerts.Finding{Series: alerts.Series{Tank: logbook.Tank{Name: "forereef"},
		Parameter: logbook.Parameter{Name: "nitrate", Unit: "mg/L"}, Band: alerts.Band{Low: nan, High: nan, Floor: nan}},
		BandState: alerts.BandNone, Assessment: nothing}
	text, err := json.Marshal(shape.AssessmentOf(l, time.Date(2026, 3, 7, 0, 0, 0, 0, time.UTC)))
	if err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(text, &fields); err != nil {
		t.Fatal(err)
	}
	for _, name := range strings.Fields(published) {
		if _, ok := fields[name]; !ok {
			t.Errorf("no field %q", name)
		}
	}
	for _, name := range []string{"latest", "level", "slope_lo", "floor", "floor_date_p10", "floor_date_p90"} {
		if fields[name] != nil {
			t.Errorf("%s is %v, want null", name, fields[name])
		}
	}
	for object, names := range map[string]string{"rolling": "method window_days slope_per_week lo hi tau p",
		"band": "low high state"} {
		inner, ok := fields[object].(map[string]any)
		if !ok {
			t.Fatalf("%s is %v", object, fields[object])
		}
		for _, name := range strings.Fields(names) {
			if _, ok := inner[name]; !ok {
				t.Errorf("no field %q in %s", name, object)
			}
		}
	}
}

// TestFloorDates: days after the as-of moment become moments in the tank's zone.
func TestFloorDates(t *testing.T) {
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	l := alerts.Finding{Series: alerts.Series{Tank: logbook.Tank{Name: "forereef", Timezone: "Pacific/Auckland"}}}
	l.Assessment.FloorP10, l.Assessment.FloorP50, l.Assessment.FloorP90 = 10, 35.5, math.Inf(1)
	a := shape.AssessmentOf(l, asOf)
	for _, c := range []struct {
		got  shape.Moment
		want string
	}{
		{a.FloorP10, `"2026-03-17T22:00:00+13:00"`},
		{a.FloorP50, `"2026-04-12T09:00:00+12:00"`}, // summer time ended on 5 April
		{a.FloorP90, `null`},
	} {
		if got, err := json.Marshal(c.got); err != nil || string(got) != c.want {
			t.Errorf("%s, %v; want %s", got, err, c.want)
		}
	}
}

// TestPrintJSON: what a terminal could obey is escaped, and reads back as it was.
func TestPrintJSON(t *testing.T) {
	const text = "a\x1b[2J\u009b31m\u202eb\u2066c\u200f é 水 \U000e0001 \U0001f420 <&>"
	var out bytes.Buffer
	a := &app.App{Out: bufio.NewWriter(&out)}
	if err := a.PrintJSON(map[string]string{"text": text}); err != nil {
		t.Fatal(err)
	}
	if err := a.Out.Flush(); err != nil {
		t.Fatal(err)
	}
	printed := strings.TrimSuffix(out.String(), "\n")
	if safe := logbook.Clean(printed); safe != printed {
		t.Errorf("%q holds what a terminal could obey", printed)
	}
	var back map[string]string
	if err := json.Unmarshal(out.Bytes(), &back); err != nil || back["text"] != text {
		t.Errorf("%q came back as %q, %v", text, back["text"], err)
	}
}

// TestDemandFields: every published field of a demand is there, and null where it is not known.
func TestDemandFields(t *testing.T) {
	nan := math.NaN()
	d := alerts.Demand{Tank: logbook.Tank{Name: "forereef"}, Parameter: logbook.Parameter{Name: "calcium", Unit: "mg/L"},
		AsOf:     time.Date(2026, 3, 7, 0, 0, 0, 0, time.UTC),
		Estimate: trend.Demand{PerDay: nan, Lo: nan, Hi: math.Inf(1), Net: nan, Growth: nan, GrowthLo: nan, GrowthHi: nan}}
	text, err := json.Marshal(look.DemandOf(d))
	if err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(text, &fields); err != nil {
		t.Fatal(err)
	}
	for _, name := range strings.Fields("tank parameter unit as_of supply_per_day n notes") {
		if v, ok := fields[name]; !ok || v == nil {
			t.Errorf("%s is %v", name, v)
		}
	}
	for _, name := range strings.Fields("demand_per_day lo hi net_per_day growth_per_month growth_lo growth_hi") {
		if v, ok := fields[name]; !ok || v != nil {
			t.Errorf("%s is %v, there %v: want null", name, v, ok)
		}
	}
}
