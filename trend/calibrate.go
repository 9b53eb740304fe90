package trend

import "math"

// What the filter believes is right for the model, and the model is not quite right for tanks. On simulated series (seeds
// used for nothing else) the filter's chances of going below the floor proved too sure of themselves in the middle of the
// range: of cases said to have a chance of 0.65, 47 in a hundred came. Every published chance of the floor therefore
// passes through seen. It is monotone, so no order of alarms is changed.

// The logit of what is seen against the logit of what the filter believes.
const (
	seenShift = -0.3
	seenScale = 0.8
	seenSure  = 0.15 // more of it from seenBend on: what the filter is sure of mostly comes
	seenBend  = 1.1
)

// seen is how often it comes true when the filter believes in a chance p.
func seen(p float64) float64 {
	if p <= 0 || p >= 1 {
		return math.Min(math.Max(p, 0), 1)
	}
	believed := math.Log(p / (1 - p))
	return 1 / (1 + math.Exp(-(seenShift + seenScale*believed + seenSure*math.Max(believed-seenBend, 0))))
}

// The 80 % intervals of the level lie between these quantiles of the belief: a little further out than 10 and 90 %, for
// the same reason.
const (
	lowQuantile  = 0.092
	highQuantile = 0.908
)
