package trend

import (
	"math"
	"slices"
)

// belief is what is believed about one series at one moment: a weighted sum of Gaussians, the pieces. A piece says
// one thing about what the course is doing (still, or on one of the model's courses) for one member of the bank. It is
// a switching linear Gaussian model (Blom and Bar-Shalom, 1988, IEEE Transactions on Automatic Control 33, 780–783: the
// interacting multiple model; from memory).
type belief struct {
	*model
	scale
	supply  float64 // standing supply in force, canonical unit per day
	habit   habit   // regular inputs, part of the balance that a still course keeps
	day     float64 // of the belief
	since   float64 // days since the last reading
	started bool    // a reading has been seen
	doubt   float64 // standard deviation of a dose that no reading has followed yet, as a share of it
	members []memberBelief
	marks   marks

	mean, variance float64 // of the course's logarithm after the last reading
}

// memberBelief is the part of a belief that takes a member of the bank for true. Its pieces stand in fixed places.
type memberBelief struct {
	member
	sd     float64       // of the wobble, logarithm
	below  func() *below // the table of chances of going below the floor; nil without one
	pieces []piece
}

// Places of pieces: the still ones, then two for each course.
const (
	atRest      = iota // where the course has been for long
	justEnded          // a course that came to rest, or a rest not yet told from the first
	justJumped         // moved by something nobody wrote down, since the last reading
	firstCourse        // settled and young piece of the first course
)

// piece is one Gaussian: of the course's level c (logarithm, in anchors), its slope s (per day; see course), and the
// wobble u (logarithm).
type piece struct {
	motion                 motion
	w                      [restlessKinds]float64 // probability, by how restless the tank is
	c, s, u                float64                // means
	cc, cs, cu, ss, su, uu float64                // covariances
}

func (p *piece) weight() float64 {
	sum := 0.0
	for _, w := range p.w {
		sum += w
	}
	return sum
}

// level is the mean and the variance of the level's logarithm, wobble and all.
func (p *piece) level() (mean, variance float64) { return p.c + p.u, p.cc + 2*p.cu + p.uu }

func (p *piece) scaled(by float64) piece {
	q := *p
	for r := range q.w {
		q.w[r] *= by
	}
	return q
}

// add merges another piece into p: the mean and the covariance are those of the two together.
func (p *piece) add(q *piece) {
	a, b := p.weight(), q.weight()
	if b == 0 {
		return
	}
	if a == 0 {
		kind := p.motion
		*p = *q
		p.motion = kind
		return
	}
	x, y := a/(a+b), b/(a+b)
	dc, ds, du := q.c-p.c, q.s-p.s, q.u-p.u
	p.c, p.s, p.u = p.c+y*dc, p.s+y*ds, p.u+y*du
	p.cc = x*p.cc + y*q.cc + x*y*dc*dc
	p.cs = x*p.cs + y*q.cs + x*y*dc*ds
	p.cu = x*p.cu + y*q.cu + x*y*dc*du
	p.ss = x*p.ss + y*q.ss + x*y*ds*ds
	p.su = x*p.su + y*q.su + x*y*ds*du
	p.uu = x*p.uu + y*q.uu + x*y*du*du
	for r := range p.w {
		p.w[r] += q.w[r]
	}
}

func newBelief(m *model, s scale, bank []member) *belief {
	f := &belief{model: m, scale: s}
	for _, by := range bank {
		mb := memberBelief{member: by, sd: by.wobble * m.wobble, pieces: make([]piece, firstCourse+2*len(m.courses))}
		if m.floored {
			mb.below = m.tableFor(by)
		}
		f.members = append(f.members, mb)
	}
	return f
}

// clone is a copy that can be moved on without touching f.
func (f *belief) clone() *belief {
	c := *f
	c.members = slices.Clone(f.members)
	for i := range c.members {
		c.members[i].pieces = slices.Clone(c.members[i].pieces)
	}
	return &c
}

// each calls a function with every piece that holds anything worth the work.
func (f *belief) each(do func(m *memberBelief, p *piece)) {
	for i := range f.members {
		m := &f.members[i]
		for j := range m.pieces {
			if p := &m.pieces[j]; p.weight() > leastPiece {
				do(m, p)
			}
		}
	}
}

// leastPiece is the probability under which a piece is not worth following; leastMember that under which a member is
// left out for good.
const (
	leastPiece  = 1e-4
	leastMember = 1e-3
)

func sq(x float64) float64 { return x * x }

// begin spreads the belief over all levels, before the first reading.
func (f *belief) begin(o Observation) {
	f.day, f.started, f.since = o.Day, true, 0
	mean, sd := f.start, f.startSD
	if !f.floored {
		mean = math.Log(max(o.Value, o.SD) / f.anchor)
	}
	shares := f.shares()
	for i := range f.members {
		m := &f.members[i]
		base := piece{c: mean, cc: sq(sd), uu: sq(m.sd)}
		for r, calm := range f.calm {
			base.w[r] = m.member.weight * calm
		}
		clear(m.pieces)
		m.pieces[atRest] = base.scaled(1 - f.moving)
		for k, c := range f.courses {
			p := base.scaled(f.moving * shares[k])
			p.motion, p.s, p.ss = c.motion, c.rate, sq(c.spread)
			m.pieces[firstCourse+2*k], m.pieces[firstCourse+2*k+1] = p, piece{motion: c.motion}
		}
	}
	f.mean, f.variance = mean, sq(sd)
}

// longestStep is the longest stretch, in days, over which a change of course is allowed only once; mostSteps bounds
// the work of a long silence.
const (
	longestStep = 7.5
	mostSteps   = 12
)

// predict moves the belief on by some days in which nothing out of the ordinary is put in. The courses are net of
// regular inputs, which are applied one by one as they come; so between them the level drifts the other way.
func (f *belief) predict(days float64) {
	if days <= 0 {
		return
	}
	steps := min(math.Ceil(days/longestStep-1e-9), mostSteps)
	for range int(steps) {
		for i := range f.members {
			f.members[i].step(f.model, days/steps)
		}
		if f.habit.regular() {
			f.mapLevels(func(level float64) float64 { return level - f.habit.perDay(level)*days/steps })
		}
	}
	f.day += days
	f.since += days
}

// step moves a member on by some days, within which a course may begin or end.
func (m *memberBelief) step(by *model, days float64) {
	var ended piece
	var rooms [16]piece
	born := rooms[:len(by.courses)]
	half, whole := m.stride(by, days/2), m.stride(by, days)
	for j := range m.pieces {
		p := &m.pieces[j]
		if p.weight() <= leastPiece {
			p.w = [restlessKinds]float64{}
			continue
		}
		if j < firstCourse {
			m.leave(by, p, half, born)
		} else {
			rest := by.comesToRest(p, days)
			rest.carry(&half)
			rest.motion, rest.s, rest.cs, rest.ss, rest.su = still, 0, 0, 0, 0
			rest.carry(&half)
			ended.add(&rest)
		}
		p.carry(&whole)
	}
	m.pieces[justEnded].add(&ended)
	for k := range born {
		m.pieces[firstCourse+2*k+1].add(&born[k])
	}
}

// leave takes out of a still piece what starts on each course within a step, of which half is given, and adds it,
// moved on, to born.
func (m *memberBelief) leave(by *model, p *piece, half stride, born []piece) {
	days := 2 * half.days
	var leaves [restlessKinds]float64 // chance per unit of onset
	for r, restless := range by.restless {
		leaves[r] = soonChance(by.onset*restless*days) / by.onset
	}
	under := 0.0 // lifted from below the floor
	if by.floored && p.c < 3*math.Sqrt(p.cc) {
		under = by.lift * days * quickCDF(-p.c/math.Sqrt(p.cc))
	}
	stays := p.w
	level := math.Exp(p.c)
	for k, c := range by.courses {
		q := *p
		for r := range q.w {
			share := c.onset * leaves[r]
			if c.rate > 0 {
				share += under / 2
			}
			q.w[r] *= share
			stays[r] = max(stays[r]-q.w[r], 0)
		}
		if q.weight() <= leastPiece {
			continue
		}
		q.motion, q.s, q.ss, q.cs, q.su = c.motion, c.rate, sq(c.spread), 0, 0
		rate := c.rate // per day, logarithm
		if c.motion == absolute {
			rate /= level
		}
		q.carry(&half)
		q.cc += sq(min(rate*days, 1)) / 12 // it began at any time within the step
		q.fade(&half)
		born[k].add(&q)
	}
	p.w = stays
}

// soonChance is 1 − exp(−x).
func soonChance(x float64) float64 {
	if x < 0.2 {
		return x * (1 - x/2*(1-x/3*(1-x/4)))
	}
	return 1 - math.Exp(-x)
}

// comesToRest takes out of a moving piece what comes to rest within some days.
func (by *model) comesToRest(p *piece, days float64) piece {
	share := soonChance(by.endOf(p.motion, p.s) * days)
	rest := p.scaled(share)
	left := 1 - share
	if by.floored && p.s < 0 && (p.c < 0 || sq(p.c) < 4*p.cc) {
		sd := math.Sqrt(p.cc)
		z := -p.c / sd
		under := quickCDF(z)
		if sinks := soonChance(by.sink*days) * under; sinks > 1e-4 {
			// Of what lies under the floor some comes to rest: the mean and the variance are those of that part.
			ratio := quickPDF(z) / under
			low := p.scaled(left * sinks)
			low.c = p.c - sd*ratio
			narrower := max(1-z*ratio-ratio*ratio, 0.05)
			low.cc, low.cu = p.cc*narrower, p.cu*narrower
			rest.add(&low)
			left *= 1 - sinks
		}
	}
	*p = p.scaled(left)
	return rest
}

// stride is what some days do to every piece of a member.
type stride struct {
	days  float64
	keep  float64 // of the wobble
	kick  float64 // variance that the wobble gains
	creep float64 // variance that the course gains
	bend  float64 // variance that a slope gains, as a fraction of its square
	drift float64 // square of a slope that is added to it there: what is held changes course from rest as well
}

func (m *memberBelief) stride(by *model, days float64) stride {
	keep := math.Exp(-days / m.member.fade)
	return stride{days, keep, sq(m.sd) * (1 - keep*keep), sq(by.creep) * days, sq(by.bend) * days, sq(by.drift)}
}

// fade lets the wobble alone pass some days.
func (p *piece) fade(by *stride) {
	p.u *= by.keep
	p.cu *= by.keep
	p.su *= by.keep
	p.uu = by.keep*by.keep*p.uu + by.kick
}

// carry moves a piece on by some days on its course.
func (p *piece) carry(by *stride) {
	p.move(by.days)
	if p.motion != still {
		p.ss += by.bend * (sq(p.s) + by.drift)
	}
	p.cc += by.creep
	p.bound()
	p.fade(by)
}

// widestCourse is the largest variance of a course's logarithm: a belief that knows less knows nothing.
const widestCourse = 4

// bound holds a piece to levels and spreads that mean something.
func (p *piece) bound() {
	p.c = max(p.c, lowestLog)
	if p.cc > widestCourse {
		narrower := math.Sqrt(widestCourse / p.cc)
		p.cc, p.cs, p.cu = widestCourse, p.cs*narrower, p.cu*narrower
	}
}

// move is carry without what is unforeseen.
func (p *piece) move(days float64) {
	switch p.motion {
	case relative:
		p.c += p.s * days
		p.cc += 2*days*p.cs + days*days*p.ss
		p.cs += days * p.ss
		p.cu += days * p.su
	case absolute, driven:
		p.moveEvenly(days)
	}
}

// moveEvenly moves a piece on by the same amount every day: on the level itself, and back on its logarithm with the
// mean and the spread of a lognormal level.
func (p *piece) moveEvenly(days float64) {
	level := math.Exp(p.c)
	raw := level + p.s*days
	spread := math.Sqrt(max(sq(level)*p.cc+2*days*level*p.cs+days*days*p.ss, 0))
	then := max(max(raw, 0.6*spread), lowestLevel)
	j, k := level/then, days/then // slopes of the new logarithm by the old one and by the slope
	cc := j*j*p.cc + 2*j*k*p.cs + k*k*p.ss
	p.cs = j*p.cs + k*p.ss
	p.cu = j*p.cu + k*p.su
	p.c, p.cc = math.Log(then), cc
}

// settle takes a reading's end for the end of youth: what began before it joins what began earlier.
func (m *memberBelief) settle(by *model) {
	for k := range by.courses {
		old, young := &m.pieces[firstCourse+2*k], &m.pieces[firstCourse+2*k+1]
		old.add(young)
		young.w = [restlessKinds]float64{}
	}
	rest, ended, jumped := &m.pieces[atRest], &m.pieces[justEnded], &m.pieces[justJumped]
	if jumped.near(rest) {
		rest.add(jumped)
	} else {
		ended.add(jumped)
	}
	jumped.w = [restlessKinds]float64{}
	if ended.near(rest) || ended.weight() > 20*rest.weight() || rest.weight() <= leastPiece {
		ended.add(rest)
		*rest = *ended
		ended.w = [restlessKinds]float64{}
	}
}

// near says whether two still pieces say nearly the same.
func (p *piece) near(q *piece) bool {
	return p.weight() > 0 && q.weight() > 0 && sq(p.c-q.c) < 0.5*(p.cc+q.cc)
}

// fallsPerYear is how many falls begin in a year of a tank as restless as this one is believed to be.
func (f *belief) fallsPerYear() float64 {
	onset := 0.0
	for _, c := range f.courses {
		if c.rate < 0 {
			onset += c.onset
		}
	}
	var restless, all float64
	f.each(func(_ *memberBelief, p *piece) {
		for r, w := range p.w {
			restless += w * f.restless[r]
			all += w
		}
	})
	return 365.25 * onset * restless / all
}

// average is the mean of something that differs from member to member.
func (f *belief) average(of func(m *memberBelief) float64) float64 {
	var sum, all float64
	f.each(func(m *memberBelief, p *piece) {
		sum += p.weight() * of(m)
		all += p.weight()
	})
	return sum / all
}
