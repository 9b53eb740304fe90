package water

import "math"

// One German degree of carbonate hardness is 10 mg of CaO per litre, and a mole of CaO takes up two equivalents of
// acid. The trade rounds to 2.8 dKH per meq/L, 50 mg CaCO3 per meq and 17.86 mg/L CaCO3 per dKH; that is up to 0.14 %
// off and not used here, since the two must not be mixed in one calculation.
//
// Published definition (confirmed on several public pages, the standard itself not read); factors computed.
const (
	// DKHPerMeq is dKH for one meq/L: 56.077/20 = 2.80385.
	DKHPerMeq = (wCa + wO) / 20
	// CaCO3PerMeq is mg of CaCO3 that takes up one meq of acid: 100.086/2 = 50.043.
	CaCO3PerMeq = (wCa + wC + 3*wO) / 2
	// hco3PerMeq is mg of bicarbonate for one meq.
	hco3PerMeq = wH + wC + 3*wO
)

// alkalinityUnits has the units of alkalinity. Plain mg/L is not among them: of what is not said, and the answers
// differ by a fifth.
var alkalinityUnits = []spelled{
	{Unit{"dKH", ratio{1, 1}}, []string{"dkh", "°dkh", "kh", "°kh", "°dh", "dh", "degdkh", "degkh", "degdh", "degreeskh",
		"germandegrees", "°d"}},
	{Unit{"meq/L", ratio{DKHPerMeq, 1}}, []string{"meq/l", "meq", "mval/l", "mval"}},
	{Unit{"mmol/L", ratio{DKHPerMeq, 1}}, []string{"mmol/l", "mm"}}, // of acid taken up
	{Unit{"umol/L", ratio{DKHPerMeq, 1e3}}, []string{"umol/l", "ueq/l", "um"}},
	{Unit{"umol/kg", ratio{DKHPerMeq * reefDensity, 1e3}}, []string{"umol/kg", "ueq/kg"}},
	{Unit{"meq/kg", ratio{DKHPerMeq * reefDensity, 1}}, []string{"meq/kg", "mmol/kg"}},
	{Unit{"mg/L CaCO3", ratio{DKHPerMeq, CaCO3PerMeq}}, []string{"mg/lcaco3", "caco3mg/l", "mgcaco3/l"}},
	{Unit{"ppm CaCO3", ratio{DKHPerMeq, CaCO3PerMeq}}, []string{"ppmcaco3", "caco3ppm"}},
	{Unit{"mg/L HCO3", ratio{DKHPerMeq, hco3PerMeq}}, []string{"mg/lhco3", "hco3mg/l", "mghco3/l", "ppmhco3", "hco3ppm",
		"mg/lbicarbonate", "bicarbonatemg/l", "mgbicarbonate/l", "ppmbicarbonate", "bicarbonateppm"}},
}

// Growing coral lays down calcium carbonate: Ca2+ + 2 HCO3- -> CaCO3 + CO2 + H2O. One mole takes one mole of calcium
// and two equivalents of alkalinity.
//
// CalciumPerDKH is mg/L of calcium that goes with 1 dKH of alkalinity into CaCO3: 40.078/2/2.80385 = 7.147 (computed).
const CalciumPerDKH = wCa / 2 / DKHPerMeq

// CalciumForAlkalinity is mg/L of calcium consumed by calcification that consumed so many dKH.
func CalciumForAlkalinity(dKH float64) float64 { return dKH * CalciumPerDKH }

// CalcificationRatio is moles of alkalinity consumed for each mole of calcium consumed, from demands in dKH and mg/L
// over the same time: exactly 2 for pure calcium carbonate. NaN unless both are positive.
//
// Observed (published; abstract read): 2.06 ± 0.19 for corals alone, 1.60 ± 0.14 for a mixed reef community whose
// sediment gave alkalinity back. Murillo L.J.A., Jokiel P.L. & Atkinson M.J. (2014) Alkalinity to calcium flux ratios
// for corals and coral reef communities. PeerJ 2, e249.
func CalcificationRatio(dKH, calciumMgL float64) float64 {
	if !(dKH > 0 && calciumMgL > 0) {
		return math.NaN()
	}
	return dKH / DKHPerMeq / (calciumMgL / wCa)
}
