package study

import "leadline/trend"

// ConsumerKind is a sort of tank that differs from the ordinary one in a single point, to see what an estimate of
// demand owes to the ordinary one being as it is.
type ConsumerKind struct {
	Name   string
	change func(*consumed)
	blind  bool // the keeper never described the method: the engine sees the common kit's spread and step
}

// ConsumerKinds lists the sorts, the ordinary one first.
func ConsumerKinds() []ConsumerKind {
	return []ConsumerKind{
		{"ordinary", func(*consumed) {}, false},
		{"method not described", func(*consumed) {}, true},
		{"no swing from day to day", func(p *consumed) { p.swing = [2]float64{0, 0} }, false},
		{"twice the swing", func(p *consumed) { p.swing = [2]float64{0.08, 0.15} }, false},
		{"swing of a few days", func(p *consumed) { p.swingDays = [2]float64{2, 6} }, false},
		{"no growth", func(p *consumed) { p.doubling = [2]float64{1e6, 2e6} }, false},
		{"doubling within six to eight months", func(p *consumed) { p.doubling = [2]float64{183, 240} }, false},
		{"tested weekly", func(p *consumed) { p.every = [2]float64{6, 8} }, false},
		{"tested weekly, no swing", func(p *consumed) { p.every, p.swing = [2]float64{6, 8}, [2]float64{0, 0} }, false},
		{"steps four times as coarse", func(p *consumed) { p.step = [2]float64{4 * p.step[0], 4 * p.step[1]} }, false},
		{"half the demand", func(p *consumed) { p.perDay /= 2 }, false},
	}
}

// Draw draws so many tanks of the kind, of alkalinity and of calcium.
func (k ConsumerKind) Draw(seed uint64, tanks int) (alkalinity, calcium []Consumer) {
	a, c := alkalinityTaken, calciumTaken
	k.change(&a)
	k.change(&c)
	for i := range tanks {
		alkalinity = append(alkalinity, a.simulate(seed, i))
		calcium = append(calcium, c.simulate(seed, i))
		if k.blind {
			undescribe(alkalinity[i].Obs, 0.25, 0.1)
			undescribe(calcium[i].Obs, 10, 5)
		}
	}
	return alkalinity, calcium
}

// undescribe shows readings as by a kit of which only the usual spread and step are known.
func undescribe(obs []trend.Observation, sd, step float64) {
	for i := range obs {
		o := &obs[i]
		o.Lo, o.Hi, o.SD, o.Described = o.Value-step/2, o.Value+step/2, sd, false
	}
}
