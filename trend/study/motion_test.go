package study

import "math"

// shape is how a level moves by itself.
type shape int8

const (
	still    shape = iota
	steadily       // by rate a day
	downTo         // by rate a day, until the goal
	sinking        // by the share rate of what is above the goal a day
	relaxing       // the same, from either side
	growing        // by the share rate of what is missing to the goal a day
)

// motion is what moves a level besides the known supply: a constant rest, and a course. Floors and days.
type motion struct {
	shape      shape
	rest       float64
	rate, goal float64
}

// perDay is the change per day at a level.
func (m motion) perDay(level float64) float64 {
	switch m.shape {
	case steadily:
		return m.rest + m.rate
	case downTo:
		return m.rest - math.Min(m.rate, math.Max(level-m.goal, 0)*perDay)
	case sinking:
		return m.rest - m.rate*math.Max(level-m.goal, 0)
	case relaxing:
		return m.rest - m.rate*(level-m.goal)
	case growing:
		return m.rest + m.rate*math.Max(m.goal-level, 0)
	default:
		return m.rest
	}
}
