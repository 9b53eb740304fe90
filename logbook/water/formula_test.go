package water

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestMolarMasses(t *testing.T) {
	for _, row := range []struct {
		formula string
		want    float64
		source  string
	}{
		{"CaCl2", 110.978, "dosing.json, by hand"},
		{"CaCl2·2H2O", 147.008, "dosing.json, by hand"},
		{"CaCl2.2H2O", 147.008, "dosing.json, by hand"},
		{"CaCl2*2H2O", 147.008, "dosing.json, by hand"},
		{"CaCl₂ · 2 H₂O", 147.008, "dosing.json, by hand"},
		{"Mg(OH)2", 24.305 + 2*(15.999+1.008), "by hand"},
		{"Ca(NO3)2.4H2O", 236.146, "dosing.json, by hand"},
		{"Ca[NO3]2.4H2O", 236.146, "dosing.json, by hand"},
		{"Na3PO4.12H2O", 380.120, "dosing.json, by hand"},
		{"SrCl2.6H2O", 266.610, "dosing.json, by hand"},
		{"B(OH)3", 61.831, "units.json molar_masses_g_mol"},
		{"Si(OH)4", 96.113, "units.json molar_masses_g_mol"},
		{"2P", 61.948, "units.json p_to_p2o5"},
		{"CaSO4.0.5H2O", 40.078 + 32.06 + 4*15.999 + 0.5*18.015, "by hand"},
		{"Mg3(PO4(H))2", 3*24.305 + 2*(94.970+1.008), "by hand"},
	} {
		got, err := MolarMass(row.formula)
		if err != nil || math.Abs(got-row.want) > 1e-9 {
			t.Errorf("MolarMass(%q) = %v, %v; want %v (%s)", row.formula, got, err, row.want, row.source)
		}
	}
}

func TestFormulasRefused(t *testing.T) {
	for _, text := range []string{
		"", "2", "Xx", "cacl2", "Ca(OH", "Ca)OH", "Ca(OH]2", "CaCl2..2H2O", "Ca()2", "NO3-", "Ca2+", "H0", "CaCl2·", "9999H",
		"Ca\x00garbage", "Ca\x00",
		strings.Repeat("(", 50) + "H" + strings.Repeat(")", 50), strings.Repeat("H", longestFormula+1),
	} {
		if f, err := ParseFormula(text); err == nil {
			t.Errorf("%q was read as %v", text, f.atoms)
		} else if !strings.Contains(err.Error(), "formula") {
			t.Errorf("%q: the message does not say what was being read: %v", text, err)
		}
	}
}

// A formula built from parts weighs what the parts weigh.
func TestMolarMassAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text, want := "", 0.0
		for _, i := range rapid.SliceOfN(rapid.IntRange(0, len(elements)-1), 1, 6).Draw(t, "elements") {
			text += "(" + elements[i].symbol + "2)3"
			want += 6 * elements[i].weight
		}
		got, err := MolarMass("2" + text + "·5H2O")
		if want = 2*want + 5*18.015; err != nil || math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%s: %v, %v; want %v", text, got, err, want)
		}
	})
}

// The table of atomic weights is that of the source.
func TestAtomicWeights(t *testing.T) {
	var reference struct {
		Weights struct {
			Table map[string]struct{ Abridged float64 } `json:"table"`
		} `json:"atomic_weights"`
		Molar map[string]float64 `json:"molar_masses_g_mol"`
	}
	readReference(t, "units.json", &reference)
	if len(reference.Weights.Table) != len(elements) {
		t.Errorf("%d elements in the source, %d here", len(reference.Weights.Table), len(elements))
	}
	for symbol, want := range reference.Weights.Table {
		if got, ok := AtomicWeight(symbol); !ok || got != want.Abridged {
			t.Errorf("%s weighs %v, want %v", symbol, got, want.Abridged)
		}
	}
	for formula, want := range reference.Molar {
		if got, err := MolarMass(formula); err != nil || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s weighs %v, %v; want %v", formula, got, err, want)
		}
	}
}

// readReference reads a file of published and computed values from testdata/reference.
func readReference(t *testing.T, name string, into any) {
	t.Helper()
	data, err := os.ReadFile("../../testdata/reference/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}
