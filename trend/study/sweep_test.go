package study

import (
	"math"
	"runtime"
	"slices"
	"sync"
)

// eachSeries calls f for every series on all processors. f must write only to what belongs to its own index.
func eachSeries(n int, f func(i int)) {
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				f(i)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
}

// tallyAt is the tally of all series with an alarm wherever the score reaches the threshold; crossings are those of
// each.
func tallyAt(series []Series, crossings [][]Crossing, scores [][]float64, threshold float64) Tally {
	each := make([]Tally, len(series))
	eachSeries(len(series), func(i int) {
		alarm := make([]bool, len(scores[i]))
		for j, x := range scores[i] {
			alarm[j] = x >= threshold
		}
		each[i] = judge(&series[i], crossings[i], alarm)
	})
	var sum Tally
	for _, t := range each {
		sum.Add(t)
	}
	return sum
}

// Point is a detector at one rate of false alarms.
type Point struct {
	FalsePerYear float64
	Threshold    float64
	Recall       float64
	Early        float64
	Gradual      float64 // recall of gradual crossings
	Sudden       float64 // recall of sudden ones
	SuddenInTime float64
}

// Sweep lowers the threshold from the highest score until the false alarms per series-year reach each of the rates,
// which must rise, and gives the recall there by interpolation between the two thresholds about it; or what a stricter
// threshold reached, where that called more (an alarm too easily raised begins too early to count). A rate that is
// never reached gives the best that was.
func Sweep(series []Series, scores [][]float64, rates []float64) []Point {
	var out []Point
	var last, best Point
	crossings := make([][]Crossing, len(series))
	eachSeries(len(series), func(i int) { crossings[i] = series[i].Crossings() })
	for _, threshold := range thresholds(scores) {
		t := tallyAt(series, crossings, scores, threshold)
		p := pointOf(&t, threshold)
		for len(out) < len(rates) && p.FalsePerYear >= rates[len(out)] {
			out = append(out, better(between(last, p, rates[len(out)]), best))
		}
		if len(out) == len(rates) {
			return out
		}
		last, best = p, better(p, best)
	}
	for len(out) < len(rates) {
		out = append(out, best)
	}
	return out
}

// standardError is that of recall and early recall at a rate, threshold and all: the jackknife over ten groups of
// series.
func standardError(series []Series, scores [][]float64, rate float64) (recall, early float64) {
	const groups = 10
	var points [groups]Point
	var mean Point
	for g := range groups {
		var part []Series
		var partScores [][]float64
		for i := range series {
			if i%groups != g {
				part = append(part, series[i])
				partScores = append(partScores, scores[i])
			}
		}
		points[g] = Sweep(part, partScores, []float64{rate})[0]
		mean.Recall += points[g].Recall / groups
		mean.Early += points[g].Early / groups
	}
	for _, p := range points {
		recall += (p.Recall - mean.Recall) * (p.Recall - mean.Recall)
		early += (p.Early - mean.Early) * (p.Early - mean.Early)
	}
	const scale = (groups - 1.0) / groups
	return math.Sqrt(scale * recall), math.Sqrt(scale * early)
}

// better is the one that calls more; a, where they call the same.
func better(a, b Point) Point {
	if b.Recall > a.Recall {
		return b
	}
	return a
}

func pointOf(t *Tally, threshold float64) Point {
	all := t.All()
	return Point{
		FalsePerYear: t.FalsePerYear(), Threshold: threshold, Recall: all.Recall(), Early: all.EarlyRecall(),
		Gradual: t.Gradual.Recall(), Sudden: t.Sudden.Recall(), SuddenInTime: t.Sudden.InTimeShare(),
	}
}

// between is the point at the rate given on the line from a to b.
func between(a, b Point, rate float64) Point {
	f := 1.0
	if b.FalsePerYear > a.FalsePerYear {
		f = (rate - a.FalsePerYear) / (b.FalsePerYear - a.FalsePerYear)
	}
	mix := func(x, y float64) float64 { return x + f*(y-x) }
	return Point{
		FalsePerYear: rate, Threshold: mix(a.Threshold, b.Threshold),
		Recall: mix(a.Recall, b.Recall), Early: mix(a.Early, b.Early), Gradual: mix(a.Gradual, b.Gradual),
		Sudden: mix(a.Sudden, b.Sudden), SuddenInTime: mix(a.SuddenInTime, b.SuddenInTime),
	}
}

// thresholds are up to 400 finite scores, from the highest down, evenly spaced by rank.
func thresholds(scores [][]float64) []float64 {
	var all []float64
	for _, s := range scores {
		for _, x := range s {
			if !math.IsInf(x, 0) && !math.IsNaN(x) {
				all = append(all, x)
			}
		}
	}
	slices.Sort(all)
	all = slices.Compact(all)
	slices.Reverse(all)
	const most = 400
	if len(all) <= most {
		return all
	}
	out := make([]float64, most)
	for i := range out {
		out[i] = all[i*(len(all)-1)/(most-1)]
	}
	return out
}
