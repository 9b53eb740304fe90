package trend

import "slices"

// pick puts into found[i] the element that would stand at want[i]−base if v were sorted. want must be sorted. v is
// rearranged.
func pick(v []float64, base int64, want []int64, found []float64) {
	for len(want) > 0 {
		if len(v) <= 48 {
			slices.Sort(v)
			for i, w := range want {
				found[i] = v[w-base]
			}
			return
		}
		less, equal := split(v)
		k, _ := slices.BinarySearch(want, base+int64(less))
		pick(v[:less], base, want[:k], found[:k])
		want, found = want[k:], found[k:]
		for len(want) > 0 && want[0] < base+int64(less+equal) {
			found[0] = v[less]
			want, found = want[1:], found[1:]
		}
		v, base = v[less+equal:], base+int64(less+equal)
	}
}

// split puts what is below, equal to and above a middling element in this order, and returns how many are below and
// equal.
func split(v []float64) (less, equal int) {
	n := len(v)
	pivot := medianOfThree(
		medianOfThree(v[0], v[n/8], v[n/4]),
		medianOfThree(v[3*n/8], v[n/2], v[5*n/8]),
		medianOfThree(v[3*n/4], v[7*n/8], v[n-1]))
	lo, i, hi := 0, 0, n
	for i < hi {
		switch x := v[i]; {
		case x < pivot:
			v[lo], v[i] = x, v[lo]
			lo++
			i++
		case x > pivot:
			hi--
			v[i], v[hi] = v[hi], x
		default:
			i++
		}
	}
	return lo, hi - lo
}

// medianOfThree is the median of three.
func medianOfThree(a, b, c float64) float64 {
	return max(min(a, b), min(max(a, b), c))
}
