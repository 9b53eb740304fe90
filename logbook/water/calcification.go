package water

import "math"

// Growing coral lays down calcium carbonate: Ca2+ + 2 HCO3- -> CaCO3 + CO2 + H2O. One mole takes one mole of calcium and
// two equivalents of alkalinity.
//
// CalciumPerDKH is mg/L of calcium that goes with 1 dKH of alkalinity into CaCO3: 40.078/2/2.80385 = 7.147 (computed).
const CalciumPerDKH = wCa / 2 / DKHPerMeq

// CalciumForAlkalinity is mg/L of calcium consumed by calcification that consumed so many dKH.
func CalciumForAlkalinity(dKH float64) float64 { return dKH * CalciumPerDKH }

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
