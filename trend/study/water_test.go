package study

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"leadline/trend"
)

// Water is a public series of real water, in its own unit. Its truth is not known, so what is said is held against
// the next reading.
type Water struct {
	Name   string
	Series // of which it has Floor, Settings and Obs
}

// ReadWater reads a file of date,value,censored,unit. Readings stand for two significant digits and scatter by 5 %,
// in waters analysed in a laboratory; the floor is the level that a third of the first readings, as many as teach
// says, lie under.
func ReadWater(path string) (Water, error) {
	w := Water{Name: strings.ReplaceAll(strings.TrimSuffix(filepath.Base(path), ".csv"), "_", " ")}
	file, err := os.Open(path)
	if err != nil {
		return w, err
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		return w, fmt.Errorf("%s: %w", path, err)
	}
	var first []float64
	for i, row := range rows[1:] {
		date, err := time.Parse(time.DateOnly, row[0])
		if err != nil {
			return w, fmt.Errorf("%s: %w", path, err)
		}
		v, err := strconv.ParseFloat(row[1], 64)
		if err != nil {
			return w, fmt.Errorf("%s: %w", path, err)
		}
		half := math.Pow(10, math.Floor(math.Log10(v))-1) / 2
		o := trend.Observation{Day: float64(date.Unix() / 86400), Value: v, Lo: v - half, Hi: v + half, SD: 0.05 * v,
			Described: true}
		if row[2] == "true" {
			o.Lo, o.Hi, o.Bound = math.Inf(-1), v, trend.Below
		}
		w.Obs = append(w.Obs, o)
		if i < (len(rows)-1)/teach {
			first = append(first, v)
		}
	}
	slices.Sort(first)
	w.Floor = first[len(first)/3]
	w.Settings = trend.Settings{Floor: w.Floor, Low: math.NaN(), High: math.NaN(), Wobble: 0.10}
	return w, nil
}

// teach is the part of a series, one in so many readings, from which a rival learns and on which nothing is judged.
const teach = 3

// Ahead is how forecasts of the next reading did, at its actual gap.
type Ahead struct {
	Held   Cover // by the 80 % interval; a "<" is held where any of it is
	Crps   Mean  // of the logarithm, readings with a number
	Brier  Mean  // of the chance that it is below the floor
	Danger Mean  // Brier score of the chance of the floor within 28 days, against the readings of those days
}

// see judges a forecast of a reading's logarithm.
func (a *Ahead) see(o trend.Observation, floor, mean, sd float64, inside bool) {
	a.Held.N++
	a.Held.Inside += count(inside)
	if o.Bound == trend.Exact {
		a.Crps.see(crpsNormal(mean, sd, math.Log(o.Value)))
	}
	chance, below := normalBelow((math.Log(floor)-mean)/sd), float64(count(isLow(o, floor)))
	a.Brier.see((chance - below) * (chance - below))
}

func isLow(o trend.Observation, floor float64) bool { return o.Value < floor || o.Bound == trend.Below }

// WaterScore is how the engine and a local linear trend did on one series, and the Brier scores of always saying how
// often it was.
type WaterScore struct {
	Name             string
	Readings         int
	Engine, Trend    Ahead
	Base, BaseDanger float64
}

// JudgeWater runs both over a series.
func JudgeWater(engine Engine, w Water) WaterScore {
	score := WaterScore{Name: w.Name}
	from := len(w.Obs) / teach
	var t, y []float64
	for _, o := range w.Obs {
		t, y = append(t, o.Day), append(y, math.Log(plain(o)))
	}
	model := taught(t[:from], y[:from])
	foretold, _ := model.follow(t, y)
	said := engine(w.Obs, nil, w.Settings)
	var low, danger Mean
	for i := from; i < len(w.Obs); i++ {
		o := w.Obs[i]
		gap := o.Day - w.Obs[i-1].Day
		if gap < 1 {
			continue // the same water again
		}
		score.Readings++
		e := said[i].Expected
		lo := math.Log(math.Max(e.Lo, 0.05*e.Mean)) // a log-normal through the 95 % interval
		hi := math.Log(e.Hi)
		score.Engine.see(o, w.Floor, (lo+hi)/2, (hi-lo)/(2*z975), said[i].Surprise >= 0.2)
		next := foretold[i]
		sd := math.Sqrt(next.pll + model.obs)
		off := math.Log(o.Value) - next.l
		score.Trend.see(o, w.Floor, next.l, sd, off >= -z90*sd && (off <= z90*sd || o.Bound == trend.Below))
		low.see(float64(count(isLow(o, w.Floor))))
		if seen, known := lowWithin(w.Obs[i:], w.Floor, 28); known && !math.IsNaN(said[i].PFloor28) {
			danger.see(seen)
			score.Engine.Danger.see((said[i].PFloor28 - seen) * (said[i].PFloor28 - seen))
		}
	}
	p, q := low.Value(), danger.Value()
	score.Base, score.BaseDanger = p*(1-p), q*(1-q)
	return score
}

// z975 is the 97.5 % point of the standard normal distribution.
const z975 = 1.959963984540054

// lowWithin is 1 where the first reading, or one of the so many days after it, is below the floor; known where there
// are others.
func lowWithin(obs []trend.Observation, floor, days float64) (seen float64, known bool) {
	for i, o := range obs {
		if o.Day > obs[0].Day+days {
			break
		}
		known = known || i > 0
		if isLow(o, floor) {
			seen = 1
		}
	}
	return seen, known
}

// ltModel is a local linear trend with readings that scatter by a fixed variance.
type ltModel struct {
	ltNoise
	obs float64
}

// follow runs the Kalman filter over logarithms y at times t: what was foretold of each from those before, and the
// log-likelihood.
func (m ltModel) follow(t, y []float64) (foretold []ltState, loglik float64) {
	s := ltState{l: y[0], pll: ltWidest, pvv: ltSlopeStart * ltSlopeStart}
	for i := range t {
		if i > 0 {
			s = s.ahead(t[i]-t[i-1], m.ltNoise)
		}
		foretold = append(foretold, s)
		off, spread := y[i]-s.l, s.pll+m.obs
		loglik -= (math.Log(spread) + off*off/spread) / 2
		up, turn := s.pll/spread, s.plv/spread
		s = ltState{s.l + up*off, s.v + turn*off, s.pll * (1 - up), s.plv * (1 - up), s.pvv - turn*s.plv}
	}
	return foretold, loglik
}

// taught is the local linear trend that fits some readings best, by likelihood over a grid of its three variances.
func taught(t, y []float64) ltModel {
	var best ltModel
	most := math.Inf(-1)
	for _, obs := range [...]float64{0.003, 0.01, 0.03, 0.1, 0.3, 1} {
		for _, level := range [...]float64{1e-5, 1e-4, 3e-4, 1e-3, 3e-3, 1e-2, 3e-2} {
			for _, slope := range [...]float64{1e-10, 1e-8, 1e-7, 1e-6, 1e-5, 1e-4} {
				m := ltModel{ltNoise{level, slope}, obs}
				if _, loglik := m.follow(t, y); loglik > most {
					best, most = m, loglik
				}
			}
		}
	}
	return best
}

// Waters judges every file of a folder.
func Waters(engine Engine, folder string) ([]WaterScore, error) {
	paths, err := filepath.Glob(filepath.Join(folder, "*.csv"))
	var out []WaterScore
	for _, path := range paths {
		w, err := ReadWater(path)
		if err != nil {
			return nil, err
		}
		out = append(out, JudgeWater(engine, w))
	}
	return out, err
}

// WaterTable writes one row for each series.
func WaterTable(w io.Writer, scores []WaterScore) {
	heading(w, "series", "constants", "readings judged", "next reading in the 80 % interval", "local trend",
		"CRPS of its logarithm", "local trend", "Brier score, next reading below the floor", "local trend",
		"always the base rate",
		"floor within 28 days", "always the base rate")
	for _, s := range scores {
		use := "not chosen on"
		if s.Name == chooseWater {
			use = "may be chosen on"
		}
		score := func(x float64) string { return number(x, 3) }
		e, l := &s.Engine, &s.Trend
		line(w, s.Name, use, fmt.Sprint(s.Readings), percent(e.Held.Share()), percent(l.Held.Share()), score(e.Crps.Value()),
			score(l.Crps.Value()), score(e.Brier.Value()), score(l.Brier.Value()), score(s.Base), score(e.Danger.Value()),
			score(s.BaseDanger))
	}
}
