package study

import "math"

// z90 is the 90 % point of the standard normal distribution.
const z90 = 1.2815515655446004

// crps is the continuous ranked probability score of a forecast given by its 80 % interval: log-normal through both
// ends where the lower end is above nothing, else normal through the mean. In floors; 0 is a perfect forecast, and for
// a forecast without spread it is the absolute error.
//
// References: the normal form, T. Gneiting, A. E. Raftery, Strictly proper scoring rules, prediction, and estimation,
// JASA 102 (2007) 359–378; the log-normal form, S. Baran, S. Lerch, Log-normal distribution based ensemble model output
// statistics models for probabilistic wind-speed forecasting, QJRMS 141 (2015) 2289–2299. Both remembered; the tests
// hold them against the integral that defines the score.
func crps(f interval, truth float64) float64 {
	if f.lo > 0.01*f.hi {
		lo, hi := math.Log(f.lo), math.Log(f.hi)
		return crpsLogNormal((lo+hi)/2, (hi-lo)/(2*z90), truth)
	}
	return crpsNormal(f.mean, (f.hi-f.lo)/(2*z90), truth)
}

func crpsNormal(mean, sd, truth float64) float64 {
	if sd == 0 {
		return math.Abs(truth - mean)
	}
	z := (truth - mean) / sd
	density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
	return sd * (z*(2*normalBelow(z)-1) + 2*density - 1/math.Sqrt(math.Pi))
}

func crpsLogNormal(mu, sigma, truth float64) float64 {
	if sigma == 0 {
		return math.Abs(truth - math.Exp(mu))
	}
	z := (math.Log(truth) - mu) / sigma
	tail := normalBelow(z-sigma) + normalBelow(sigma/math.Sqrt2) - 1
	return truth*(2*normalBelow(z)-1) - 2*math.Exp(mu+sigma*sigma/2)*tail
}
