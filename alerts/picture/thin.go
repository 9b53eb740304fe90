package picture

import (
	"math"
	"slices"
	"time"

	"leadline/logbook"
)

// stretches is how many parts of its time a chart can show apart: more than a pixel each of a picture, and several
// for every column of a wide terminal.
const stretches = 1000

// thin leaves out readings that no chart could show apart: of every small stretch of time the first, the last, the
// lowest and the highest stay.
func thin(rs []logbook.Reading, from, to time.Time) []logbook.Reading {
	if len(rs) <= 4*stretches {
		return rs
	}
	share := float64(to.Sub(from)) / stretches
	out := make([]logbook.Reading, 0, 4*stretches)
	for i := 0; i < len(rs); {
		at := math.Floor(float64(rs[i].Time.Sub(from)) / share)
		lowest, highest, j := i, i, i
		for ; j < len(rs) && math.Floor(float64(rs[j].Time.Sub(from))/share) == at; j++ {
			if rs[j].Value < rs[lowest].Value {
				lowest = j
			}
			if rs[j].Value > rs[highest].Value {
				highest = j
			}
		}
		keep := []int{i, lowest, highest, j - 1}
		slices.Sort(keep)
		for _, k := range slices.Compact(keep) {
			out = append(out, rs[k])
		}
		i = j
	}
	return out
}
