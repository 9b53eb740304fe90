package alerts

import (
	"cmp"
	"fmt"
	"math"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// Demand is what a tank consumes of a parameter per day, as-of a moment.
type Demand struct {
	Tank      logbook.Tank
	Parameter logbook.Parameter
	AsOf      time.Time
	Estimate  trend.Demand // canonical unit per day
}

// DemandOf estimates the demand of a parameter as-of a moment from the readings, doses, dosing and water changes of the
// last HistoryDays, MaxReadings at most.
func DemandOf(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time) (Demand, error) {
	s, err := seriesUpTo(v, t, p, asOf)
	if err != nil {
		return Demand{}, err
	}
	d := Demand{t, p, asOf, trend.EstimateDemand(s.observations, s.Inputs, Day(asOf), s.demandSettings())}
	if n := len(s.Readings); n > 0 && !math.IsNaN(d.Estimate.PerDay) {
		last := s.Readings[n-1].Time
		if age := Day(asOf) - Day(last); age > math.Max(demandIntervals*s.usualDays(), demandDays) {
			d.Estimate = trend.NoDemand(d.Estimate.N, d.Estimate.Supply)
			d.Estimate.Notes = []trend.Note{{Code: "too-old",
				Text: fmt.Sprintf("demand is not known since %s: the last test was %s ago", words.Day(last), words.Days(age))}}
		}
	}
	return d, nil
}

// A demand is told for three intervals after the last test, and for two weeks at least (common practice, no source).
const (
	demandIntervals = 3
	demandDays      = 14
)

// HindcastDemand is the demand as it would have been estimated at each past reading, in time order; of a dense log,
// at one reading a day, and thinned says so. DemandOf tells the others.
func HindcastDemand(v *logbook.View, t logbook.Tank, p logbook.Parameter) (out []Demand, thinned bool, err error) {
	s, err := seriesBetween(v, t, p, time.Time{}, time.Time{})
	if err != nil {
		return nil, false, err
	}
	for i, d := range trend.HindcastDemand(s.observations, s.Inputs, s.demandSettings()) {
		out = append(out, Demand{t, p, s.Readings[i].Time, d})
	}
	return out, s.Thinned, nil
}

// demandSettings believes, before any reading, in a demand per day of the size of twice the greatest careful change of
// the parameter, or of a twentieth of the first reading where none is known (common practice, no source). Calcium goes
// with alkalinity, and magnesium does not go faster.
func (s Series) demandSettings() trend.DemandSettings {
	p := s.Parameter
	scale := 2 * p.MaxRise
	switch {
	case p.Name == "calcium" || p.Name == "magnesium":
		scale = water.CalciumForAlkalinity(1)
	case scale == 0 && len(s.Readings) > 0:
		scale = s.Readings[0].Value / 20
	}
	return trend.DemandSettings{Scale: math.Max(scale, math.Pow10(-p.Digits)), Trend: s.settings()}
}

// Text says the demand in one sentence, per day and per week, or what it would take to tell.
func (d Demand) Text() string {
	e := d.Estimate
	if d.Parameter.Doseable() != nil { // the arithmetic finds a number that means nothing
		return d.Parameter.Name + " is not consumed: there is no demand to tell"
	}
	if math.IsNaN(e.PerDay) {
		if n := len(e.Notes); n > 0 {
			return d.Parameter.Name + ": " + e.Notes[n-1].Text
		}
		return d.Parameter.Name + ": demand cannot be told"
	}
	p := d.Parameter
	change, least := p.Shown.ChangeFromCanonical, p.DigitsIn(p.Shown)
	more := 1 // digits, or as many as tell the ends of the range apart
	if lo, hi := change(e.Lo), change(e.Hi); hi > lo {
		more = max(1, min(int(math.Floor(1-math.Log10(hi-lo)))-least, 5))
	}
	number := func(v float64) string { return words.Change(p, v, more) }
	amount := func(v float64) string { return words.WithUnit(number(v), words.Unit(p)) }
	does, per, lo, hi := "takes", e.PerDay, e.Lo, e.Hi
	if per < 0 {
		does, per, lo, hi = "itself adds", -e.PerDay, -e.Hi, -e.Lo
	}
	text := fmt.Sprintf("%s: the tank %s %s a day (80 %%: %s to %s), %s a week", d.Parameter.Name, does,
		amount(per), number(lo), number(hi), amount(7*per))
	if e.Supply == 0 {
		text += "; nothing is dosed daily"
	} else {
		text += fmt.Sprintf("; dosing adds %s a day", amount(e.Supply))
	}
	if e.Regular != 0 {
		does := "add"
		if e.Regular < 0 {
			does = "take"
		}
		text += fmt.Sprintf("; regular doses and water changes %s %s", does, amount(math.Abs(e.Regular)))
	}
	if e.Supply != 0 || e.Regular != 0 {
		text += fmt.Sprintf(", so the level moves by %s a day",
			words.WithUnit(words.SignedChange(p, e.Net, more), words.Unit(p)))
	}
	return text
}

// GrowthText says how the demand grows, or nothing where that is not known or nothing is consumed.
func (d Demand) GrowthText() string {
	e := d.Estimate
	switch {
	case math.IsNaN(e.GrowthLo) || math.IsNaN(e.GrowthHi) || !(e.Lo > 0):
		return ""
	case e.GrowthLo <= 0 && e.GrowthHi >= 0:
		return fmt.Sprintf("no growth of the demand can be told yet (80 %%: %+.1f to %+.1f %% in 30 days)", 100*e.GrowthLo,
			100*e.GrowthHi)
	}
	return fmt.Sprintf("the demand changes by %+.1f %% in 30 days (80 %%: %+.1f to %+.1f %%)", 100*e.Growth,
		100*e.GrowthLo, 100*e.GrowthHi)
}

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
	running, err2 := v.DosingsBefore(d.Tank.Name, d.Parameter.Name, d.AsOf)
	if err := cmp.Or(err, err2); err != nil {
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
			InUse: inUse[s.Name], LitresOfNet: d.Tank.VolumeL, Most: math.Inf(1),
			Cautions: water.Briefs(BewareDosing(s, supplements))}
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
	text := fmt.Sprintf(
		"to hold the level: %s mL a day of %s (80 %%: %s to %s), %s mL a week, reckoned with %s L of water",
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
		says = append(says, words.Of(d.Estimate.Notes, noteText)...)
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

// Calcification compares a tank's demand of alkalinity with its demand of calcium. Laying down calcium carbonate takes
// two moles of alkalinity for each mole of calcium, so that one of the two demands checks the other.
type Calcification struct {
	Alkalinity, Calcium Demand
	// Ratio is moles of alkalinity taken for each mole of calcium, with an 80 % interval; NaN where either demand is
	// unknown or not clearly above zero.
	Ratio, Lo, Hi float64
}

// The ratios that were observed: corals alone, and a reef whose sediment gave alkalinity back. Published: see
// water.CalcificationRatio.
const (
	coralRatio, coralRatioSD = 2.06, 0.19
	reefRatio                = 1.60
)

// CalcificationOf makes the comparison as-of a moment. ok is false for a parameter that is neither of the two, and
// where one of them was never measured.
func CalcificationOf(v *logbook.View, d Demand) (c Calcification, ok bool, err error) {
	other := map[string]string{"alkalinity": "calcium", "calcium": "alkalinity"}[d.Parameter.Name]
	if other == "" {
		return c, false, nil
	}
	p, err := v.Parameter(other)
	if err != nil {
		return c, false, err
	}
	second, err := DemandOf(v, d.Tank, p, d.AsOf)
	if err != nil || second.Estimate.N == 0 {
		return c, false, err
	}
	c = Calcification{Alkalinity: d, Calcium: second}
	if other == "alkalinity" {
		c.Alkalinity, c.Calcium = second, d
	}
	c.weigh()
	return c, true, nil
}

// weigh finds the ratio. The interval takes each demand as lognormal with the spread of its own interval.
func (c *Calcification) weigh() {
	c.Ratio, c.Lo, c.Hi = math.NaN(), math.NaN(), math.NaN()
	a, b := c.Alkalinity.Estimate, c.Calcium.Estimate
	if !(a.Lo > 0 && b.Lo > 0) {
		return
	}
	c.Ratio = water.CalcificationRatio(a.PerDay, b.PerDay)
	spread := math.Exp(math.Hypot(math.Log(a.Hi/a.Lo), math.Log(b.Hi/b.Lo)) / 2)
	c.Lo, c.Hi = c.Ratio/spread, c.Ratio*spread
}

// Verdict is "fits", "low" (less alkalinity goes than calcium asks for), "high", or "unknown".
func (c Calcification) Verdict() string {
	switch {
	case math.IsNaN(c.Ratio):
		return "unknown"
	case c.Hi < coralRatio-coralRatioSD:
		return "low"
	case c.Lo > coralRatio+coralRatioSD:
		return "high"
	}
	return "fits"
}

// Text says the comparison: what calcium the alkalinity would take with it, the ratio, and what a mismatch commonly
// means.
func (c Calcification) Text() []string {
	if math.IsNaN(c.Ratio) {
		return []string{"alkalinity against calcium: one of the two demands is not clearly above zero yet"}
	}
	a, b := c.Alkalinity.Estimate.PerDay, c.Calcium.Estimate.PerDay
	alk, ca := c.Alkalinity.Parameter, c.Calcium.Parameter
	change := func(p logbook.Parameter, v float64, more int) string {
		return words.WithUnit(words.Change(p, v, more), words.Unit(p))
	}
	sentences := []string{fmt.Sprintf("alkalinity against calcium: with %s a day calcification takes %s of calcium, and "+
		"%s is taken: a ratio of %s (80 %%: %s to %s), where pure calcium carbonate takes 2",
		change(alk, a, 0), change(ca, water.CalciumForAlkalinity(a), 1), words.Change(ca, b, 1), water.Format(c.Ratio, 2),
		water.Format(c.Lo, 2), water.Format(c.Hi, 2))}
	switch c.Verdict() {
	case "low":
		sentences = append(sentences, fmt.Sprintf("less alkalinity than calcium goes (corals alone took %.2f ± %.2f, a "+
			"reef with sediment %.2f: Murillo et al. 2014); commonly a calcium supplement that is weaker, or an alkalinity "+
			"supplement that is stronger, than described, alkalinity that is added and not noted, or sand that dissolves "+
			"(common practice, no source)", coralRatio, coralRatioSD, reefRatio))
	case "high":
		sentences = append(sentences, fmt.Sprintf("more alkalinity than calcium goes (corals alone took %.2f ± %.2f: "+
			"Murillo et al. 2014); commonly an alkalinity supplement that is weaker, or a calcium supplement that is "+
			"stronger, than described, calcium that is added and not noted, or food and nitrification taking alkalinity "+
			"(common practice, no source)", coralRatio, coralRatioSD))
	default:
		sentences = append(sentences, fmt.Sprintf("the two demands fit each other (corals alone took %.2f ± %.2f: Murillo "+
			"et al. 2014)", coralRatio, coralRatioSD))
	}
	return sentences
}
