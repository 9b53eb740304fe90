package water

// Abridged standard atomic weights 2021, g/mol.
//
// Reference (published; read through a public transcription of its table): Prohaska T. et al. (2022) Standard atomic
// weights of the elements 2021 (IUPAC Technical Report). Pure Appl. Chem. 94(5), 573-600.
const (
	wH  = 1.008
	wLi = 6.94
	wB  = 10.81
	wC  = 12.011
	wN  = 14.007
	wO  = 15.999
	wF  = 18.998
	wNa = 22.990
	wMg = 24.305
	wSi = 28.085
	wP  = 30.974
	wS  = 32.06
	wCl = 35.45
	wK  = 39.098
	wCa = 40.078
	wMn = 54.938
	wFe = 55.845
	wCu = 63.546
	wZn = 65.38
	wBr = 79.904
	wSr = 87.62
	wMo = 95.95
	wI  = 126.90
	wBa = 137.33
)

// AtomicWeight returns the abridged standard atomic weight of an element in g/mol, and whether it is in the table. The
// table holds the elements met in seawater and in the salts dosed to it.
func AtomicWeight(symbol string) (weight float64, ok bool) {
	switch symbol {
	case "H":
		return wH, true
	case "Li":
		return wLi, true
	case "B":
		return wB, true
	case "C":
		return wC, true
	case "N":
		return wN, true
	case "O":
		return wO, true
	case "F":
		return wF, true
	case "Na":
		return wNa, true
	case "Mg":
		return wMg, true
	case "Si":
		return wSi, true
	case "P":
		return wP, true
	case "S":
		return wS, true
	case "Cl":
		return wCl, true
	case "K":
		return wK, true
	case "Ca":
		return wCa, true
	case "Mn":
		return wMn, true
	case "Fe":
		return wFe, true
	case "Cu":
		return wCu, true
	case "Zn":
		return wZn, true
	case "Br":
		return wBr, true
	case "Sr":
		return wSr, true
	case "Mo":
		return wMo, true
	case "I":
		return wI, true
	case "Ba":
		return wBa, true
	}
	return 0, false
}
