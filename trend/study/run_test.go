package study

// Seeds of the simulators. The constants of engines and rules are chosen on chooseOn, and on any other seed but
// judgeOn, on which alone the page is made. Of real water, chooseWater may be chosen on.
const (
	chooseOn    = 2026
	judgeOn     = 31415
	chooseWater = "choptank ammonia"
)

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

	Everywhere Everywhere // the altered worlds; nothing where they were not run
	Slides     []Slide    // plain falls, and what the engine says of them
	SlideRuns  [][]said
	Waters     []WaterScore

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
		res.Rules = append(res.Rules, sweepOf(d.Name, series, d.On(series)))
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

// sweepOf is a detector at each of the rates.
func sweepOf(name string, series []Series, runs [][]said) Row {
	return Row{name, Sweep(series, scoresOf(runs), rates[:])}
}

func (res *Result) judge(engine Engine, series []Series) {
	d := EngineDetector(engine, false)
	runs := d.On(series)
	res.Engine = sweepOf(d.Name, series, runs)
	res.ErrorRecall, res.ErrorEarly = standardError(series, scoresOf(runs), rates[1])
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
	d := EngineDetector(engine, true)
	runs := d.On(series)
	res.Generic = sweepOf(d.Name, series, runs)
	res.FlagGeneric = total(flagTallies(series, runs), nil)
	res.CalGeneric = Calibrate(series, runs)
}

// RunSlides adds the plain falls, so many of each combination.
func (res *Result) RunSlides(engine Engine, each int) {
	res.Slides = Slides(res.Seed, each)
	res.SlideRuns = EngineDetector(engine, false).OnSlides(res.Slides)
}

// RunCeiling adds the filter that is told the model, and others beside it, on the first n series.
func (res *Result) RunCeiling(engine Engine, n int) {
	series := Simulate(res.Seed, n)
	res.Told = &Told{Series: n}
	for _, d := range [...]Detector{
		{"told the model", func(s *Series) []said { return Ceiling(s, res.Seed) }},
		EngineDetector(engine, false), {switchingName, switching}, {localTrendName, localTrend},
	} {
		runs := d.On(series)
		c := Calibrate(series, runs)
		res.Told.Rows = append(res.Told.Rows, ToldRow{sweepOf(d.Name, series, runs),
			reach7{c.Ahead7.Near.Share(), c.Crps.Value(), c.CrpsUndisturbed.Value()}})
	}
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
