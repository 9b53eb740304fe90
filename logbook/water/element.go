package water

// Abridged standard atomic weights 2021, g/mol.
//
// Reference (published; read through a public transcription of its table): Prohaska T. et al. (2022) Standard atomic
// weights of the elements 2021 (IUPAC Technical Report). Pure Appl. Chem. 94(5), 573-600.
const (
	wH  = 1.008
	wB  = 10.81
	wC  = 12.011
	wN  = 14.007
	wO  = 15.999
	wNa = 22.990
	wMg = 24.305
	wSi = 28.085
	wP  = 30.974
	wS  = 32.06
	wCl = 35.45
	wK  = 39.098
	wCa = 40.078
	wSr = 87.62
	wI  = 126.90
)
