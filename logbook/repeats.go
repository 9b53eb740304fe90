package logbook

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Mean takes several results of one test, as in "4.2 4.4 4.1", for one reading: their mean, to one decimal more than they
// were read with. repeats says which they were, for the note. A single value comes back as it is.
func Mean(value string) (mean, repeats string, err error) {
	words := strings.Fields(value)
	if len(words) < 2 || strings.ContainsAny(words[0], "<>≤≥=") {
		return value, "", nil
	}
	for i, w := range words {
		if words[i], err = PointFor(w); err != nil {
			return "", "", err
		}
	}
	sum, decimals := 0.0, 0
	low, high := math.Inf(1), math.Inf(-1)
	for _, w := range words {
		v, bound, err := ParseValue(w)
		if err != nil {
			return "", "", err
		}
		if bound != Exact {
			return "", "", fmt.Errorf("%s cannot be averaged: it is only a bound", Clean(w))
		}
		sum += v
		low, high = math.Min(low, v), math.Max(high, v)
		if _, after, ok := strings.Cut(w, "."); ok {
			decimals = max(decimals, len(after))
		}
	}
	mean = strconv.FormatFloat(sum/float64(len(words)), 'f', decimals+1, 64)
	return mean, fmt.Sprintf("mean of %s, spread %s", strings.Join(words, ", "), strconv.FormatFloat(high-low, 'f', decimals, 64)), nil
}
