package water

import "cmp"

// Limewater is what a dose of limewater adds to a tank.
type Limewater struct {
	AlkalinityDKH float64
	AlkalinityMeq float64 // meq/L
	CalciumMgL    float64
}

// LimewaterDose returns what so many litres of limewater with molPerL mol of Ca(OH)2 per litre add to a tank of net
// volume litres. Limewater is commonly given in place of evaporated water: then the volume stays what it is. Where it is
// not, the tank holds more water afterwards, the addition spreads over that, and everything else in it is diluted.
//
//	alkalinity [meq/L] = 2000 mol/L added / V,  calcium [mg/L] = 40078 mol/L added / V
//
// Evaporation limits it: with 1 % of the volume evaporated a day, saturated limewater adds at most 1.14 dKH and 8.1 mg/L
// of calcium a day (computed).
func LimewaterDose(molPerL, addedLitres, litres float64, replacesEvaporation bool) (Limewater, error) {
	if err := cmp.Or(mustBePositive("limewater in mol/L", molPerL), mustNotBeNegative("limewater added in L", addedLitres), mustBePositive("net volume in L", litres)); err != nil {
		return Limewater{}, err
	}
	if !replacesEvaporation {
		litres += addedLitres
	}
	mol := molPerL * addedLitres / litres
	return Limewater{
		AlkalinityDKH: 2000 * mol * DKHPerMeq,
		AlkalinityMeq: 2000 * mol,
		CalciumMgL:    1000 * wCa * mol,
	}, nil
}
