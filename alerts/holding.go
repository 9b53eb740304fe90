package alerts

import (
	"fmt"
	"math"

	"leadline/logbook"
	"leadline/logbook/water"
)

// Holding is how much of one supplement meets a demand: millilitres per day, with the 80 % interval of the demand.
type Holding struct {
	Supplement  string
	PerDay      float64
	Lo, Hi      float64 // never negative
	InUse       bool    // it is dosed for the parameter now
	LitresOfNet float64 // net volume reckoned with
	Others      bool    // other supplements are dosed for the parameter now
	Most        float64 // mL a day that there is room for; +Inf: no bound
	Cautions    []string
}

// Holdings says what of each described supplement holds the level, those in use first. It is empty where the demand or
// the tank's net volume is not known, or the demand is not clearly above zero.
func Holdings(v *logbook.View, d Demand) ([]Holding, error) {
	e := d.Estimate
	if d.Tank.VolumeL <= 0 || math.IsNaN(e.PerDay) || !(e.Lo > 0) {
		return nil, nil
	}
	supplements, err := v.Supplements()
	if err != nil {
		return nil, err
	}
	running, err := v.DosingsBefore(d.Tank.Name, d.Parameter.Name, d.AsOf)
	if err != nil {
		return nil, err
	}
	inUse := map[string]bool{}
	for _, r := range running {
		inUse[r.Supplement] = r.PerDay > 0
	}
	var used, others []Holding
	for _, s := range supplements {
		strength, err := s.Strength(d.Parameter)
		if err != nil || strength <= 0 {
			continue
		}
		perUnit := d.Tank.VolumeL / float64(strength)
		h := Holding{Supplement: s.Name, PerDay: e.PerDay * perUnit, Lo: e.Lo * perUnit, Hi: e.Hi * perUnit,
			InUse: inUse[s.Name], LitresOfNet: d.Tank.VolumeL, Most: math.Inf(1), Cautions: water.Briefs(BewareDosing(s, supplements))}
		for name, dosed := range inUse {
			h.Others = h.Others || dosed && name != s.Name
		}
		if s.Limewater {
			h.Most = 1000 * d.Tank.VolumeL * usualEvaporation
		}
		if h.InUse {
			used = append(used, h)
		} else {
			others = append(others, h)
		}
	}
	return append(used, others...), nil
}

// Text is the amount in one sentence.
func (h Holding) Text() string {
	ml := func(v float64) string { return water.FormatSignificant(v, 3) }
	text := fmt.Sprintf("to hold the level: %s mL a day of %s (80 %%: %s to %s), %s mL a week, reckoned with %s L of water",
		ml(h.PerDay), h.Supplement, ml(h.Lo), ml(h.Hi), ml(7*h.PerDay), ml(h.LitresOfNet))
	if h.Others {
		text += "; of it alone, in place of all that is dosed now"
	}
	if h.PerDay > h.Most {
		text += fmt.Sprintf("; only %s mL evaporate in a day: it cannot hold the level alone", ml(h.Most))
	}
	return text
}

// Says is all that is to be said of a demand: the sentence, how it grows, what holds the level and what to beware of
// with it, and how it fits the demand that goes with it.
func (d Demand) Says(holdings []Holding, balance Calcification, balanced bool) (says []string) {
	says = append(says, d.Text())
	if growth := d.GrowthText(); growth != "" {
		says = append(says, growth)
	}
	if !math.IsNaN(d.Estimate.PerDay) { // else the first sentence has said it
		for _, n := range d.Estimate.Notes {
			says = append(says, n.Text)
		}
	}
	for _, h := range holdings {
		says = append(says, h.Text())
		if h.InUse {
			for _, text := range h.Cautions {
				says = append(says, "caution: "+text)
			}
		}
	}
	if balanced {
		says = append(says, balance.Text()...)
	}
	return says
}
