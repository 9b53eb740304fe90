package alerts

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// Wish is what a keeper wants of a parameter, and what they dose for it.
type Wish struct {
	Target     float64        // canonical unit
	Supplement string         // name, for messages; may be ""
	Strength   water.Strength // of it, for the parameter
	Limewater  bool           // bound by evaporation
	Dissolving water.Dissolving
	MaxPerDay  float64 // greatest daily change of the level; 0: that of the parameter
	Within     int     // days in which the target is wanted; 0: as many as it takes
	// OutsideBand is said of a target that is meant, though it lies outside the keeper's band.
	OutsideBand bool

	ReservoirML   float64 // supplement at hand; 0: not known
	EvaporationML float64 // water that evaporates in a day, in place of which limewater is given; 0: the usual share
	Cautions      []water.Caution

	given float64 // raised by single doses in the last 24 hours
}

// Plan is how to hold a parameter and to bring it to a target, with all that it rests on.
type Plan struct {
	Finding Finding
	Demand  Demand
	Wish    Wish
	Aim     water.Aim // what the plan was made from
	water.Plan
}

const (
	// interval80 is the half width of an 80 % interval in standard deviations.
	interval80 = 1.2815515655446004
	// planContentSD is how far what a dose brings is taken to be uncertain, strength and net volume together. A
	// volume that is wrong by more than that shows in the demand as well, which is reckoned from the same doses, and
	// mostly cancels (common practice, no source).
	planContentSD = 0.03
	// usualEvaporation is the share of a tank's water that evaporates in a day (common practice, no source).
	usualEvaporation = 0.01
)

// Use makes the wish one of a described supplement: its strength for the parameter, what bounds it, and its cautions
// beside the others.
func (w *Wish) Use(s logbook.Supplement, p logbook.Parameter, others []logbook.Supplement) (err error) {
	if w.Strength, err = s.Raising(p); err != nil {
		return err
	}
	w.Supplement, w.Limewater, w.Cautions, w.Dissolving = s.Name, s.Limewater, s.Cautions(), s.Dissolving()
	if c, ok := s.KeptApart(others); ok {
		w.Cautions = append(w.Cautions, c)
	}
	return nil
}

// PlanTarget is what a plan aims at where the keeper names no level: the middle of the band, or its lower edge for a
// nutrient that is at its floor or heading there. NaN where the band does not tell it.
func (l Finding) PlanTarget() float64 {
	if l.Parameter.Nutrient && l.nearNothing() {
		return l.Band.Low
	}
	return (l.Band.Low + l.Band.High) / 2
}

// ErrOutsideBand refuses a target that may be a slip.
var ErrOutsideBand = errors.New("lies outside your band")

// ErrOnlyWaterChange refuses to lower by dosing what nothing consumes.
var ErrOnlyWaterChange = errors.New(
	"it is above its target and nothing consumes it: less dosing cannot lower it, a water change can")

// PlanOf makes a plan for a parameter of a tank as-of a moment: the level and the demand as the engine sees them,
// each with its doubt, go into water.NewPlan. It is refused, with the reason, where one of them cannot be told.
func PlanOf(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time, w Wish) (Plan, error) {
	l, err := ExamineParameter(v, t, p, asOf, 0)
	if err != nil {
		return Plan{}, err
	}
	if b := l.Band; !w.OutsideBand && (w.Target < b.Low || w.Target > b.High) {
		return Plan{}, fmt.Errorf("no plan for %s of %s: target %s %w, %s", p.Name, t.Name, words.Quantity(p, w.Target),
			ErrOutsideBand, l.BandText())
	}
	d, err := DemandOf(v, t, p, asOf)
	if err != nil {
		return Plan{}, err
	}
	for _, in := range l.Inputs {
		if age := Day(asOf) - in.Day; in.Kind == trend.Dose && age >= 0 && age < 1 {
			w.given += in.Amount
		}
	}
	if p.Name == "alkalinity" && w.Target > l.Assessment.Level {
		low, err := nutrientsLow(v, t, asOf)
		if err != nil {
			return Plan{}, err
		}
		if low || w.Target > highAlkalinity {
			// first, for it is of this tank today
			w.Cautions = slices.Insert(w.Cautions, 0, water.AlkalinityAndNutrients(words.RiseAmount(p, highAlkalinity)))
		}
	}
	return planFor(l, d, w)
}

// highAlkalinity is above what low nutrients go with, dKH (common practice, no source:
// testdata/reference/practice.json).
const highAlkalinity = 11

// nutrientsLow says whether nitrate or phosphate has bottomed out or is heading there.
func nutrientsLow(v *logbook.View, t logbook.Tank, asOf time.Time) (bool, error) {
	for _, name := range []string{"nitrate", "phosphate"} {
		p, err := v.Parameter(name)
		if err != nil {
			return false, err
		}
		l, err := ExamineParameter(v, t, p, asOf, 0)
		if err != nil || l.nearNothing() {
			return true, err
		}
	}
	return false, nil
}

// nearNothing says whether a level has bottomed out or is heading there.
func (l Finding) nearNothing() bool { return l.Assessment.BottomingOut || l.Assessment.BottomedOut }

// planFor joins what is believed of a parameter with what is wanted of it.
func planFor(l Finding, d Demand, w Wish) (Plan, error) {
	if err := l.Parameter.Doseable(); err != nil {
		return Plan{}, err
	}
	if err := l.RefusePlan(); err != nil && l.Tank.VolumeL > 0 {
		return Plan{}, fmt.Errorf("no plan for %s of %s: %w", l.Parameter.Name, l.Tank.Name, err)
	}
	aim, err := aimOf(l.Parameter, l.Tank.VolumeL, l.Assessment, d.Estimate, w)
	if err != nil {
		return Plan{}, fmt.Errorf("no plan for %s of %s: %w", l.Parameter.Name, l.Tank.Name, err)
	}
	if aim.Target < aim.Level && aim.Demand <= 0 {
		return Plan{}, fmt.Errorf("no plan for %s of %s: %w", l.Parameter.Name, l.Tank.Name, ErrOnlyWaterChange)
	}
	aim.Start = d.AsOf
	plan, err := water.NewPlan(aim)
	if err != nil {
		return Plan{}, fmt.Errorf("no plan for %s of %s: %w", l.Parameter.Name, l.Tank.Name, err)
	}
	return Plan{l, d, w, aim, plan}, nil
}

// testFirst says whether a test comes before everything else: the latest reading does not fit those before it or is
// too far from the last, or there was a dose since.
func (l Finding) testFirst() bool {
	return l.suspect() || l.swings() || l.DosedSince() > 0
}

// suspect says whether the latest reading is far from what the earlier ones predict.
func (l Finding) suspect() bool {
	return slices.ContainsFunc(l.Assessment.Notes, func(n trend.Note) bool { return n.Code == "suspect" })
}

// DosedSince is what single doses have raised since the last test, canonical unit, where that leaves the level unknown:
// it is more than a careful daily change beyond the regular doses of a week, or of the time since. Else it is 0.
func (l Finding) DosedSince() (given float64) {
	a := l.Assessment
	for _, in := range l.Inputs {
		if in.Kind == trend.Dose && in.Day > a.Latest.Day && in.Day <= a.AsOf {
			given += in.Amount
		}
	}
	usual := math.Max(0, a.Regular) * math.Max(7, a.AsOf-a.Latest.Day)
	if most := l.Parameter.MaxRise; a.N == 0 || most <= 0 || given-usual <= most {
		return 0
	}
	return given
}

// carefulDays is how many days of careful change the 80 % range of a level may be wide for a plan to start from it
// (common practice, no source).
const carefulDays = 7

// RefusePlan says why a level is not known well enough to be changed.
func (l Finding) RefusePlan() error {
	width, most := l.Assessment.LevelHi-l.Assessment.LevelLo, carefulDays*l.Parameter.MaxRise
	p, day := l.Parameter, l.Assessment.AsOf
	test := logbook.Refusal{Hint: "test " + p.Name + " first, then plan"}
	switch given := l.DosedSince(); {
	case l.tooOld(day):
		test.Reason = fmt.Sprintf("its level is not known: the last test is of %s, %s ago", words.Day(l.latestTime()),
			words.Days(day-Day(l.latestTime())))
	case given > 0:
		test.Reason = fmt.Sprintf("its level is not known: %s was dosed since the last test", words.Rise(p, given))
	case l.testFirst():
		test.Reason = fmt.Sprintf("its level is not known: the last reading, %s, does not fit those before it",
			l.latestText())
	case most > 0 && width > most:
		test.Reason = fmt.Sprintf("its level is not known well enough: %s, and a careful change is %s a day", l.LevelText(),
			words.RiseAmount(p, p.MaxRise))
	default:
		return nil
	}
	return test
}

// mostTimesCareful is how many times the careful daily change of a nutrient or a trace a plan may be told to make
// (chosen here).
const mostTimesCareful = 4

// aimOf turns 80 % intervals into standard deviations, and refuses what is not known.
func aimOf(p logbook.Parameter, litres float64, as trend.Assessment, d trend.Demand, w Wish) (water.Aim, error) {
	switch {
	case litres <= 0:
		return water.Aim{}, fmt.Errorf("the net volume of the tank is not known")
	case math.IsNaN(as.Level) || math.IsNaN(as.LevelLo) || math.IsNaN(as.LevelHi):
		return water.Aim{}, fmt.Errorf("its level cannot be told from the readings")
	case math.IsNaN(d.PerDay):
		why := "too little is known"
		if n := len(d.Notes); n > 0 {
			why = d.Notes[n-1].Text
		}
		return water.Aim{}, fmt.Errorf("what the tank takes per day cannot be told: %s", why)
	}
	// its ordinary values begin at nothing: it cannot be judged by its share of the level
	nearZero := p.Nutrient || p.AskLow == 0
	if most := mostTimesCareful * p.MaxRise; nearZero && most > 0 && w.MaxPerDay > most {
		return water.Aim{}, fmt.Errorf("a daily change of %s is more than %d times the careful one of %s: no plan goes "+
			"beyond that", words.RiseAmount(p, w.MaxPerDay), mostTimesCareful, words.RiseAmount(p, p.MaxRise))
	}
	rise, fall := p.MaxRise, p.MaxFall
	if w.MaxPerDay > 0 {
		rise, fall = w.MaxPerDay, w.MaxPerDay
	}
	if fall == 0 { // none is told for nutrients, which are lowered no faster than raised
		fall = rise
	}
	aim := water.Aim{
		Parameter: p.Name, Unit: p.ShownUnit(), Shown: p.Shown,
		Level: math.Max(as.Level, 0), LevelSD: (as.LevelHi - as.LevelLo) / (2 * interval80), Target: w.Target,
		Demand: d.PerDay, DemandSD: (d.Hi - d.Lo) / (2 * interval80), ReadingSD: as.Latest.SD, Given: w.given,
		Litres: litres, Strength: w.Strength, ContentSD: planContentSD,
		MaxRise: rise, MaxFall: fall, Low: p.AskLow, High: p.AskHigh,
		NearZero: nearZero, Within: w.Within,
		ReservoirML: w.ReservoirML, Dissolving: w.Dissolving,
	}
	if w.Limewater {
		if aim.MaxDailyML = w.EvaporationML; aim.MaxDailyML == 0 {
			aim.MaxDailyML = 1000 * litres * usualEvaporation
		}
	}
	return aim, nil
}

// TestBy is the day by which to test next.
func (p Plan) TestBy() time.Time { return p.Aim.Start.AddDate(0, 0, p.TestDay) }

// Cautions are those of the supplement and of every plan, each once.
func (p Plan) Cautions() []water.Caution {
	var all []water.Caution
	seen := map[string]bool{}
	for _, c := range append(append([]water.Caution(nil), p.Wish.Cautions...), water.PlanCautions()...) {
		if due := c.Topic != concentrates || builtWith(p.Finding.Parameter); due && !seen[c.Topic] {
			seen[c.Topic] = true
			all = append(all, c)
		}
	}
	return all
}

// Lines say a plan; a row of a day stands behind two blanks. Of more than most days, 3 at least, some in the middle are
// left out: they are like those beside them. most 0: every day is said.
func (p Plan) Lines(most int) []string {
	of, what, days := p.Finding.Parameter, words.OneLine(p.Wish.Supplement), len(p.Steps)
	ml := func(v float64) string { return water.FormatAtMost(v, 3) + " mL" }
	var out []string
	say := func(format string, args ...any) { out = append(out, fmt.Sprintf(format, args...)) }
	say("arithmetic on your own numbers: now %s; target %s", p.Finding.LevelText(), words.Quantity(of, p.Aim.Target))
	if days > 0 {
		say("day by day, the standing amount included, with the level after it (%.0f %%):", 100*water.PlanConfidence)
		var rows words.Table
		for _, s := range p.Steps {
			rows.Add(words.Weekday(s.Time), ml(s.Millilitres), words.QuantityRange(of, s.Expect.Level, s.Expect.Lo, s.Expect.Hi))
		}
		lines := rows.Lines("  ", 0, nil)
		if most > 0 && days > most {
			head := max(most, 3) - 2
			lines = append(append(lines[:head:head], fmt.Sprintf("  … and %d days more like these", days-head-1)), lines[days-1])
		}
		out = append(out, lines...)
		say("from %s on: %s a day of %s holds it", words.Weekday(p.Aim.Start.AddDate(0, 0, days)), ml(p.StandingML), what)
	} else {
		say("to hold it: %s a day of %s", ml(p.StandingML), what)
	}
	out = append(out, p.Demand.Text())
	if supply := p.Demand.Estimate.Supply; supply > 0 {
		say("all of this is in place of the present dosing of %s a day", words.Rise(of, supply))
	}
	if p.Finding.dosedByHand(Day(p.Aim.Start)) {
		say("and of the doses by hand of the last %d days, which the demand holds", handDays)
	}
	say("greatest change a day: %s up, %s down", words.Rise(of, p.Aim.MaxRise), words.Rise(of, p.Aim.MaxFall))
	between := ""
	if days > p.TestDay {
		between = fmt.Sprintf(", and every %s while it goes on", words.Plural(max(p.TestDay, 1), "day", "days"))
	}
	say("test again by %s%s; where the reading lies outside what is written for its day, stop and plan anew",
		words.Weekday(p.TestBy()), between)
	if !math.IsNaN(p.ReservoirDays) {
		say("the supplement at hand lasts %s days, until %s", water.FormatAtMost(math.Floor(p.ReservoirDays), 3),
			words.Day(p.Aim.Start.AddDate(0, 0, int(math.Min(p.ReservoirDays, 1e5)))))
	}
	for _, note := range p.Notes {
		say("note: %s", note)
	}
	return out
}

// Beware are the cautions of a plan that are said in a line each.
func (p Plan) Beware() []string { return water.Briefs(p.Cautions()) }

// CautionsOf are those that go with making up and keeping a supplement: of every plan's, the label and, for what raises
// alkalinity or calcium, the mixing of concentrates; then what it must not meet of the others, then its own.
func CautionsOf(s logbook.Supplement, others []logbook.Supplement,
	parameters []logbook.Parameter) (list []water.Caution) {
	builds := slices.ContainsFunc(s.Raises(parameters), func(r logbook.Rise) bool { return builtWith(r.Parameter) })
	list = words.Those(water.PlanCautions(), func(of water.Caution) bool {
		return of.Topic == "label first" || of.Topic == concentrates && builds
	})
	if apart, ok := s.KeptApart(others); ok {
		list = append(list, apart)
	}
	return append(list, s.Cautions()...)
}

// concentrates is the topic of the caution for what corals build with, whose concentrates precipitate.
const concentrates = "calcium and alkalinity"

// builtWith says whether corals build with a parameter.
func builtWith(p logbook.Parameter) bool { return p.Name == "alkalinity" || p.Name == "calcium" }

// BewareDosing are the cautions where a supplement is dosed: with what it must not be mixed, and what
// it does to the hand.
func BewareDosing(s logbook.Supplement, others []logbook.Supplement) []water.Caution {
	return beware(s, others, "kept apart", "limewater and lye", "limewater slowly")
}

// BewareRefill are those where it is made up anew.
func BewareRefill(s logbook.Supplement, others []logbook.Supplement) []water.Caution {
	return beware(s, others, "kept apart", "limewater and lye", "order of mixing", "oxidisers")
}

func beware(s logbook.Supplement, others []logbook.Supplement, topics ...string) []water.Caution {
	return slices.DeleteFunc(CautionsOf(s, others, nil), func(c water.Caution) bool {
		return !slices.Contains(topics, c.Topic)
	})
}
