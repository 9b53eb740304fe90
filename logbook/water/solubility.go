package water

// Dissolving is the answer to whether a recipe can be made.
type Dissolving int

const (
	DissolvesUnknown Dissolving = iota // the solubility is not in the table
	Dissolves
	DissolvesBarely // between the bounds: the density of the saturated solution would decide; make it weaker
	DissolvesNot
)

func (d Dissolving) String() string {
	return [...]string{"solubility not known", "dissolves", "may not all dissolve", "does not dissolve"}[d]
}

// Dissolving says whether so many grams of the salt in each litre of finished solution dissolve at 20 °C. Solubility is
// the anhydrous salt's share of the mass of the saturated solution in percent, 0 where it is not known. The density of
// such a solution is above 1 kg/L while the water in a litre of it is less than 1 kg, so that the true limit lies
// between 10 w and 10 r grams of anhydrous salt per litre (w mass percent, r grams per 100 g of water). Below the first
// is yes, above the second is no.
//
// Reference (published; read through two transcriptions that agree): Rumble J. (ed.) CRC Handbook of Chemistry and
// Physics, 98th ed. (2017), table "Aqueous solubility of inorganic compounds at various temperatures".
func (s Salt) Dissolving(gramsPerLitre float64) Dissolving {
	w := s.Solubility / 100
	switch anhydrous := gramsPerLitre * (s.Molar / s.mass()); {
	case w == 0:
		return DissolvesUnknown
	case anhydrous <= 1000*w:
		return Dissolves
	case anhydrous <= 1000*w/(1-w):
		return DissolvesBarely
	}
	return DissolvesNot
}
