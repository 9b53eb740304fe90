package alerts

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// Band is the keeper's band of one parameter in its canonical unit; NaN where unset.
type Band struct {
	Low, High float64
	Floor     float64
	EveryDays float64 // as set by the keeper; 0: not set
}

// BandOf reads a tank's band for a parameter. The error names the tank.
func BandOf(t logbook.Tank, p logbook.Parameter) (Band, error) {
	out := Band{Low: math.NaN(), High: math.NaN(), Floor: math.NaN()}
	b, ok := t.Bands[p.Name]
	if !ok {
		return out, nil
	}
	u, err := p.FindUnit(b.Unit)
	if err != nil {
		return out, fmt.Errorf("tank %s, band of %s: %w", t.Name, p.Name, err)
	}
	for _, f := range []struct {
		from *float64
		to   *float64
	}{{b.Low, &out.Low}, {b.High, &out.High}, {b.Floor, &out.Floor}} {
		if f.from != nil {
			*f.to = u.Canonical(*f.from)
		}
	}
	if b.EveryDays != nil {
		out.EveryDays = *b.EveryDays
	}
	return out, nil
}

// HeldBand is a band of one parameter, from when it held and until when; a zero time leaves an end open.
type HeldBand struct {
	From, To time.Time
	Band
	tank logbook.Tank // with that band and no other
}

// BandsHeld gives the bands that held one after the other in a tank; none where there never was one. The first is taken
// to have held always: what was wanted before it, nobody noted.
func BandsHeld(v *logbook.View, t logbook.Tank, p logbook.Parameter) (all []HeldBand, err error) {
	steps, err := v.History(t)
	for _, s := range steps {
		is, _ := s.Is.(logbook.Tank)
		band, set := is.Bands[p.Name]
		n := len(all)
		if err != nil || n == 0 && !set || n > 0 && reflect.DeepEqual(all[n-1].tank.Bands[p.Name], band) {
			continue
		}
		h := HeldBand{tank: t}
		if n > 0 {
			h.From, all[n-1].To = s.Noted, s.Noted
		}
		h.tank.Bands = map[string]logbook.Band{p.Name: band}
		h.Band, err = BandOf(h.tank, p)
		all = append(all, h)
	}
	return all, err
}

// held reports whether the band held at a moment.
func (h HeldBand) held(at time.Time) bool {
	return !at.Before(h.From) && (h.To.IsZero() || at.Before(h.To))
}

// Set reports whether the keeper has given any edge of the band.
func (b Band) Set() bool { return !math.IsNaN(b.Low) || !math.IsNaN(b.High) }

// BandState is where the true level stands in the band.
type BandState string

const (
	BandNone     BandState = "none"      // no band set
	BandUnknown  BandState = "unknown"   // no reading, or none that tells: see StateIn
	BandInside   BandState = "inside"    // the level is inside, and is expected to stay there for 14 days
	BandNearLow  BandState = "near_low"  // inside, but its 80 % interval or its 14-day forecast reaches below
	BandNearHigh BandState = "near_high" // likewise above
	BandBelow    BandState = "below"     // the level is more likely below the band than in it
	BandAbove    BandState = "above"
)

// StateIn tells where an assessed level stands. Outside means that most of its 80 % range lies there, near an edge that
// the edge lies inside that range or the mean forecast crosses it within 14 days. Of a level whose range reaches past
// both edges, or is mostly inside though its middle is not, nothing is told.
func (b Band) StateIn(a trend.Assessment) BandState {
	switch {
	case !b.Set():
		return BandNone
	case a.N == 0 || math.IsNaN(a.Level):
		return BandUnknown
	case a.Level < b.Low && b.Low-a.LevelLo >= a.LevelHi-b.Low:
		return BandBelow
	case a.Level > b.High && a.LevelHi-b.High >= b.High-a.LevelLo:
		return BandAbove
	case a.Level < b.Low || a.Level > b.High || a.LevelLo < b.Low && a.LevelHi > b.High:
		return BandUnknown
	}
	switch soon := b.soon(a); {
	case a.LevelLo < b.Low || soon < b.Low:
		return BandNearLow
	case a.LevelHi > b.High || soon > b.High:
		return BandNearHigh
	default:
		return BandInside
	}
}

// soon is the mean level in 14 days.
func (b Band) soon(a trend.Assessment) float64 {
	soon := a.Level
	for _, f := range a.Forecast {
		if f.Days <= 14 {
			soon = f.Mean
		}
	}
	return soon
}

// stateIn tells where an assessed level stands. A range that has grown past an edge because nobody tested tells
// nothing, nor does one that was reckoned from a dose, unless that was too much. The engine takes a leap for an error
// until the next days confirm it; of a probe that shows a value beyond an edge, hour after hour, the level is near that
// edge at the least.
func (s Series) stateIn(a trend.Assessment, probe float64) BandState {
	state := s.Band.StateIn(a)
	soon := s.Band.soon(a)
	switch {
	case state != BandNone && state != BandAbove && (Finding{Series: s, Assessment: a}).DosedSince() > 0:
		return BandUnknown
	case (state == BandNearLow && !(soon < s.Band.Low) || state == BandNearHigh && !(soon > s.Band.High)) &&
		s.tooOld(a.AsOf):
		return BandUnknown
	case !s.probe.writes || state == BandBelow || state == BandAbove:
		return state
	case probe < s.Band.Low:
		return BandNearLow
	case probe > s.Band.High:
		return BandNearHigh
	}
	return state
}

// Tested is where the latest reading itself stands, by band and floor, for those who are shown that number and no
// level. Of one inside it says near what edge the level is.
func (l Finding) Tested() BandState {
	b, last := l.Band, l.Assessment.Latest
	under := func(edge float64) bool { return last.Value < edge || last.Bound == trend.Below && last.Value == edge }
	over := last.Value > b.High || last.Bound == trend.Above && last.Value == b.High
	switch {
	case l.Assessment.N == 0 || l.tooOld(l.Assessment.AsOf):
		return l.BandState
	case last.Bound != trend.Above && (under(b.Low) || under(b.Floor)):
		return BandBelow
	case last.Bound != trend.Below && over:
		return BandAbove
	case last.Bound != trend.Exact || l.suspect() && b.Set():
		return BandUnknown
	case l.BandState == BandNone || l.BandState == BandNearLow || l.BandState == BandNearHigh:
		return l.BandState
	}
	return BandInside
}

// bandAlert speaks up when the level is outside the band or comes near an edge of it, unless an alert of the floor
// tells of the same fact already. That it comes near is not said on the word of a reading that does not fit. Since is
// the first of the unbroken run of latest readings on that side.
func bandAlert(l Finding, asOf time.Time) (Alert, bool) {
	state := l.BandState
	a := Alert{Severity: Notice}
	switch state {
	case BandBelow:
		a.Rule, a.Severity = RuleBelowBand, Warning
	case BandAbove:
		a.Rule, a.Severity = RuleAboveBand, Warning
	case BandNearLow:
		a.Rule = RuleNearLow
	case BandNearHigh:
		a.Rule = RuleNearHigh
	default:
		return Alert{}, false
	}
	near := a.Severity == Notice
	if near && l.Assessment.N < fewestForNear && !l.probe.writes {
		return Alert{}, false
	}
	low := state == BandBelow || state == BandNearLow
	if low && l.has(floorRules...) || near && l.has(RuleSuspect) {
		return Alert{}, false
	}
	edge := l.Band.High
	if low {
		edge = l.Band.Low
	}
	a.Since = l.latestTime() // of a level that is near, the latest reading is what brought it there
	for _, r := range slices.Backward(l.Readings) {
		if near || low && !(r.Value < edge) || !low && !(r.Value > edge) {
			break
		}
		a.Since = r.Time
	}
	a.heldSince = l.keptState
	a.Headline, a.Because = l.bandHeadline(state, edge, asOf), l.levelAndSlope()
	if shown := l.probe.shows(); near && (low && shown < edge || !low && shown > edge) {
		a.Headline = l.beyondHeadline(state, edge, shown)
	}
	a.Evidence = l.evidence(asOf, map[string]any{"edge": edge})
	return a, true
}

// fewestForNear is the fewest readings of which it is said that the level is near an edge: of one or two the range is
// so wide that it reaches an edge from the middle of the band (common practice, no source).
const fewestForNear = 3

// keptState reports whether every reading after a moment left the level where it stands in the band now. Since tells
// the readings of a run, and one of them on the other side of the edge does not carry the level there.
func (l Finding) keptState(from time.Time) bool {
	return l.heldFrom(from, func(obs []trend.Observation) bool {
		last := obs[len(obs)-1]
		return l.stateIn(trend.Assess(obs, l.Inputs, last.Day, l.settings()), last.Value) == l.BandState
	})
}

// heldFrom reports whether something held after every reading since a moment.
func (l Finding) heldFrom(from time.Time, holds func(obs []trend.Observation) bool) bool {
	for i := len(l.observations) - 1; i >= 0 && l.Readings[i].Time.After(from); i-- {
		if !holds(l.observations[:i+1]) {
			return false
		}
	}
	return true
}
