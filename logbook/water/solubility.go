package water

import (
	"fmt"
	"math"
	"strings"
)

// Solubility is how much of a salt water takes up, as the anhydrous salt's share of the mass of the saturated solution
// in percent. The zero value means it is not known.
//
// Reference (published; read through two transcriptions that agree): Rumble J. (ed.) CRC Handbook of Chemistry and
// Physics, 98th ed. (2017), table "Aqueous solubility of inorganic compounds at various temperatures".
type Solubility struct {
	MassPercent20, MassPercent25 float64 // at 20 and 25 °C
}

// limeSolubility is that of calcium hydroxide: 0.165 g in 100 g of water at 20 °C (published: a public chemistry table,
// its own source not given), 0.0203 mol/L at 25 °C (published: Bates R.G., Bower V.E. & Smith E.R. (1956) Calcium
// hydroxide as a highly alkaline pH standard. J. Res. Natl. Bur. Stand. 56(6), 305-312). As little dissolves that g per
// litre and g per kg of solution differ by less than the figures' own doubt. The solubility product would give half of
// it: it leaves out activities and ion pairs.
var limeSolubility = Solubility{MassPercent20: 0.165, MassPercent25: 0.1504}

// massPercent at t °C: linear between 20 and 25 °C, the nearer end beyond them.
func (s Solubility) massPercent(t float64) float64 {
	share := min(max((t-20)/5, 0), 1)
	return s.MassPercent20 + share*(s.MassPercent25-s.MassPercent20)
}

// Dissolving is the answer to whether a recipe can be made.
type Dissolving int

const (
	DissolvesUnknown Dissolving = iota // the solubility is not in the table
	Dissolves
	DissolvesBarely // between the bounds: the density of the saturated solution would decide; make it weaker
	DissolvesNot
)

func (d Dissolving) String() string {
	switch d {
	case Dissolves:
		return "dissolves"
	case DissolvesBarely:
		return "may not all dissolve"
	case DissolvesNot:
		return "does not dissolve"
	}
	return "solubility not known"
}

// Dissolving says whether so many grams of the salt in each litre of finished solution dissolve at t °C. The published
// solubility is by mass, and the density of a saturated solution is above 1 kg/L while the water in a litre of it is
// less than 1 kg, so that the true limit lies between 10 w and 10 r grams of anhydrous salt per litre (w mass percent,
// r grams per 100 g of water). Below the first is yes, above the second is no. Outside 20 to 25 °C only that much is
// said as follows from the salt dissolving better, or worse, the warmer it is.
func (s Salt) Dissolving(gramsPerLitre, t float64) (Dissolving, error) {
	if err := mustNotBeNegative("strength in g/L", gramsPerLitre); err != nil {
		return DissolvesUnknown, err
	}
	if s.Solubility == (Solubility{}) || math.IsNaN(t) {
		return DissolvesUnknown, nil
	}
	w, a, err := s.saturation(t)
	if err != nil {
		return DissolvesUnknown, err
	}
	verdict := DissolvesNot
	switch anhydrous := gramsPerLitre * a; {
	case anhydrous <= 1000*w:
		verdict = Dissolves
	case anhydrous <= 1000*w/(1-w):
		verdict = DissolvesBarely
	}
	if t >= 20 && t <= 25 {
		return verdict, nil
	}
	better := (t > 25) == (s.Solubility.MassPercent25 > s.Solubility.MassPercent20)
	if better && verdict == Dissolves || !better && verdict == DissolvesNot {
		return verdict, nil
	}
	return DissolvesUnknown, nil
}

// saturation returns the mass fraction of anhydrous salt in the saturated solution, and in the salt itself.
func (s Salt) saturation(t float64) (w, a float64, err error) {
	if s.Solubility == (Solubility{}) {
		return 0, 0, fmt.Errorf("the solubility of %s is not known", s.Name)
	}
	anhydrous, _, _ := strings.Cut(s.Formula, ".")
	a, err = MassRatio(s.Formula, anhydrous)
	return s.Solubility.massPercent(t) / 100, a, err
}
