package trend

import "math"

// exactByInversions is the share of all orders of values in groups of the given sizes, over as many different times,
// whose |S| is at least |s|.
//
// S is the number of untied pairs less twice the number of inversions, and inversions of a multiset are distributed as
// the coefficients of the Gaussian multinomial [n]!/∏[k]!. That is built group by group from the Gaussian binomials
//
//	[m+k over k] = ∏_{i=1..k} (1−q^(m+i))/(1−q^i)
//
// as far as the tail reaches, in shares rather than counts. In the lower tail each coefficient is at least as large as
// those before it, so that the differences keep their digits.
func exactByInversions(sizes []int, s int64) float64 {
	if s == 0 {
		return 1
	}
	untied, m := 0, 0
	for _, k := range sizes {
		untied += m * k
		m += k
	}
	return min(2*inversionTail(sizes, (untied-int(max(s, -s)))/2), 1)
}

// inversionTail is the chance of at most most inversions in a random order of a multiset.
func inversionTail(sizes []int, most int) float64 {
	if most < 0 {
		return 0
	}
	f, g := make([]float64, most+1), make([]float64, most+1)
	f[0] = 1
	m, reach := 0, 0 // reach: the largest number of inversions so far
	for _, k := range sizes {
		for i := 1; i <= k; i++ {
			share := float64(i) / float64(m+i)
			reach = min(reach+m, most)
			for q := 0; q <= reach; q++ {
				v := f[q] * share
				if q >= i {
					v += g[q-i]
				}
				if q >= m+i {
					v -= f[q-m-i] * share
				}
				g[q] = max(v, 0)
			}
			f, g = g, f
		}
		m += k
	}
	sum := 0.0
	for _, v := range f {
		sum += v
	}
	return sum
}

// twoSidedQuantile is z with a chance of level between −z and z.
func twoSidedQuantile(level float64) float64 { return math.Sqrt2 * math.Erfinv(level) }
