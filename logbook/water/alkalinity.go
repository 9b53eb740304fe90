package water

// One German degree of carbonate hardness is 10 mg of CaO per litre, and a mole of CaO takes up two equivalents of acid.
// The trade rounds to 2.8 dKH per meq/L, 50 mg CaCO3 per meq and 17.86 mg/L CaCO3 per dKH; that is up to 0.14 % off and
// not used here, since the two must not be mixed in one calculation.
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

// alkalinityUnits lists the units of alkalinity. Plain mg/L is not among them: of what is not said, and the answers
// differ by a fifth.
func alkalinityUnits() []Unit {
	return []Unit{
		{"dKH", ratio{1, 1}},
		{"meq/L", ratio{DKHPerMeq, 1}},
		{"mmol/L", ratio{DKHPerMeq, 1}}, // of acid taken up
		{"umol/L", ratio{DKHPerMeq, 1e3}},
		{"umol/kg", ratio{DKHPerMeq * reefDensity, 1e3}},
		{"meq/kg", ratio{DKHPerMeq * reefDensity, 1}},
		{"mg/L CaCO3", ratio{DKHPerMeq, CaCO3PerMeq}},
		{"ppm CaCO3", ratio{DKHPerMeq, CaCO3PerMeq}},
		{"mg/L HCO3", ratio{DKHPerMeq, hco3PerMeq}},
	}
}

func findAlkalinity(folded string) (Unit, bool) {
	units := alkalinityUnits()
	switch folded {
	case "dkh", "°dkh", "kh", "°kh", "°dh", "dh", "degdkh", "degkh", "degdh", "degreeskh", "germandegrees", "°d":
		return units[0], true
	case "meq/l", "meq", "mval/l", "mval":
		return units[1], true
	case "mmol/l", "mm":
		return units[2], true
	case "umol/l", "ueq/l", "um":
		return units[3], true
	case "umol/kg", "ueq/kg":
		return units[4], true
	case "meq/kg", "mmol/kg":
		return units[5], true
	}
	for _, spelling := range []string{"mg/l", "ppm"} {
		switch label, ok := besides(folded, spelling); {
		case !ok:
		case label == "caco3" && spelling == "ppm":
			return units[7], true
		case label == "caco3":
			return units[6], true
		case label == "hco3" || label == "bicarbonate":
			return units[8], true
		}
	}
	return Unit{}, false
}
