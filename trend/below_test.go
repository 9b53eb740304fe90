package trend

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The chance of staying above the floor, which the table works out backwards, against tanks that are simulated forwards
// by the model's own rules: 3,000 courses on a half-day grid for each case, so that a standard error is at most 0.01.
// Half a day between looks misses a dip now and then.
func TestBelowIsWhatSimulatedTanksDo(t *testing.T) {
	const paths, dt = 3000, 0.5
	m := modelFor(nutrient)
	by := member{wobble: 0.9, fade: 5}
	table := m.tableFor(by)()
	days := horizonDays
	rng := rand.New(rand.NewPCG(7, 8))
	sd, keep := by.wobble*m.wobble, math.Exp(-dt/by.fade)
	for _, c := range []struct {
		kind         motion
		level, slope float64 // in floors, per day
		restless     int
	}{
		{still, 1.2, 0, 0}, {still, 1.5, 0, 1}, {still, 3, 0, 1}, {absolute, 4, -0.08, 0}, {absolute, 8, -0.13, 1},
		{relative, 3, -0.03, 1},
		{relative, 1.5, 0.02, 0}, {absolute, 5, -0.3, 0},
	} {
		out := 0
		above := 0
		for range paths {
			kind, level, slope, u := c.kind, math.Log(c.level), c.slope, sd*rng.NormFloat64()
			if level+u < 0 {
				continue
			}
			above++
			for range int(alarmDays / dt) {
				switch {
				case kind == still && rng.Float64() < m.onset*m.restless[c.restless]*dt:
					kind, slope = m.draw(rng)
				case kind != still && rng.Float64() < m.endOf(kind, slope)*dt:
					kind, slope = still, 0
				}
				p := piece{motion: kind, c: level, s: slope}
				p.move(dt)
				level = p.c
				u = keep*u + sd*math.Sqrt(1-keep*keep)*rng.NormFloat64()
				if level+u < 0 {
					out++
					break
				}
			}
		}
		s := table.spot(table.row(c.kind, c.slope), math.Log(c.level))
		got, want := 1-s.read(table.safe[nearSteps][c.restless]), float64(out)/float64(above)
		if math.Abs(got-want) > 0.05 {
			t.Errorf("%+v: within %v days (of %v) %.3f, simulated %.3f", c, alarmDays, days[nearSteps], got, want)
		}
	}
}

// draw is a course that begins.
func (m *model) draw(rng *rand.Rand) (motion, float64) {
	at := rng.Float64() * m.onset
	for _, c := range m.courses {
		if at -= c.onset; at < 0 {
			return c.motion, c.rate + c.spread*rng.NormFloat64()
		}
	}
	return still, 0
}

func BenchmarkBelow(b *testing.B) {
	m := modelFor(nutrient)
	for b.Loop() {
		newBelow(m, member{wobble: 0.9, fade: 5})
	}
}
