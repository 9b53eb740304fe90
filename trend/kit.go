package trend

import (
	"math"
	"slices"
)

// Kit is what a reading stands for if a certain kind of kit showed it, as in Observation.
type Kit struct {
	Name             string // what people call such a kit, with its article
	Lo, Hi           float64
	SD               float64
	SDBelow, SDAbove float64
	// Share is the chance that such a kit shows just this number, and not another one that it might have in the
	// interval; 0 means that it cannot show it.
	Share float64
	Scale bool // a mark of a colour scale: other marks that the series shows narrow the interval
}

// KitKind is a kind of kit, in the parameter's canonical unit: either an instrument that shows multiples of a step,
// or a colour scale with marks at round numbers.
type KitKind struct {
	Name  string  // what people call such a kit, with its article
	Step  float64 // the smallest difference shown; of a scale, its usual first mark above zero
	SD    float64 // repeatability, one standard deviation, and what is added in proportion to the value
	SDRel float64 // of a scale: in proportion to the gap between two marks
	Exact bool    // shows multiples of the step and nothing else
	Scale bool    // has marks at round numbers
}

// Shows is what a report of value stands for if a kit of this kind gave it.
//
// The marks of colour scales go in steps of about 1, 2, 5 (common practice, no source), so one stands for what lies
// between some seven tenths and one and a half of it.
func (k KitKind) Shows(value float64, bound Bound) Kit {
	shown := Kit{Name: k.Name, Lo: value - k.Step/2, Hi: value + k.Step/2, SD: math.Hypot(k.SD, k.SDRel*value), Share: 1}
	if k.Scale {
		k.mark(&shown, value)
	} else if n := value / k.Step; k.Exact && math.Abs(n-math.Round(n)) > 1e-6*max(n, 1) {
		shown.Share = 0
	}
	switch {
	case bound == Below:
		shown.Lo, shown.Hi, shown.Share, shown.Scale = math.Inf(-1), value, 1, false
	case bound == Above:
		shown.Lo, shown.Hi, shown.Share, shown.Scale = value, math.Inf(1), 1, false
	case value <= 0:
		shown.Lo = math.Inf(-1)
	}
	return shown
}

// mark makes a kit of a value on a colour scale. Its repeatability is some part of the gap to the next mark on either
// side.
func (k KitKind) mark(shown *Kit, value float64) {
	shown.Scale = true
	if value <= 0 {
		shown.SD = k.SDRel * k.Step
		return
	}
	shown.Lo, shown.Hi, shown.Share = 0.7*value, 1.5*value, roundness(value)
	if value < 1.2*k.Step { // nothing but zero below it
		shown.Lo = 0.5 * value
	}
	if value < 0.8*k.Step {
		shown.Share *= 0.2
	}
	shown.SDBelow, shown.SDAbove = 2*k.SDRel*(value-shown.Lo), 2*k.SDRel*(shown.Hi-value)
	shown.SD = (shown.SDBelow + shown.SDAbove) / 2
}

// roundness is the chance that a colour scale has a mark at a value where it might: large for the roundest numbers,
// small for other ones of two digits or three, and none for more. The chances of a decade add up to about the 3 marks
// for which it has room. Common practice, no source.
func roundness(value float64) float64 {
	mantissa := value / math.Pow(10, math.Floor(math.Log10(value*(1+1e-9))))
	is := func(m float64) bool { return math.Abs(mantissa-m) < 1e-5 }
	digits := func(n float64) bool { return math.Abs(mantissa*n-math.Round(mantissa*n)) < 1e-5*n }
	switch {
	case is(1), is(2), is(5):
		return 0.7
	case is(2.5), is(3):
		return 0.2
	case is(1.5), is(7.5), is(8):
		return 0.1
	case digits(10):
		return 0.004
	case digits(100):
		return 0.0003
	default:
		return 0
	}
}

// markSeen is the chance that a colour scale on which a number was read once has a mark there.
const markSeen = 0.9

// marks are the different numbers that undescribed methods have shown so far, in order.
type marks []float64

// with is m with the number of a reading.
func (m marks) with(o Observation) marks {
	if o.Described || o.Bound != Exact {
		return m
	}
	at, seen := slices.BinarySearch(m, o.Value)
	if seen {
		return m
	}
	return slices.Insert(slices.Clone(m), at, o.Value)
}

// report is a reading as one member takes it.
type report struct {
	lo, hi           float64
	sd               float64
	value            float64
	sdBelow, sdAbove float64 // at levels below and above value
	share            float64 // see Kit.Share
}

// sdAt is the repeatability at a level.
func (r *report) sdAt(level float64) float64 {
	if level < r.value {
		return r.sdBelow
	}
	return r.sdAbove
}

// takes is the reading o as a member takes it: an undescribed one as its kind of kit would have meant it.
func (m marks) takes(o Observation, by member) report {
	r := report{o.Lo, o.Hi, o.SD, o.Value, o.SDBelow, o.SDAbove, 1}
	if by.kit > 0 && !o.Described && by.kit <= len(o.Kits) {
		k := o.Kits[by.kit-1]
		r = report{k.Lo, k.Hi, k.SD, o.Value, k.SDBelow, k.SDAbove, k.Share}
		if k.Scale {
			m.narrow(&r)
		}
	}
	if r.sdBelow == 0 {
		r.sdBelow = r.sd
	}
	if r.sdAbove == 0 {
		r.sdAbove = r.sd
	}
	r.sd, r.sdBelow, r.sdAbove = r.sd*by.spread, r.sdBelow*by.spread, r.sdAbove*by.spread
	r.lo, r.hi = sharpened(r.lo, r.hi, r.sd)
	return r
}

// narrow puts in what the marks seen so far tell of a report on a colour scale.
func (m marks) narrow(r *report) {
	at, seen := slices.BinarySearch(m, r.value)
	above := at
	if seen {
		above++
		r.share = max(r.share, markSeen)
	}
	if at > 0 {
		r.lo = max(r.lo, (m[at-1]+r.value)/2)
	}
	if above < len(m) {
		r.hi = min(r.hi, (m[above]+r.value)/2)
	}
}

// sameMethod says whether two members take readings alike.
func (m member) sameMethod(n member) bool { return m.spread == n.spread && m.kit == n.kit }

// likelyKit is what people call the kind of kit that is behind the undescribed readings with a chance of at least
// kitShare; empty where none stands out.
func (f *belief) likelyKit(kits []Kit) string {
	byName := map[string]float64{}
	all := 0.0
	f.each(func(m *memberBelief, p *piece) {
		all += p.weight()
		if m.kit > 0 && m.kit <= len(kits) {
			byName[kits[m.kit-1].Name] += p.weight()
		}
	})
	for name, weight := range byName {
		if weight >= kitShare*all {
			return name
		}
	}
	return ""
}

// kitShare is the chance from which on a kind of kit is named.
const kitShare = 0.8

// reconsider starts the weighing of the kinds of kit anew where a reading shows a number that those believed in cannot
// show: what ruled the others out was then a mistake, or the keeper has changed to another kit.
func (f *belief) reconsider(o Observation) {
	ruledOut, all := 0.0, 0.0
	f.each(func(m *memberBelief, p *piece) {
		all += p.weight()
		if f.marks.takes(o, m.member).share == 0 {
			ruledOut += p.weight()
		}
	})
	if ruledOut <= all/2 {
		return
	}
	fresh := newBelief(f.model, f.scale, f.model.members(o))
	sums := map[member][]piece{} // of the members that differ in the kit alone
	for i := range f.members {
		m := &f.members[i]
		sum, ok := sums[m.tank()]
		if !ok {
			sums[m.tank()] = slices.Clone(m.pieces)
			continue
		}
		for j := range sum {
			sum[j].add(&m.pieces[j])
		}
	}
	kinds := float64(len(o.Kits))
	f.members = f.members[:0]
	for _, m := range fresh.members {
		if sum, ok := sums[m.tank()]; ok {
			for j := range sum {
				m.pieces[j] = sum[j].scaled(1 / kinds)
			}
			f.members = append(f.members, m)
		}
	}
}

// tank is what a member says of the tank, the method aside.
func (m member) tank() member { return member{wobble: m.wobble, fade: m.fade} }

// The kinds of kit that may stand behind a nutrient reading whose method nobody described: photometers, kits with
// steps, and colour cards whose first mark is low or high. Steps, spreads and first marks are common practice, no
// source; how well the engine does with them is in STUDY.md, which is made with these very numbers.
const (
	aPhotometer = "a photometer"
	aStepKit    = "a kit with coarse steps"
	aColourCard = "a colour card"
)

// NitrateKits are the common kinds of kit for nitrate, in mg/L.
func NitrateKits() []KitKind {
	return []KitKind{
		{Name: aPhotometer, Step: 0.1, SD: 0.15, SDRel: 0.04},
		{Name: aPhotometer, Step: 0.1, SD: 0.4, SDRel: 0.08},
		{Name: aStepKit, Step: 0.5, SD: 0.25, SDRel: 0.06, Exact: true},
		{Name: aStepKit, Step: 1, SD: 0.5, SDRel: 0.08, Exact: true},
		{Name: aColourCard, Step: 0.75, SDRel: 0.35, Scale: true},
		{Name: aColourCard, Step: 2, SDRel: 0.35, Scale: true},
	}
}

// PhosphateKits are the common kinds of kit for phosphate, in mg/L of PO4.
func PhosphateKits() []KitKind {
	return []KitKind{
		{Name: aPhotometer, Step: 0.003, SD: 0.004, SDRel: 0.03},
		{Name: aPhotometer, Step: 0.003, SD: 0.009, SDRel: 0.05},
		{Name: aStepKit, Step: 0.01, SD: 0.007, SDRel: 0.06, Exact: true},
		{Name: aStepKit, Step: 0.02, SD: 0.01, SDRel: 0.08, Exact: true},
		{Name: aColourCard, Step: 0.012, SDRel: 0.35, Scale: true},
		{Name: aColourCard, Step: 0.03, SDRel: 0.35, Scale: true},
	}
}
