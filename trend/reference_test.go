package trend

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// reference reads the cases of a file of reference values, made with other software; its sources, conventions and
// tolerances are inside and in the README beside them.
func reference[T any](t *testing.T, name string) []T {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "testdata", "reference", name))
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []T }
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) == 0 {
		t.Fatalf("%s: no cases", name)
	}
	return file.Cases
}

// orNaN is a number that may be null.
type orNaN float64

func (x *orNaN) UnmarshalJSON(b []byte) error {
	if string(b) == "null" {
		*x = orNaN(math.NaN())
		return nil
	}
	return json.Unmarshal(b, (*float64)(x))
}

// agrees reports whether got is want: both NaN, or within rel·|want| + abs.
func agrees(got, want, rel, abs float64) bool {
	if math.IsNaN(want) || math.IsInf(want, 0) {
		return math.IsNaN(want) && math.IsNaN(got) || got == want
	}
	return math.Abs(got-want) <= rel*math.Abs(want)+abs
}

func check(t *testing.T, what string, got, want, rel, abs float64) {
	t.Helper()
	if !agrees(got, want, rel, abs) {
		t.Errorf("%s = %.17g, want %.17g (off by %.3g)", what, got, want, got-want)
	}
}

// size is the largest absolute value, the scale of absolute tolerances near zero.
func size(v []float64) float64 {
	s := 0.0
	for _, x := range v {
		s = max(s, math.Abs(x))
	}
	return s
}
