package trend

import (
	"math"
	"sync"
)

// motion is how the course of the level moves.
type motion int8

const (
	still    motion = iota // stays where it is
	relative               // changes by the same fraction every day: first-order uptake, exponential growth
	absolute               // changes by the same amount every day: constant uptake
	driven                 // as absolute, since the dosing was changed; that ends when the tank takes up what it is given
)

// course is one way of moving, before any reading has been seen of it. Several courses with slopes of different size
// stand for all slopes there are.
type course struct {
	motion motion
	rate   float64 // mean of the slope per day; relative: of the logarithm; absolute: in anchors. Negative falls
	spread float64 // standard deviation of the slope
	onset  float64 // hazard per day of its beginning, in a tank of restlessness 1
}

// restlessKinds is the number of degrees of restlessness that a belief keeps apart.
const restlessKinds = 2

// model is what is believed of tanks in general, before any reading of this one. The numbers were chosen on simulated
// series whose seeds are used for nothing else (trend/study); see STUDY.md for how the engine does on others.
type model struct {
	wobble   float64 // Settings.Wobble
	floored  bool
	courses  []course
	onset    float64                // of all courses together
	restless [restlessKinds]float64 // factor on the onset hazards
	calm     [restlessKinds]float64 // chance of each before any reading
	bank     []member
	creep    float64 // random walk of the course itself: standard deviation per square root of a day, logarithm
	bend     float64 // random walk of a slope: standard deviation per square root of a day, as a fraction of the slope
	drift    float64 // a slope at which a bend is as large as one of this size has; relative, per day
	gross    float64 // chance that a reading is a gross error
	grossSD  float64 // spread of gross errors, logarithm
	jump     float64 // hazard per day that the level was moved by something nobody wrote down
	jumpSD   float64 // how far, logarithm
	sink     float64 // hazard per day that a fall comes to rest under the floor, where little is left to take up
	lift     float64 // hazard per day that a course at rest under the floor is brought up again by its keeper
	start    float64 // mean of the level's logarithm before any reading, anchors
	startSD  float64
	moving   float64 // chance that the course is moving when the first reading is taken

	grid   func() *grid // made when it is first called
	tables sync.Map     // member's wobble and fade -> *below
}

// member is one set of the quantities that differ from tank to tank and are learned by weighing members against each
// other.
type member struct {
	wobble float64 // standard deviation, in units of Settings.Wobble
	fade   float64 // days in which a wobble dies away (mean reversion time)
	spread float64 // factor on the repeatability
	// 1 and up: readings by undescribed methods are those of Observation.Kits[kit-1]; 0: as Lo, Hi and SD say
	kit    int
	weight float64 // before any reading
}

var models sync.Map // modelKey -> *model

type modelKey struct {
	wobble  float64
	floored bool
}

// modelFor is the model of a parameter whose level wobbles by the given fraction. Slopes scale with the wobble: what
// counts as slow for nitrate, which wobbles by a tenth, is fast for calcium, which wobbles by a fiftieth.
func modelFor(set Settings) *model {
	key := modelKey{wobbleOf(set), hasFloor(set)}
	m, ok := models.Load(key)
	if !ok {
		m, _ = models.LoadOrStore(key, newModel(key.wobble, key.floored))
	}
	return m.(*model)
}

func newModel(wobble float64, floored bool) *model {
	m := &model{
		wobble: wobble, floored: floored,
		creep: 0.06 * wobble, bend: 0.04,
		gross: 0.02, grossSD: 1.2,
		jump: 0.001, jumpSD: max(10*wobble, 0.7),
		sink: 0.15, lift: 0.01,
		startSD: 1, moving: 0.1,
	}
	if floored {
		m.start, m.startSD = math.Log(3), 1.2
		m.restless, m.calm = [...]float64{0.25, 2.5}, [...]float64{0.4, 0.6}
		m.courses = runsOut(wobble)
	} else {
		m.restless, m.calm = [...]float64{10, 60}, [...]float64{0.4, 0.6}
		m.courses, m.drift = isHeld(wobble), 0.85*wobble
	}
	m.courses = append(m.courses, course{motion: driven})
	for _, c := range m.courses {
		m.onset += c.onset
	}
	m.grid = sync.OnceValue(func() *grid { return newGrid(m) })
	for _, w := range wobbles(floored) {
		for _, s := range []struct{ spread, weight float64 }{{1, 0.8}, {1.8, 0.2}} {
			m.bank = append(m.bank, member{w.wobble, w.fade, s.spread, 0, w.weight * s.weight})
		}
	}
	return m
}

// wobbles are those that a level may have, up to that of a river. What is held also swings with day and night, as
// probes see.
func wobbles(floored bool) []member {
	all := []member{
		{wobble: 0.45, fade: 5, weight: 0.4}, {wobble: 0.9, fade: 5, weight: 0.35}, {wobble: 2, fade: 10, weight: 0.15},
		{wobble: 5, fade: 8, weight: 0.02},
	}
	if floored {
		return append(all, member{wobble: 0.9, fade: 20, weight: 0.1})
	}
	return append(all, member{wobble: 1, fade: 0.5, weight: 0.1})
}

// members are those for a series whose first reading is o. Where nobody described the method, one of some kinds of kit
// may stand behind the readings; without such kinds a guess is all there is, and the scatter seen widens or narrows it.
func (m *model) members(o Observation) []member {
	if o.Described {
		return m.bank
	}
	methods := []member{{spread: 0.6, weight: 0.3}, {spread: 1.2, weight: 0.4}, {spread: 2.4, weight: 0.3}}
	if len(o.Kits) > 0 {
		methods = nil
		for kit := range o.Kits {
			methods = append(methods, member{spread: 1, kit: kit + 1, weight: 1 / float64(len(o.Kits))})
		}
	}
	var bank []member
	for _, w := range m.bank {
		if w.spread != 1 {
			continue
		}
		for _, s := range methods {
			bank = append(bank, member{w.wobble, w.fade, s.spread, s.kit, w.weight * s.weight})
		}
	}
	return bank
}

// runsOut are the courses of what runs out: falls of many kinds, and the rises of a tank that is fed.
func runsOut(wobble float64) []course {
	all := []course{
		{relative, -0.1 * wobble, 0.06 * wobble, slowOnset},
		{relative, -0.35 * wobble, 0.2 * wobble, slowOnset},
		{relative, -1.6 * wobble, 0.9 * wobble, fastOnset},
		{relative, 0.35 * wobble, 0.3 * wobble, riseOnset},
	}
	if wobble > 0.04 { // within a narrow range the two kinds of motion are the same
		all = append(all,
			course{absolute, -0.03, 0.02, evenOnset},
			course{absolute, -0.12, 0.07, evenOnset},
			course{absolute, -0.5, 0.35, fastOnset},
			course{absolute, 0.12, 0.1, riseOnset / 3},
		)
	}
	return all
}

// isHeld are the courses of what a keeper holds at a level by dosing, such as alkalinity: the demand outgrows the
// dosing, the dosing is set anew, and so the level is nearly always on its way, a little up as often as a little down.
func isHeld(wobble float64) []course {
	return []course{
		{relative, -0.1 * wobble, 0.1 * wobble, heldOnset},
		{relative, 0.1 * wobble, 0.1 * wobble, heldOnset},
		{relative, -0.5 * wobble, 0.4 * wobble, heldOnset},
		{relative, 0.5 * wobble, 0.4 * wobble, heldOnset},
		{relative, -1.3 * wobble, 0.4 * wobble, heldOnset / 8},
		{relative, 1.3 * wobble, 0.4 * wobble, heldOnset / 8},
	}
}

// Hazards per day of the onset of a course in a tank of restlessness 1, and of its end.
const (
	slowOnset = 0.00045 // of falls by a share; those by constant amounts take longer to tell, and are the commoner
	evenOnset = 0.0015
	fastOnset = 0.0006
	riseOnset = 0.0025
	heldOnset = 0.0006
	riseEnd   = 0.012
	heldEnd   = 0.03 // the dosing is set anew
	drivenEnd = 0.004
	endBase   = 0.003
	endPer    = 0.07 // of a fall, for every e-fold
)

// endOf is the hazard per day of the end of a course with the slope given, above the floor. For falls it is mostly a
// matter of distance: a fall stops within an e-fold with a chance of a tenth, slow or fast.
func (m *model) endOf(kind motion, slope float64) float64 {
	switch {
	case kind == driven:
		return drivenEnd
	case !m.floored && math.Abs(slope) > m.wobble && kind == relative:
		return 5 * heldEnd
	case !m.floored:
		return heldEnd
	case slope > 0:
		return riseEnd
	case kind == absolute:
		return endBase - endPer*slope/2 // as at two floors
	default:
		return endBase - endPer*slope
	}
}

// shares is how likely each course is among those moving when the first reading is taken.
func (m *model) shares() []float64 {
	s := make([]float64, len(m.courses))
	total := 0.0
	for k, c := range m.courses {
		s[k] = c.onset / m.endOf(c.motion, c.rate)
		total += s[k]
	}
	for k := range s {
		s[k] /= total
	}
	return s
}
