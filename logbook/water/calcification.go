package water

import "math"

// Growing coral lays down calcium carbonate: Ca2+ + 2 HCO3- -> CaCO3 + CO2 + H2O. One mole takes one mole of calcium and
// two equivalents of alkalinity.
const (
	// CalciumPerDKH is mg/L of calcium that goes with 1 dKH of alkalinity into CaCO3: 40.078/2/2.80385 = 7.147
	// (computed).
	CalciumPerDKH = wCa / 2 / DKHPerMeq
	// CaCO3PerDKH is mg/L of CaCO3 laid down for 1 dKH: 17.848 (computed).
	CaCO3PerDKH = CaCO3PerMeq / DKHPerMeq
	// SaltPerDKH is mg/L of NaCl left in the water by 1 dKH replaced with calcium chloride and bicarbonate, 1 mmol for
	// each meq: 20.84 (computed). At 1 dKH a day salinity creeps up by about 0.6 g/L in a month unless water is changed.
	SaltPerDKH = (wNa + wCl) / DKHPerMeq
	// AlkalinityPerNitrate is dKH gained for each mg/L of nitrate taken up, 1 eq per mole: 0.0452 (computed; the uptake
	// ratio after Brewer & Goldman 1976 and Wolf-Gladrow et al. 2007, from memory). Nitrification loses twice as much.
	AlkalinityPerNitrate = DKHPerMeq / (wN + 3*wO)
)

// CalciumForAlkalinity is mg/L of calcium consumed by calcification that consumed so many dKH.
func CalciumForAlkalinity(dKH float64) float64 { return dKH * CalciumPerDKH }

// CaCO3ForAlkalinity is mg/L of calcium carbonate laid down by calcification that consumed so many dKH.
func CaCO3ForAlkalinity(dKH float64) float64 { return dKH * CaCO3PerDKH }

// SkeletonMass is the grams of calcium carbonate laid down in a tank of net volume litres that consumed so many dKH.
func SkeletonMass(dKH, litres float64) (float64, error) {
	if err := mustBePositive("net volume in L", litres); err != nil {
		return 0, err
	}
	if err := mustNotBeNegative("alkalinity consumed in dKH", dKH); err != nil {
		return 0, err
	}
	return dKH * CaCO3PerDKH * litres / 1000, nil
}

// CalcificationRatio is moles of alkalinity consumed for each mole of calcium consumed, from demands in dKH and mg/L over
// the same time: exactly 2 for pure calcium carbonate. NaN unless both are positive.
//
// Observed (published; abstract read): 2.06 ± 0.19 for corals alone, 1.60 ± 0.14 for a mixed reef community whose
// sediment gave alkalinity back. Murillo L.J.A., Jokiel P.L. & Atkinson M.J. (2014) Alkalinity to calcium flux ratios for
// corals and coral reef communities. PeerJ 2, e249.
func CalcificationRatio(dKH, calciumMgL float64) float64 {
	if !(dKH > 0 && calciumMgL > 0) {
		return math.NaN()
	}
	return dKH / DKHPerMeq / (calciumMgL / wCa)
}
