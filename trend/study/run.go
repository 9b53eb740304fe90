package study

// rates are the false alarms per series-year at which detectors are compared.
var rates = [...]float64{0.25, 0.5, 1}

// Result is everything that a study found.
type Result struct {
	Seed   uint64
	Series int

	Years     float64
	Readings  int
	Crossings int
	Sudden    int

	Rules                   []Row   // the plain rules
	Engine                  Row     // the product's engine, alarm on the chance within 42 days
	Generic                 Row     // the same with no method described
	ErrorRecall, ErrorEarly float64 // standard errors of the engine's entries at half a false alarm a year

	Told *Told // the filter that is told the model; nil where it was not run

	Flag        Tally // the product's own flag
	FlagGeneric Tally
	ByKind      []Part // the flag, by what the level does
	ByCadence   []Part
	ByKit       []Part
	Out         Out
	Again       Again
	Calibration Calibration
	CalGeneric  Calibration
}

// Told is what the filter that is told the model does on the first so many series, beside others on the same ones.
type Told struct {
	Series int
	Rows   []ToldRow
}

// ToldRow is one detector on those series, with its forecasts.
type ToldRow struct {
	Row
	Near reach7
}

// reach7 is the 7-day forecast near the floor.
type reach7 struct {
	Cover      float64
	Crps, Calm float64 // Calm: undisturbed
}

// Row is one detector at each of the rates.
type Row struct {
	Name   string
	Points []Point
}

// Part is the flag over a part of the series.
type Part struct {
	Name   string
	Series int
	Tally  Tally
}

// Run simulates n series and judges the engine and the plain rules on them.
func Run(engine Engine, seed uint64, n int) Result {
	series := Simulate(seed, n)
	res := describe(seed, series)
	for _, d := range Rules() {
		res.Rules = append(res.Rules, Row{d.Name, Sweep(series, Scores(d, series), rates[:])})
	}
	res.judge(engine, series)
	res.judgeGeneric(engine, series)
	return res
}

// describe counts what was simulated.
func describe(seed uint64, series []Series) Result {
	res := Result{Seed: seed, Series: len(series)}
	for i := range series {
		s := &series[i]
		res.Years += s.Years()
		res.Readings += len(s.Obs)
		for _, c := range s.Crossings() {
			res.Crossings++
			if c.Sudden {
				res.Sudden++
			}
		}
	}
	return res
}

// chance42 is the score of the engine in the sweeps.
func chance42(r *said) float64 { return r.p42 }

func (res *Result) judge(engine Engine, series []Series) {
	runs := Hindcasts(engine, series, false)
	res.Engine = Row{"leadline: chance of the floor within 42 days", Sweep(series, scoresOf(runs, chance42), rates[:])}
	res.ErrorRecall, res.ErrorEarly = standardError(series, scoresOf(runs, chance42), rates[1])
	tallies := flagTallies(series, runs)
	res.Flag = total(tallies, nil)
	for _, k := range kinds {
		res.ByKind = append(res.ByKind, part(k.String(), tallies, func(i int) bool { return series[i].Kind == k }))
	}
	for _, c := range [...]Cadence{TwiceWeekly, Weekly, Fortnightly} {
		res.ByCadence = append(res.ByCadence, part(c.String(), tallies, func(i int) bool { return series[i].Cadence == c }))
	}
	for _, k := range [...]KitClass{Fine, Coarse, Card} {
		res.ByKit = append(res.ByKit, part(k.String(), tallies, func(i int) bool { return series[i].Kit == k }))
	}
	res.Out = judgeOut(series, runs)
	res.Again = judgeAgain(series, runs)
	res.Calibration = Calibrate(series, runs)
}

func (res *Result) judgeGeneric(engine Engine, series []Series) {
	runs := Hindcasts(engine, series, true)
	res.Generic = Row{"leadline, no method described", Sweep(series, scoresOf(runs, chance42), rates[:])}
	res.FlagGeneric = total(flagTallies(series, runs), nil)
	res.CalGeneric = Calibrate(series, runs)
}

// RunCeiling adds the filter that is told the model, and others beside it, on the first n series.
func (res *Result) RunCeiling(engine Engine, n int) {
	series := Simulate(res.Seed, n)
	told := make([][]said, n)
	eachSeries(n, func(i int) { told[i] = Ceiling(&series[i], res.Seed) })
	ours := Hindcasts(engine, series, false)
	trends := make([][]said, n)
	eachSeries(n, func(i int) { trends[i] = localTrendSaid(&series[i]) })
	row := func(name string, scores [][]float64, runs [][]said) ToldRow {
		c := Calibrate(series, runs)
		return ToldRow{
			Row{name, Sweep(series, scores, rates[:])},
			reach7{c.Ahead7.Near.Share(), c.Crps.Value(), c.CrpsUndisturbed.Value()},
		}
	}
	res.Told = &Told{n, []ToldRow{
		row("told the model", scoresOf(told, chance42), told),
		row("leadline", scoresOf(ours, chance42), ours),
		row(localTrendName, Scores(Detector{localTrendName, localTrend}, series), trends),
	}}
}

func part(name string, tallies []Tally, keep func(i int) bool) Part {
	p := Part{Name: name, Tally: total(tallies, keep)}
	for i := range tallies {
		if keep(i) {
			p.Series++
		}
	}
	return p
}
