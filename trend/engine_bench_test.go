package trend

import "testing"

// benchSeries is a series of n weekly readings that falls to the floor and recovers now and then.
func benchSeries(n int) []Observation {
	var obs []Observation
	for len(obs) < n {
		for _, o := range falling(14) {
			o.Day += float64(7 * (len(obs) / 26) * 26)
			obs = append(obs, o)
		}
	}
	return obs[:n]
}

func BenchmarkAssess60(b *testing.B) {
	obs := benchSeries(60)
	b.ReportAllocs()
	for b.Loop() {
		Assess(obs, nil, obs[59].Day, nutrient)
	}
}

func BenchmarkAssess60Undescribed(b *testing.B) {
	obs := benchSeries(60)
	undescribed(obs)
	b.ReportAllocs()
	for b.Loop() {
		Assess(obs, nil, obs[59].Day, nutrient)
	}
}

func BenchmarkHindcast500(b *testing.B) {
	obs := benchSeries(500)
	b.ReportAllocs()
	for b.Loop() {
		Hindcast(obs, nil, nutrient)
	}
}
