package trend

// Judgement is how one reading compares with what the earlier ones predict for it.
type Judgement struct {
	Expected Prediction
	Tail     float64 // two-sided chance of a reading as far out as this one; NaN when it cannot be said
	Suspect  bool    // so far out that it should be looked at twice
}

// suspectTail is the two-sided chance under which a reading is suspect. Gross errors are about fifteen in a thousand of
// all readings; at this chance one in two hundred sound ones is asked about in vain. A reading that is off by a factor
// of nearly ten looks like a slipped decimal point, and is asked about at a chance of slipTail.
const (
	suspectTail = 0.005
	slipTail    = 0.1
	slipFactor  = 8
)

// suspect says whether a reading is so far out that it should be looked at twice.
func suspect(o Observation, p Prediction, tail float64) bool {
	slip := o.Bound == Exact && p.Mean > 0 && (o.Value >= slipFactor*p.Mean || o.Value <= p.Mean/slipFactor)
	return tail < suspectTail || slip && tail < slipTail
}

// Judge compares a reading about to be entered with what the earlier ones predict. obs and in are those before it; next
// must not be earlier than the last of obs. Without an earlier reading everything is unknown.
func Judge(obs []Observation, in []Input, next Observation, set Settings) Judgement {
	all := append(append([]Observation(nil), obs...), next)
	e := newEngine(all, in, set)
	for _, o := range obs {
		e.learn(o, false)
	}
	e.advance(next.Day)
	e.foretell(next)
	return Judgement{Expected: e.expected, Tail: e.surprise, Suspect: suspect(next, e.expected, e.surprise)}
}

// readingSpread is the distribution of what a method will see of the level: a Gaussian about every cell. Of a reading
// that is there already, the ends of its interval stand beside each, since they may depend on the kind of kit.
type readingSpread struct {
	mixture
	lo, hi []float64
}

// readingSpread is what a method like that of o will see now.
func (f *belief) readingSpread(o Observation) readingSpread {
	var r readingSpread
	for b := 0; b < len(f.members); {
		end := b + 1
		for end < len(f.members) && f.members[end].sameMethod(f.members[b].member) {
			end++
		}
		saw := f.marks.takes(o, f.members[b].member)
		s := f.levelSpread(f.members[b:end])
		for i, p := range s.p {
			if p > 1e-7 {
				level := s.level(float64(s.lo + i))
				r.mixture = append(r.mixture, normal{p, level, saw.sdAt(level)})
				r.lo, r.hi = append(r.lo, saw.lo), append(r.hi, saw.hi)
			}
		}
		b = end
	}
	return r
}

// tail is the two-sided chance of a report as far out as the one at hand, and whether that is on the low side. A report
// counts as being as far out as the nearer end of its interval, so that a coarse step or a "<" is not called surprising
// for being coarse.
func (r readingSpread) tail() (chance float64, low bool) {
	down, up := 0.0, 0.0
	for i, c := range r.mixture {
		down += c.weight * quickCDF((r.hi[i]-c.mean)/c.sd)
		up += c.weight * quickCDF((c.mean-r.lo[i])/c.sd)
	}
	return min(1, 2*max(min(down, up)/r.total(), 0)), down < up
}
