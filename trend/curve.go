package trend

import "math"

// A constant amount r per day moves the logarithm of the level by log(1 ± r·days/level): one curve of log(level) −
// log(r·days) for falls and one for rises, whatever rate, days and level. So they are tabulated once, four points a cell,
// and read off by adding.
type curves struct {
	fall, rise curve
}

// curve is a shift, in cells, at points a quarter of a cell apart.
type curve struct {
	from   int       // the first point, in quarter cells
	below  float64   // growth of the shift per quarter cell below the first point
	points []float64 // beyond the last point the shift is 0
}

const (
	curvePoints = 4    // per cell
	leastLeft   = 0.05 // the last twentieth of a level is not taken: what is used up cannot be used further
)

func newCurves(width float64) curves {
	tabulate := func(lo, hi, below float64, shift func(x float64) float64) curve {
		c := curve{from: int(math.Floor(lo * curvePoints / width)), below: below}
		last := int(hi * curvePoints / width)
		c.points = make([]float64, 0, last-c.from+1)
		for i := c.from; i <= last; i++ {
			c.points = append(c.points, shift(math.Exp(-float64(i)*width/curvePoints))/width)
		}
		return c
	}
	const high = 7 // a thousandth of the level
	return curves{
		fall: tabulate(0, high, 0, func(x float64) float64 { return math.Log(math.Max(1-x, leastLeft)) }),
		rise: tabulate(-4, high, 1.0/curvePoints, func(x float64) float64 { return math.Log1p(x) }),
	}
}

// over reads the shifts at the columns of s into out[s.from:s.to]. amount is where the level equals what is moved in all,
// in columns.
func (c *curve) over(s span, amount float64, out []float64) {
	at := curvePoints * (float64(s.from) - amount)
	whole := math.Floor(at)
	part := at - whole
	j := int(whole) - c.from
	i := s.from
	for ; i < s.to && j < 0; i, j = i+1, j+curvePoints {
		out[i] = c.points[0] + c.below*(-float64(j)-part)
	}
	for ; i < s.to && j+1 < len(c.points); i, j = i+1, j+curvePoints {
		out[i] = (1-part)*c.points[j] + part*c.points[j+1]
	}
	for ; i < s.to; i++ {
		out[i] = 0
	}
}
