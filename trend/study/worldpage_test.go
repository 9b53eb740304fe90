package study

import (
	"fmt"
	"io"
	"math"
)

// Everywhere is how detectors do in each of the worlds.
type Everywhere struct {
	Tanks  int // in each world
	Names  []string
	Worlds []Somewhere
}

// Somewhere is one world: the detectors in the order of Everywhere.Names.
type Somewhere struct {
	Name      string
	Crossings int
	Seen      []Sight
}

// Sight is one detector in one world: its measures in the order of the table's columns.
type Sight [len(measures)]float64

// measures are the columns, with what each should be: +1 much, −1 little, 0 near to the goal.
var measures = [...]struct {
	name     string
	decimals int
	towards  int
	goal     float64
}{
	{"called at half a false alarm a year", 2, 1, 0},
	{"7 days or more before", 2, 1, 0},
	{"own flag: false a year", 2, -1, 0},
	{"of the flags right", 2, 1, 0},
	{"80 % interval of the level now, near", 2, 0, 0.8},
	{"14 days ahead, near", 2, 0, 0.8},
	{"CRPS 7 days ahead, near, floors", 3, -1, 0},
	{"28-day chance: said against seen", 3, -1, 0},
	{"the same in its worst row", 2, -1, 0},
}

// RunWorlds judges the detectors in each world, on n tanks of each.
func RunWorlds(detectors []Detector, seed uint64, n int) Everywhere {
	e := Everywhere{Tanks: n}
	for _, d := range detectors {
		e.Names = append(e.Names, d.Name)
	}
	for _, w := range Worlds() {
		series := w.Simulate(seed, n*w.Times)
		s := Somewhere{Name: w.Name, Crossings: describe(seed, series).Crossings}
		for _, d := range detectors {
			s.Seen = append(s.Seen, sightOf(series, d.On(series)))
		}
		e.Worlds = append(e.Worlds, s)
	}
	return e
}

func sightOf(series []Series, runs [][]said) Sight {
	p := Sweep(series, scoresOf(runs), rates[1:2])[0]
	c := Calibrate(series, runs)
	s := Sight{p.Recall, p.Early, math.NaN(), math.NaN(), c.Now.Near.Share(), c.Ahead14.Near.Share(), c.Crps.Value(),
		c.P28.Error(), c.P28.Worst()}
	if flag := total(flagTallies(series, runs), nil); flag.Episodes > 0 {
		s[2], s[3] = flag.FalsePerYear(), 1-share(flag.False, flag.Episodes)
	}
	return s
}

// Worst is the distance between said and seen in the row where it is greatest, of those with at least so many
// forecasts.
func (r *Reliability) Worst() float64 {
	const least = 40
	worst := math.NaN()
	for _, b := range r {
		if d := math.Abs(b.Said-float64(b.Happened)) / float64(b.N); b.N >= least && !(d < worst) {
			worst = d
		}
	}
	return worst
}

// sum is the mean of a measure over the worlds, and the worst of it.
func (e *Everywhere) sum(detector, measure int) (mean, worst float64) {
	m := measures[measure]
	badness := func(x float64) float64 {
		if m.towards == 0 {
			return math.Abs(x - m.goal)
		}
		return -float64(m.towards) * x
	}
	worst = e.Worlds[0].Seen[detector][measure]
	for _, w := range e.Worlds {
		x := w.Seen[detector][measure]
		mean += x / float64(len(e.Worlds))
		if badness(x) > badness(worst) {
			worst = x
		}
	}
	return mean, worst
}

// Table writes one row for each world and detector, and the mean and the worst of each column.
func (e *Everywhere) Table(w io.Writer) {
	head := []string{"world", "first crossings", "detector"}
	for _, m := range measures {
		head = append(head, m.name)
	}
	heading(w, head...)
	row := func(name, crossings, detector string, s Sight) {
		cells := []string{name, crossings, detector}
		for i, m := range measures {
			cells = append(cells, number(s[i], m.decimals))
		}
		line(w, cells...)
	}
	for _, s := range e.Worlds {
		for d, name := range e.Names {
			row(s.Name, fmt.Sprint(s.Crossings), name, s.Seen[d])
		}
	}
	for d, name := range e.Names {
		var mean, worst Sight
		for i := range measures {
			mean[i], worst[i] = e.sum(d, i)
		}
		row("**mean**", "", name, mean)
		row("**worst**", "", name, worst)
	}
}
