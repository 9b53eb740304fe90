package water

import (
	"encoding/json"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// molarMass weighs a formula such as "Ca(NO3)2.4H2O" or "2P" by the table of atomic weights that the file of units
// prints, which is where the masses in the code come from.
func molarMass(t *testing.T, formula string) (mass float64) {
	t.Helper()
	weights := atomicWeights(t)
	for _, part := range strings.Split(formula, ".") {
		times, group := split(part)
		mass += times * groupMass(t, weights, group)
	}
	return mass
}

var groups = regexp.MustCompile(`(?:\(([A-Za-z0-9]+)\)|([A-Z][a-z]?))([0-9]*)`)

func groupMass(t *testing.T, weights map[string]float64, group string) (mass float64) {
	t.Helper()
	for _, m := range groups.FindAllStringSubmatch(group, -1) {
		times := 1.0
		if m[3] != "" {
			times, _ = strconv.ParseFloat(m[3], 64)
		}
		if m[1] != "" {
			mass += times * groupMass(t, weights, m[1])
		} else if w, ok := weights[m[2]]; ok {
			mass += times * w
		} else {
			t.Fatalf("%s has no atomic weight", m[2])
		}
	}
	return mass
}

// split parts the number before a formula from it; none is 1.
func split(part string) (times float64, formula string) {
	formula = strings.TrimLeft(part, "0123456789")
	times, err := strconv.ParseFloat(part[:len(part)-len(formula)], 64)
	if err != nil {
		times = 1
	}
	return times, formula
}

func atomicWeights(t *testing.T) map[string]float64 {
	t.Helper()
	var reference struct {
		Weights struct {
			Table map[string]struct{ Abridged float64 } `json:"table"`
		} `json:"atomic_weights"`
	}
	readReference(t, "units.json", &reference)
	weights := map[string]float64{}
	for symbol, of := range reference.Weights.Table {
		weights[symbol] = of.Abridged
	}
	return weights
}

// The atomic weights in the code are those of the source, and so are the masses that the source sums up.
func TestAtomicWeights(t *testing.T) {
	weights := atomicWeights(t)
	for symbol, got := range map[string]float64{"H": wH, "B": wB, "C": wC, "N": wN, "O": wO, "Na": wNa, "Mg": wMg,
		"Si": wSi,
		"P":  wP, "S": wS, "Cl": wCl, "K": wK, "Ca": wCa, "Sr": wSr, "I": wI} {
		if got != weights[symbol] {
			t.Errorf("%s weighs %v, want %v", symbol, got, weights[symbol])
		}
	}
	var reference struct {
		Molar map[string]float64 `json:"molar_masses_g_mol"`
	}
	readReference(t, "units.json", &reference)
	for formula, want := range reference.Molar {
		if got := molarMass(t, formula); math.Abs(got-want) > 1e-9 {
			t.Errorf("%s weighs %v; want %v", formula, got, want)
		}
	}
	for _, parameter := range parameters() {
		for _, s := range speciesOf[parameter] {
			if got := molarMass(t, s.label); math.Abs(got-s.molar) > 1e-9 {
				t.Errorf("%s as %s weighs %v; want %v", parameter, s.label, s.molar, got)
			}
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
