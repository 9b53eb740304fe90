package water

// MgPerL turns umol of a substance per kg of seawater, as oceanographers write, into mg/L at practical salinity s and t
// °C: umol/kg × M / 1000 × density in kg/L. Molar is its molar mass in g/mol.
func MgPerL(umolPerKg, molar, s, t float64) float64 {
	return MgPerKg(umolPerKg, molar) * Density(s, t) / 1000
}

// MgPerKg turns umol/kg into mg/kg.
func MgPerKg(umolPerKg, molar float64) float64 { return umolPerKg * molar / 1000 }

// PerKilogram turns an amount per litre of seawater of practical salinity s at t °C into the amount per kg. Ppm by mass
// is mg/kg; the trade's ppm is mg/L. The two are 2.3 % apart in reef water.
func PerKilogram(perLitre, s, t float64) float64 { return perLitre / (Density(s, t) / 1000) }

// MeqPerL turns an alkalinity in umol/kg into meq/L at practical salinity s and t °C.
func MeqPerL(umolPerKg, s, t float64) float64 { return umolPerKg / 1000 * Density(s, t) / 1000 }

// TotalHardness is the hardness of calcium and magnesium, both in mg/L, as mg/L of CaCO3. One German degree of general
// hardness (dGH) is CaCO3PerDKH of it.
func TotalHardness(calcium, magnesium float64) float64 {
	return (calcium/wCa + magnesium/wMg) * (wCa + wC + 3*wO)
}

// NitrogenToPhosphorus is moles of nitrogen in nitrate for each mole of phosphorus in phosphate, both ions in mg/L. The
// plankton and deep water of the ocean hold 16 (published: Redfield A.C. (1934); Redfield, Ketchum & Richards (1963)),
// which describes them and is no target for a tank. Infinite without phosphate, NaN without both.
func NitrogenToPhosphorus(nitrate, phosphate float64) float64 {
	return (nitrate / (wN + 3*wO)) / (phosphate / (wP + 4*wO))
}
