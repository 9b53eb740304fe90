package trend

import (
	"fmt"
	"math"
)

// Bound says how much of its value a reading tells.
type Bound int8

const (
	Exact Bound = iota // the method gave a number
	Below              // "<0.02": known only to be below Value
	Above              // ">50": known only to be above Value
)

// Observation is one reading as the engine sees it: what the method said, as an interval, and how far repeated
// tests of the same water scatter.
//
// The model behind it: the method adds a Gaussian error of standard deviation SD to the true concentration, and then
// reports the step or scale mark nearest to the sum, so that all that is known of the sum is that it lies in [Lo, Hi].
type Observation struct {
	Day   float64 // days since any fixed origin
	Value float64 // the number reported, in the parameter's canonical unit; the limit itself for < and >
	Lo    float64 // lower end of the interval the report stands for; -Inf for "<"
	Hi    float64 // upper end; +Inf for ">"
	SD    float64 // repeatability, one standard deviation, same unit; > 0
	Bound Bound
	// SDBelow and SDAbove are the repeatability at levels below and above Value where it differs, as that of a colour card
	// does whose next mark is farther off on one side; 0 means SD. A test of water above a mark scatters by the gap above
	// it, so a low report can come from well above.
	SDBelow, SDAbove float64
	// Described is false where the keeper never described the method and Lo, Hi and SD are a generic guess for the
	// parameter, which the engine may widen or narrow by the scatter it sees.
	Described bool
	// Kits says, for a reading whose method is not described, what it stands for if this or that common kind of kit gave
	// it. All undescribed readings of a series name the same kinds in the same order; none means that there is only the
	// guess in Lo, Hi and SD.
	Kits []Kit
}

// InputKind says what a known input does to the level.
type InputKind int8

const (
	Dose   InputKind = iota // at Day the level rises by Amount
	Change                  // at Day the fraction Fraction of the water is replaced by water of level New
	Dosing                  // from Day on, the standing supply is Amount per day (until the next Dosing input)
)

// Input is something done to the water whose effect on the level is known beforehand.
type Input struct {
	Day      float64 // days since the same origin as the observations
	Kind     InputKind
	Amount   float64 // Dose: rise; Dosing: total standing supply per day from Day on; canonical unit
	Fraction float64 // Change: 0..1
	New      float64 // Change: level of the new water; NaN where it is not known
}

// Settings are what the keeper, or the parameter, brings to an assessment.
type Settings struct {
	Floor  float64 // level below which the parameter counts as bottomed out, canonical unit; NaN: none
	Low    float64 // the keeper's band; NaN: none
	High   float64
	Window float64 // days of the rolling view; 0 means DefaultWindow
	// InWindow is what the rolling view rests on where the other readings leave out some of its window, in order of Day;
	// of it only Day, Value and Bound are looked at. nil: the readings that the rest rests on.
	InWindow []Observation
	// Wobble is the relative size of ordinary day-to-day wandering of the level about its course, as a fraction
	// of the level (0.10 for nutrients, 0.02 for calcium); 0 means DefaultWobble.
	Wobble float64
}

// DefaultWindow is the length of the rolling view in days: eight weekly readings.
const DefaultWindow = 56

// DefaultWobble is the relative wandering assumed for a parameter about which nothing is said.
const DefaultWobble = 0.10

// validate panics on a caller's slip. Data that cannot tell is not a slip.
func validate(obs []Observation) {
	for i, o := range obs {
		if math.IsNaN(o.Day) || math.IsInf(o.Day, 0) {
			panic(fmt.Sprintf("trend: observation %d: day is %v", i, o.Day))
		}
		if !(o.SD > 0) || math.IsInf(o.SD, 0) {
			panic(fmt.Sprintf("trend: observation %d: standard deviation is %v", i, o.SD))
		}
		if math.IsNaN(o.Lo) || math.IsNaN(o.Hi) || o.Lo > o.Hi {
			panic(fmt.Sprintf("trend: observation %d: interval [%v, %v]", i, o.Lo, o.Hi))
		}
		for _, k := range o.Kits {
			if !(k.SD > 0) || !(k.Lo <= k.Hi) || !(k.Share >= 0) {
				panic(fmt.Sprintf("trend: observation %d: kit %+v", i, k))
			}
		}
		if i > 0 && o.Day < obs[i-1].Day {
			panic(fmt.Sprintf("trend: observation %d: day %v is before day %v", i, o.Day, obs[i-1].Day))
		}
	}
}

// columns are days, values and bounds of readings.
func columns(obs []Observation) (t, y []float64, bound []Bound) {
	for _, o := range obs {
		t, y, bound = append(t, o.Day), append(y, o.Value), append(bound, o.Bound)
	}
	return t, y, bound
}

// Note is a remark that travels with a result and that the screens must show, such as "needs 5 readings, has 3".
type Note struct {
	Code string // stable, for scripts: "too-few", "all-censored", "old", "outlier", ...
	Text string // one plain sentence, lower case, no full stop
}
