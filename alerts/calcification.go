package alerts

import (
	"fmt"
	"math"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

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

// CalcificationOf makes the comparison as-of a moment. ok is false for a parameter that is neither of the two, and where
// one of them was never measured.
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

// Text says the comparison: what calcium the alkalinity would take with it, the ratio, and what a mismatch commonly means.
func (c Calcification) Text() []string {
	if math.IsNaN(c.Ratio) {
		return []string{"alkalinity against calcium: one of the two demands is not clearly above zero yet"}
	}
	a, b := c.Alkalinity.Estimate.PerDay, c.Calcium.Estimate.PerDay
	alk, ca := c.Alkalinity.Parameter, c.Calcium.Parameter
	change := func(p logbook.Parameter, v float64, more int) string {
		return words.WithUnit(words.Change(p, v, more), words.Unit(p))
	}
	sentences := []string{fmt.Sprintf("alkalinity against calcium: with %s a day calcification takes %s of calcium, and %s is taken: a ratio of %s (80 %%: %s to %s), where pure calcium carbonate takes 2",
		change(alk, a, 0), change(ca, water.CalciumForAlkalinity(a), 1), words.Change(ca, b, 1), water.Format(c.Ratio, 2), water.Format(c.Lo, 2), water.Format(c.Hi, 2))}
	switch c.Verdict() {
	case "low":
		sentences = append(sentences, fmt.Sprintf("less alkalinity than calcium goes (corals alone took %.2f ± %.2f, a reef with sediment %.2f: Murillo et al. 2014); commonly a calcium supplement that is weaker, or an alkalinity supplement that is stronger, than described, alkalinity that is added and not noted, or sand that dissolves (common practice, no source)",
			coralRatio, coralRatioSD, reefRatio))
	case "high":
		sentences = append(sentences, fmt.Sprintf("more alkalinity than calcium goes (corals alone took %.2f ± %.2f: Murillo et al. 2014); commonly an alkalinity supplement that is weaker, or a calcium supplement that is stronger, than described, calcium that is added and not noted, or food and nitrification taking alkalinity (common practice, no source)",
			coralRatio, coralRatioSD))
	default:
		sentences = append(sentences, fmt.Sprintf("the two demands fit each other (corals alone took %.2f ± %.2f: Murillo et al. 2014)", coralRatio, coralRatioSD))
	}
	return sentences
}
