package study

// ConsumerKind is a sort of tank that differs from the ordinary one in a single point, to see what an estimate of demand
// owes to the ordinary one being as it is.
type ConsumerKind struct {
	Name   string
	change func(*consumed)
}

// ConsumerKinds lists the sorts, the ordinary one first.
func ConsumerKinds() []ConsumerKind {
	return []ConsumerKind{
		{"ordinary", func(*consumed) {}},
		{"no swing from day to day", func(p *consumed) { p.swing = [2]float64{0, 0} }},
		{"twice the swing", func(p *consumed) { p.swing = [2]float64{0.08, 0.15} }},
		{"swing of a few days", func(p *consumed) { p.swingDays = [2]float64{2, 6} }},
		{"no growth", func(p *consumed) { p.doubling = [2]float64{1e6, 2e6} }},
		{"doubling within six to eight months", func(p *consumed) { p.doubling = [2]float64{183, 240} }},
		{"tested weekly", func(p *consumed) { p.every = [2]float64{6, 8} }},
		{"tested weekly, no swing", func(p *consumed) { p.every, p.swing = [2]float64{6, 8}, [2]float64{0, 0} }},
		{"steps four times as coarse", func(p *consumed) { p.step = [2]float64{4 * p.step[0], 4 * p.step[1]} }},
		{"half the demand", func(p *consumed) { p.perDay /= 2 }},
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
	}
	return alkalinity, calcium
}
