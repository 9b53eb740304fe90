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
	for _, e := range elements {
		if e.symbol == symbol {
			return e.weight, true
		}
	}
	return 0, false
}

// elements is the table, in the order in which masses are added up, so that a formula always weighs the same to the
// last bit. It is only read.
var elements = [...]struct {
	symbol string
	weight float64
}{
	{"H", wH}, {"Li", wLi}, {"B", wB}, {"C", wC}, {"N", wN}, {"O", wO}, {"F", wF}, {"Na", wNa},
	{"Mg", wMg}, {"Si", wSi}, {"P", wP}, {"S", wS}, {"Cl", wCl}, {"K", wK}, {"Ca", wCa}, {"Mn", wMn},
	{"Fe", wFe}, {"Cu", wCu}, {"Zn", wZn}, {"Br", wBr}, {"Sr", wSr}, {"Mo", wMo}, {"I", wI}, {"Ba", wBa},
}
