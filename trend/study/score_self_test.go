package study

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"leadline/trend"
)

// weekly is a hand-made series: readings on days 0, 7, 14 ..., the level 2 floors except where a span is below (0.5).
func weekly(length float64, below ...span) *Series {
	s := &Series{Days: length, Floor: 1}
	for i := 0; i <= int(length*perDay); i++ {
		level := 2.0
		for _, b := range below {
			if day := float64(i) / perDay; day >= b.from && day < b.to {
				level = 0.5
			}
		}
		s.Level = append(s.Level, level)
	}
	for day := 0.0; day < length; day += 7 {
		s.Obs = append(s.Obs, trend.Observation{Day: day, Value: s.LevelAt(day), SD: 0.1})
	}
	return s
}

// alarms is one flag per reading, on at the readings of the days given.
func alarms(s *Series, days ...float64) []bool {
	out := make([]bool, len(s.Obs))
	for i, o := range s.Obs {
		out[i] = slices.Contains(days, o.Day)
	}
	return out
}

// through is every seventh day from a to b.
func through(a, b float64) []float64 {
	var out []float64
	for d := a; d <= b; d += 7 {
		out = append(out, d)
	}
	return out
}

func TestEpisodes(t *testing.T) {
	for _, c := range []struct {
		alarm string
		want  []Episode
	}{
		{"", nil},
		{"....", nil},
		{"x", []Episode{{0, 0}}},
		{".xx.x..", []Episode{{1, 4}}},      // one quiet reading does not end it
		{"x..x", []Episode{{0, 0}, {3, 3}}}, // two do
		{"xxxx", []Episode{{0, 3}}},
		{"x.x.x..x.", []Episode{{0, 4}, {7, 7}}},
	} {
		var alarm []bool
		for _, r := range c.alarm {
			alarm = append(alarm, r == 'x')
		}
		if got := episodes(alarm); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%q: %v, want %v", c.alarm, got, c.want)
		}
	}
}

func TestCrossings(t *testing.T) {
	for _, c := range []struct {
		name  string
		below []span
		want  []float64
	}{
		{"none", nil, nil},
		{"one", []span{{100, 150}}, []float64{100}},
		{"too early to have been watched", []span{{20, 30}}, nil},
		{"flutter counts once", []span{{100, 103}, {105, 110}, {120, 121}}, []float64{100}},
		{"again after four weeks above", []span{{100, 110}, {138, 140}}, []float64{100, 138}},
		{"just short of four weeks above", []span{{100, 110}, {137, 140}}, []float64{100}},
	} {
		var got []float64
		for _, x := range weekly(200, c.below...).Crossings() {
			got = append(got, x.Day)
		}
		if !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// Worked by hand from the definitions in the doc comments.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		name   string
		below  []span
		alarm  []float64
		false_ int
		held   int
		calls  Calls
		leads  []float64
	}{
		{"silence", []span{{200, 230}}, nil, 0, 0, Calls{Crossings: 1}, nil},
		{"false", nil, []float64{70}, 1, 1, Calls{}, nil},
		{"false and held: days 70, 112, 154", nil, through(70, 161), 1, 3, Calls{}, nil},
		{"two false ones", nil, []float64{70, 91}, 2, 2, Calls{}, nil},
		{"one with a gap", nil, []float64{70, 84}, 1, 1, Calls{}, nil},
		{"called 14 days before", []span{{203, 230}}, through(189, 224), 0, 0, Calls{1, 1, 1, 1}, []float64{14}},
		{"called 3 days before", []span{{206, 230}}, through(203, 224), 0, 0, Calls{1, 1, 0, 1}, []float64{3}},
		{"called exactly 7 days before", []span{{203, 230}}, []float64{196}, 0, 0, Calls{1, 1, 1, 1}, []float64{7}},
		{"at the first reading after", []span{{204, 230}}, through(210, 224), 0, 0, Calls{1, 0, 0, 1}, nil},
		{"late: the second reading after", []span{{204, 230}}, through(217, 224), 0, 0, Calls{Crossings: 1}, nil},
		{"at the very moment is no call but in time", []span{{203, 230}}, through(203, 224), 0, 0, Calls{1, 0, 0, 1}, nil},
		{"42 days before is not false", []span{{203, 230}}, []float64{161}, 0, 0, Calls{1, 1, 1, 1}, []float64{42}},
		{"49 days before is false and yet a call", []span{{203, 230}}, []float64{154}, 1, 1, Calls{1, 1, 1, 1},
			[]float64{49}},
		{"63 days before is no call", []span{{203, 230}}, []float64{140}, 1, 1, Calls{Crossings: 1}, nil},
		{"always on scores nothing", []span{{203, 230}}, through(0, 390), 1, 7, Calls{Crossings: 1}, nil},
		{"the earliest of two counts", []span{{203, 230}}, []float64{168, 196}, 0, 0, Calls{1, 1, 1, 1}, []float64{35}},
		{"below already is not false", []span{{200, 330}}, []float64{252}, 0, 0, Calls{Crossings: 1}, nil},
		{"too near the end to tell", nil, []float64{364}, 0, 0, Calls{}, nil},
		{"the last day at which it can be told", nil, []float64{357}, 1, 1, Calls{}, nil},
	} {
		s := weekly(399, c.below...)
		got := Judge(s, alarms(s, c.alarm...))
		if got.False != c.false_ || got.FalseHeld != c.held || got.All() != c.calls ||
			!reflect.DeepEqual(got.Leads, c.leads) {
			t.Errorf("%s: false %d held %d calls %+v leads %v\nwant false %d held %d calls %+v leads %v", c.name,
				got.False, got.FalseHeld, got.All(), got.Leads, c.false_, c.held, c.calls, c.leads)
		}
	}
}

func TestSuddenCrossingsAreCountedApart(t *testing.T) {
	s := weekly(399, span{100, 130}, span{200, 230})
	s.sudden = []span{{94, 101}}
	got := Judge(s, alarms(s, 98))
	if want := (Calls{1, 1, 0, 1}); got.Sudden != want {
		t.Errorf("sudden %+v, want %+v", got.Sudden, want)
	}
	if want := (Calls{Crossings: 1}); got.Gradual != want {
		t.Errorf("gradual %+v, want %+v", got.Gradual, want)
	}
}

// The score falls to the rate asked for between two thresholds: one series with a true call at 0.9 and false ones at
// 0.8 and 0.7.
func TestSweepInterpolates(t *testing.T) {
	s := weekly(399, span{203, 230})
	scores := make([]float64, len(s.Obs))
	for i, o := range s.Obs {
		scores[i] = map[float64]float64{189: 0.7, 70: 0.8, 98: 0.9}[o.Day]
	}
	one := 365.25 / 399 // one false alarm, per year
	got := Sweep([]Series{*s}, [][]float64{scores}, []float64{one, 1.5 * one, 2 * one})
	// 0.9: one false, nothing called. 0.8: two false. 0.7: two false, one called. The first threshold to reach the rate
	// counts.
	for i, want := range []Point{{Threshold: 0.9}, {Threshold: 0.85}, {Threshold: 0.8}} {
		if math.Abs(got[i].Threshold-want.Threshold) > 1e-9 || got[i].Recall != 0 {
			t.Errorf("rate %d: %+v, want threshold %v and recall 0", i, got[i], want.Threshold)
		}
	}
	scores[27] = 1 // day 189 first of all
	got = Sweep([]Series{*s}, [][]float64{scores}, []float64{one / 2})
	if got[0].Recall != 1 || math.Abs(got[0].Threshold-0.95) > 1e-9 {
		t.Errorf("%+v, want recall 1 at 0.95", got[0])
	}
	// At two false alarms the call of day 189 is lost in an episode begun on day 175; the stricter threshold is kept.
	s = weekly(399, span{245, 260})
	scores = make([]float64, len(s.Obs))
	for i, o := range s.Obs {
		scores[i] = map[float64]float64{189: 0.9, 182: 0.5, 175: 0.5, 70: 0.4}[o.Day]
	}
	got = Sweep([]Series{*s}, [][]float64{scores}, []float64{1.5 * one})
	if got[0].Recall != 1 || got[0].Threshold != 0.9 {
		t.Errorf("%+v, want recall 1 at 0.9", got[0])
	}
}
