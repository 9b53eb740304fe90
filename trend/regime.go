package trend

import "math"

// motion is how the level moves under a hypothesis.
type motion int8

const (
	still    motion = iota // stays where it is
	relative               // changes by the same fraction every day: first-order uptake, exponential growth
	absolute               // changes by the same amount every day: constant uptake, or supply
)

// hypothesis is one answer to "what is the tank doing?": hold still, or move at a given rate. The engine holds a bank of
// them, fine enough that every course of interest lies near one, and lets the readings decide.
//
// A tank starts moving from stillness with the hazard onset and comes to rest again with the hazard end, both per day: a
// Markov chain in continuous time with stillness in the middle, as in the switching models of Blom and Bar-Shalom (1988,
// IEEE Trans. Automatic Control 33, 780: the interacting multiple model; from memory).
type hypothesis struct {
	motion motion
	rate   float64 // per day; relative: of the logarithm; absolute: in floors. Negative falls.
	onset  float64 // per day, from stillness
	end    float64 // per day, back to stillness
}

// beliefs about how tanks behave; chosen on simulated series with seeds that are not used for judging.
type model struct {
	hyps       []hypothesis // hyps[0] is stillness
	theta      float64      // days in which a wobble dies away (mean reversion time)
	creep      float64      // random walk of the level itself: standard deviation per square root of a day, logarithm
	gross      float64      // chance that a reading is a gross error
	grossSD    float64      // spread of gross errors, logarithm
	jump       float64      // hazard per day that the level was moved by something nobody wrote down
	jumpSD     float64      // how far, logarithm
	bank       []member     // described methods
	blindBank  []member     // methods that nobody described
	startLevel float64      // prior of the level before any reading, logarithm of floors
	startSD    float64
}

// member is one set of the quantities that differ from series to series and are learned by weighing members against
// each other: how much the level wobbles, and how far the method scatters compared with what was said of it.
type member struct {
	wobble float64 // in units of Settings.Wobble
	spread float64 // factor on Observation.SD
	weight float64 // before any reading
}

// newModel gives the hypotheses for a parameter whose level wobbles by the given fraction. Rates scale with the wobble:
// what counts as slow for nitrate, which wobbles by a tenth, is fast for calcium, which wobbles by a fiftieth.
func newModel(wobble float64, floored bool) *model {
	m := &model{
		theta: 5, creep: 0.06 * wobble,
		gross: 0.015, grossSD: 1.2,
		jump: 0.0004, jumpSD: 10 * wobble,
		bank: []member{{0.45, 1, 0.35}, {0.9, 1, 0.45}, {1.8, 1, 0.2}},
		blindBank: []member{
			{0.45, 0.5, 0.15}, {0.45, 1, 0.15}, {0.9, 0.5, 0.15}, {0.9, 1, 0.2}, {0.9, 2, 0.15}, {1.8, 1, 0.2},
		},
		startLevel: math.Log(3), startSD: 1.2,
	}
	m.hyps = []hypothesis{{motion: still}}
	slow, fast := 0.0040, 0.0012 // hazards of all slow falls together, and of all fast ones
	for _, r := range []float64{0.06, 0.12, 0.22, 0.4, 0.7} {
		m.hyps = append(m.hyps, hypothesis{relative, -r * wobble, slow / 5 * 0.6, 0.006})
	}
	for _, r := range []float64{1.3, 2.5} {
		m.hyps = append(m.hyps, hypothesis{relative, -r * wobble, fast / 2, 0.09})
	}
	if floored && wobble > 0.04 {
		for _, r := range []float64{0.02, 0.045, 0.1, 0.2} {
			m.hyps = append(m.hyps, hypothesis{absolute, -r, slow / 4 * 0.4, 0.006})
		}
		m.hyps = append(m.hyps, hypothesis{absolute, -0.5, fast / 2, 0.09})
	}
	for _, r := range []float64{0.1, 0.3, 0.9} {
		m.hyps = append(m.hyps, hypothesis{relative, r * wobble, 0.0012, 0.02})
	}
	return m
}

// shares is how likely each hypothesis is before any reading: the balance of its onset and end.
func (m *model) shares() []float64 {
	s := make([]float64, len(m.hyps))
	s[0] = 1
	total := 1.0
	for k := 1; k < len(s); k++ {
		s[k] = m.hyps[k].onset / m.hyps[k].end
		total += s[k]
	}
	for k := range s {
		s[k] /= total
	}
	return s
}

// logRate is the net slope of hypothesis k on the logarithm, per day, at a level given in floors.
func (m *model) logRate(k int, level float64) float64 {
	h := m.hyps[k]
	if h.motion == absolute {
		return h.rate / level
	}
	return h.rate
}
