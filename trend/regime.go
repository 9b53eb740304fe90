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
	rate   float64 // per day; relative: of the logarithm; absolute: in floors. Negative falls
	onset  float64 // per day, from stillness
	end    float64 // per day, back to stillness
}

// model is what is believed of tanks in general, before any reading of this one. The numbers were chosen on simulated
// series whose seeds are used for nothing else (trend/study); see STUDY.md for how the engine does on others.
type model struct {
	hyps        []hypothesis // hyps[0] is stillness
	theta       float64      // days in which a wobble dies away (mean reversion time)
	creep       float64      // random walk of the course itself: standard deviation per square root of a day, logarithm
	gross       float64      // chance that a reading is a gross error
	grossSD     float64      // spread of gross errors, logarithm
	jump        float64      // hazard per day that the level was moved by something nobody wrote down
	jumpSD      float64      // how far, logarithm
	sink        float64      // hazard per day that a fall comes to rest under the floor, where little is left to take up
	lift        float64      // hazard per day that a course at rest under the floor is brought up again by its keeper
	fastestRise int          // place among hyps of the fastest course that rises by itself
	bank        []member     // for described methods
	startLevel  float64      // prior of the level before any reading, logarithm of floors
	startSD     float64
	moving      float64 // chance that the course is moving when the first reading is taken
}

// member is one set of the quantities that differ from tank to tank and are learned by weighing members against each
// other: how much the level wobbles, how restless the tank is, and how far the method scatters compared with what was
// said of it. Restlessness matters most: some tanks hardly ever leave their course, some fall again and again, and only
// the history tells which; so one low reading is an accident in the one and a warning in the other.
type member struct {
	wobble   float64 // in units of Settings.Wobble
	spread   float64 // factor on the repeatability
	kit      int     // 1 and up: readings by undescribed methods are those of Observation.Kits[kit-1]; 0: as Lo, Hi and SD say
	restless float64 // factor on the onset hazards
	weight   float64 // before any reading
}

// newModel gives the hypotheses for a parameter whose level wobbles by the given fraction. Rates scale with the wobble:
// what counts as slow for nitrate, which wobbles by a tenth, is fast for calcium, which wobbles by a fiftieth.
func newModel(wobble float64, floored bool) *model {
	m := &model{
		theta: 5, creep: 0.06 * wobble,
		gross: 0.02, grossSD: 1.2,
		jump: 0.001, jumpSD: math.Max(10*wobble, 0.7),
		sink: 0.15, lift: 0.01,
		startLevel: math.Log(3), startSD: 1.2, moving: 0.1,
	}
	m.hyps = []hypothesis{{motion: still}}
	add := func(kind motion, onset, end float64, rate float64) {
		m.hyps = append(m.hyps, hypothesis{kind, rate, onset, end})
	}
	if floored {
		m.runsOut(wobble, add)
	} else {
		m.isHeld(wobble, add)
	}
	m.fastestRise = len(m.hyps) - 1
	restlessness := []member{{restless: 0.1, weight: 0.4}, {restless: 2.5, weight: 0.6}}
	if !floored {
		restlessness = []member{{restless: 10, weight: 0.4}, {restless: 60, weight: 0.6}}
	}
	for _, w := range []member{{wobble: 0.45, weight: 0.5}, {wobble: 0.9, weight: 0.5}} {
		for _, r := range restlessness {
			m.bank = append(m.bank, member{w.wobble, 1, 0, r.restless, w.weight * r.weight})
		}
	}
	return m
}

// blindBank is the bank for methods that nobody described, of which one of some kinds of kit may stand behind the readings.
// Without such kinds, a guess is all there is, and the scatter seen widens or narrows it.
func (m *model) blindBank(kinds int) []member {
	methods := []member{{spread: 0.6, weight: 0.3}, {spread: 1.2, weight: 0.4}, {spread: 2.4, weight: 0.3}}
	if kinds > 0 {
		methods = nil
		for kit := range kinds {
			methods = append(methods, member{spread: 1, kit: kit + 1, weight: 1 / float64(kinds)})
		}
	}
	var bank []member
	for _, s := range methods {
		for _, b := range m.bank {
			bank = append(bank, member{b.wobble, s.spread, s.kit, b.restless, b.weight * s.weight})
		}
	}
	return bank
}

// runsOut adds the courses of what runs out: falls of many kinds, and the rises of a tank that is fed.
func (m *model) runsOut(wobble float64, add func(kind motion, onset, end, rate float64)) {
	for _, r := range []float64{0.08, 0.2, 0.5} {
		add(relative, slowOnset, fallEnd(r*wobble), -r*wobble)
	}
	for _, r := range []float64{1.3, 2.5} {
		add(relative, fastOnset, fallEnd(r*wobble), -r*wobble)
	}
	if wobble > 0.04 { // within a narrow range the two kinds of motion are the same
		for _, r := range []float64{0.03, 0.08, 0.2} {
			add(absolute, evenOnset, fallEnd(r/2), -r)
		}
		add(absolute, fastOnset, fallEnd(0.25), -0.5)
		for _, r := range []float64{0.05, 0.3} {
			add(absolute, riseOnset/4, 0.02, r)
		}
	}
	for _, r := range []float64{0.15, 0.6} {
		add(relative, riseOnset, 0.02, r*wobble)
	}
}

// isHeld adds the courses of what a keeper holds at a level by dosing, such as alkalinity: the demand outgrows the dosing, the
// dosing is set anew, and so the level is nearly always on its way, a little up as often as a little down. Chosen on the
// simulated consumers of trend/study: with the courses of what runs out, 80 % intervals of their slope held it in 54 %.
func (m *model) isHeld(wobble float64, add func(kind motion, onset, end, rate float64)) {
	for _, r := range []float64{0.04, 0.12, 0.3, 0.6} {
		add(relative, slowOnset, heldEnd, -r*wobble)
		add(relative, slowOnset, heldEnd, r*wobble)
	}
	add(relative, fastOnset, 5*heldEnd, -1.3*wobble)
	add(relative, fastOnset/3, 5*heldEnd, 1.3*wobble)
}

// heldEnd is the hazard per day that a course ends because the dosing is set anew.
const heldEnd = 0.03

// Hazards per day of each hypothesis' onset in a tank of restlessness 1.
const (
	slowOnset = 0.0003
	evenOnset = 0.0002
	fastOnset = 0.0005
	riseOnset = 0.0018
)

// fallEnd is the hazard per day of a fall's end above the floor, rate being the fall of the logarithm per day at two
// floors. It is mostly a matter of distance: a fall stops within an e-fold with a chance of a tenth, slow or fast.
func fallEnd(rate float64) float64 { return 0.004 + 0.1*rate }

// shares is how likely each hypothesis is when the first reading is taken.
func (m *model) shares() []float64 {
	s := make([]float64, len(m.hyps))
	total := 0.0
	for k, h := range m.hyps[1:] {
		s[k+1] = h.onset / h.end
		total += s[k+1]
	}
	for k := range s {
		s[k] *= m.moving / total
	}
	s[0] = 1 - m.moving
	return s
}

// logRate is the net slope of hypothesis k on the logarithm, per day, at a level given in anchors.
func (m *model) logRate(k int, level float64) float64 {
	h := m.hyps[k]
	if h.motion == absolute {
		return h.rate / level
	}
	return h.rate
}
