package trend

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// Settled at 8 with neighbours mostly 0.1 apart, then 8.4 for good: the average climbs by a fifth of what is left each
// time.
func TestDriftByHand(t *testing.T) {
	obs := weekly(8, 8.1, 8, 7.9, 8, 8.1, 8, 7.9, 8.4, 8.4, 8.4)
	for i := range obs {
		obs[i].SD = 0.05
	}
	s := Drift(obs, 8)
	check(t, "level", s.Level, 8, 0, 1e-12)
	check(t, "sd", s.SD, 0.1/0.9538725524, 1e-9, 0)
	for i, want := range []float64{8.08, 8.144, 8.1952} {
		check(t, "average", s.Average[i], want, 1e-12, 0)
		reach := 3 * s.SD * math.Sqrt((1-math.Pow(0.64, float64(i+1)))/9+math.Pi/16)
		check(t, "upper limit", s.Hi[i], 8+reach, 1e-12, 0)
	}
	check(t, "amount", s.Amount, 0.1952, 1e-9, 0)
	if !s.Drifted || s.Since != 77 { // 8.1952 is above 8.1659; 8.144 was not above 8.1610
		t.Errorf("drifted %v since day %g", s.Drifted, s.Since)
	}
	if s := Drift(obs[:10], 8); s.Drifted || !math.IsNaN(s.Since) {
		t.Errorf("drifted too soon: %+v", s)
	}
}

func TestDriftTellsALastingMove(t *testing.T) {
	r := rand.New(rand.NewPCG(41, 42))
	var values []float64
	for i := range 40 {
		v := 420 + r.NormFloat64()
		if i >= 25 {
			v -= 4
		}
		values = append(values, v)
	}
	s := Drift(weekly(values...), 20)
	if !s.Drifted || s.Since < 7*26 || s.Since > 7*32 || s.Amount > -2 {
		t.Errorf("drifted %v since day %g by %g", s.Drifted, s.Since, s.Amount)
	}
	if s := Drift(weekly(values[:25]...), 20); s.Drifted {
		t.Errorf("before the move: %+v", s)
	}
}

func TestDriftEdges(t *testing.T) {
	obs := weekly(1, 1, 1, 1, 1, 1, 1, 1, -1, 1)
	if s := Drift(obs, 3); !math.IsNaN(s.Level) ||
		!strings.Contains(noteWith(s.Notes, "too-few"), "needs 8 settled readings, has 3") {
		t.Errorf("three settled: %+v", s)
	}
	s := Drift(obs, 8) // no scatter to be seen: the method's own, 1, stands in
	if s.SD != 1 || s.Drifted || s.Amount != 0 || !strings.Contains(noteWith(s.Notes, "limits"), "1 of 10") {
		t.Errorf("steps hide the scatter: %+v", s)
	}
	if s := Drift(obs, len(obs)); s.Drifted || !math.IsNaN(s.Amount) {
		t.Errorf("nothing later: %+v", s)
	}
	mustPanic(t, "trend: Drift", func() { Drift(obs, 11) })
}
