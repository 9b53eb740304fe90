package trend

import (
	"math"
	"math/rand/v2"
	"sort"
)

// ray is a reading on its way through a sort: as the slope b grows, readings change places.
type ray struct {
	key float64 // y − b·t
	pos int32   // place before the sort
	id  int32   // index of the reading, times four, and its role
}

// Roles: what can be seen of a reading in a comparison. A number can be the smaller or the larger of two; "below a
// limit" can only ever be seen to be the smaller, "above a limit" only the larger.
const (
	canLow  int32 = 1
	canHigh int32 = 2
	canBoth       = canLow | canHigh
)

var roles = [...]int32{Exact: canBoth, Below: canLow, Above: canHigh}

func (r ray) low() int32  { return r.id & 1 }
func (r ray) high() int32 { return r.id >> 1 & 1 }

// weight is in how many ways round a pair can be ordered.
func weight(a, b int32) int32 { return a&1*(b>>1&1) + a>>1&1*(b&1) }

// counter is a stable merge sort by key that counts the pairs it exchanges, each with its weight, and on request draws
// some of them.
type counter struct {
	spare  []ray // as long as the longest sort
	count  int64
	rises  int64 // of count: pairs whose first reading can be the smaller and second the larger
	next   int64 // count at which the next pair is drawn
	stride int64
	drawn  [][2]int32
	random *rand.Rand
}

// draw sorts, which will exchange the given weight of pairs, and draws about the wanted number of them at random.
func (c *counter) draw(a []ray, wanted, weight int64) [][2]int32 {
	c.drawn = make([][2]int32, 0, wanted+wanted/8)
	c.stride = max(weight/wanted, 1)
	c.next = c.random.Int64N(c.stride)
	c.sort(a)
	c.stride = 0
	return c.drawn
}

// sort sorts and returns the weight of the pairs exchanged.
func (c *counter) sort(a []ray) int64 {
	c.count, c.rises = 0, 0
	if c.stride == 0 {
		c.next = math.MaxInt64
	}
	c.split(a)
	return c.count
}

func (c *counter) split(a []ray) {
	if len(a) <= 8 {
		c.insert(a)
		return
	}
	mid := len(a) / 2
	c.split(a[:mid])
	c.split(a[mid:])
	if a[mid-1].key > a[mid].key {
		c.join(a, mid)
	}
}

func (c *counter) insert(a []ray) {
	for i := 1; i < len(a); i++ {
		r := a[i]
		j := i
		for ; j > 0 && a[j-1].key > r.key; j-- {
			l := a[j-1]
			a[j] = l
			c.count += int64(weight(l.id, r.id))
			c.rises += int64(l.low() * r.high())
			if c.count > c.next {
				c.take(a[j:j+1], r)
			}
		}
		a[j] = r
	}
}

// join merges the sorted halves. Only what overlaps is touched: between two near slopes that is little.
func (c *counter) join(a []ray, mid int) {
	first, last := a[mid].key, a[mid-1].key // of the right half, of the left one
	from := sort.Search(mid, func(i int) bool { return a[i].key > first })
	to := mid + sort.Search(len(a)-mid, func(i int) bool { return a[mid+i].key >= last })
	left := c.spare[:mid-from]
	copy(left, a[from:mid])
	var low, high int64 // of the left readings not yet passed
	for _, l := range left {
		low += int64(l.low())
		high += int64(l.high())
	}
	out := a[from:to]
	i, j, k := 0, mid-from, 0
	for i < len(left) && j < len(out) {
		if l := left[i]; l.key <= out[j].key {
			low -= int64(l.low())
			high -= int64(l.high())
			out[k] = l
			i++
		} else {
			r := out[j]
			up := low * int64(r.high())
			c.count += up + high*int64(r.low())
			c.rises += up
			if c.count > c.next {
				c.take(left[i:], r)
			}
			out[k] = r
			j++
		}
		k++
	}
	copy(out[k:], left[i:])
}

// take draws from the pairs just counted: those of r with the given readings.
func (c *counter) take(left []ray, r ray) {
	for c.count > c.next {
		at := c.random.IntN(len(left))
		for weight(left[at].id, r.id) == 0 { // one of them has a weight, or nothing had been counted
			at = (at + 1) % len(left)
		}
		c.drawn = append(c.drawn, [2]int32{left[at].id >> 2, r.id >> 2})
		c.next += 1 + c.random.Int64N(2*c.stride-1)
	}
}
