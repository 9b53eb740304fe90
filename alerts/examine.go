package alerts

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// Finding is what an examination finds of one parameter of a tank as-of a moment.
type Finding struct {
	Series
	BandState  BandState
	Assessment trend.Assessment // days counted by Day
	EveryDays  float64          // how often it is tested; 0: on occasion
	Due        time.Time        // next test; zero if on occasion only
	Supply     float64          // standing dosing per day as-of the moment, canonical unit
	Alerts     []Alert
	Unexamined bool // of Look: everything but band and latest reading is still to come
}

// Report is a tank as-of a moment.
type Report struct {
	Tank     logbook.Tank
	AsOf     time.Time
	Findings []Finding // every parameter that has readings or a band, in the tank's order
	Stocks   []Stock   // by name
	Chores   []Chore   // by name
	Alerts   []Alert   // of all lines, stocks and chores, what wants attention first

	Unexamined bool    // of Look: stocks and chores, and the lines that say so, are still to come
	ofUpkeep   []Alert // those of stocks and chores
}

// Examine examines one tank as-of a moment: every parameter's readings through observation and assessment to alerts,
// with the keeper's acknowledgements applied. What it costs depends on MaxReadings, not on the age of the book.
func Examine(v *logbook.View, tank string, asOf time.Time) (Report, error) {
	report, err := newReport(v, tank, asOf)
	if err != nil {
		return Report{}, err
	}
	for i, l := range report.Findings {
		if report.Findings[i], err = ExamineParameter(v, l.Tank, l.Parameter, asOf, 0); err != nil {
			return Report{}, err
		}
	}
	upkeep, err := UpkeepOf(v, report.Tank, asOf)
	if err != nil {
		return Report{}, err
	}
	report.PutUpkeep(upkeep)
	return report, nil
}

// ExamineParameter examines one parameter of a tank as-of a moment. windowDays is the length of the rolling view; 0
// means trend.DefaultWindow.
func ExamineParameter(v *logbook.View, t logbook.Tank, p logbook.Parameter, asOf time.Time,
	windowDays float64) (Finding, error) {
	s, err := seriesUpTo(v, t, p, asOf)
	if err != nil {
		return Finding{}, err
	}
	answers, err := answersOf(v, t.Name, asOf)
	if err := cmp.Or(s.loadWindow(v, asOf, windowDays), s.loadProbe(v, asOf), err); err != nil {
		return Finding{}, err
	}
	return s.examine(asOf, answers), nil
}

// examine says what a series tells as-of a moment, with the keeper's answers applied.
func (s Series) examine(asOf time.Time, answers []logbook.Entry) Finding {
	set := s.settings()
	set.Window, set.InWindow = s.windowDays, s.inWindow
	f := s.assessed(trend.Assess(s.observations, s.Inputs, Day(asOf), set))
	f.EveryDays = s.everyDays()
	if n := len(f.Readings); n > 0 && f.EveryDays > 0 {
		f.Due = f.Readings[n-1].Time.Add(time.Duration(f.EveryDays * dayNanos))
	}
	if f.probe.writes && f.Band.EveryDays == 0 && f.Due.After(asOf) {
		f.Due = time.Time{} // while a probe writes, nobody need test; one that has written nothing for a day is late
	}
	f.Supply = f.Assessment.Supply
	f.judge(asOf)
	if f.testFirst() && f.Due.After(asOf) {
		f.Due = asOf
	}
	applyAnswers(f.Alerts, answers, asOf)
	Sort(f.Alerts, asOf)
	return f
}

// judge raises the alerts, the graver rules first: a fact that one of them has told is not told again.
func (f *Finding) judge(asOf time.Time) {
	for _, rule := range []func(Finding, time.Time) (Alert, bool){
		floorAlert, suspectAlert, swingAlert, bandAlert, unmetAlert, dueAlert, driftAlert} {
		if a, ok := rule(*f, asOf); ok {
			a.Tank, a.Parameter = f.Tank.Name, f.Parameter.Name
			f.Alerts = append(f.Alerts, a)
		}
	}
}

// Gravest is the first alert that is about the level; ok is false where there is none.
func (l Finding) Gravest() (a Alert, ok bool) {
	return words.First(l.Alerts, func(a Alert) bool { return a.Rule != RuleOverdue })
}

// has reports whether an earlier rule has raised one of these: a fact is told once.
func (l Finding) has(rules ...Rule) bool {
	return slices.ContainsFunc(l.Alerts, func(a Alert) bool { return slices.Contains(rules, a.Rule) })
}

// assessed is a finding without alerts.
func (s Series) assessed(a trend.Assessment) Finding {
	return Finding{Series: s, Assessment: a, BandState: s.stateIn(a, s.probe.shows())}
}

// Hindcast is what the engine would have said at each past reading of a parameter: one Finding per reading, in time
// order, without alerts, judged by the band of today or, as it was, by the one that held at the time of the reading. It
// loads the whole series. Of a dense log it tells one reading a day, and its findings are Thinned; see HindcastAt for
// the others.
func Hindcast(v *logbook.View, t logbook.Tank, p logbook.Parameter, asItWas bool) (all []Finding, err error) {
	bands, err := judgedBy(v, t, p, asItWas)
	if err != nil {
		return nil, err
	}
	for _, h := range bands {
		s, err := seriesBetween(v, h.tank, p, time.Time{}, time.Time{})
		if err != nil {
			return nil, err
		}
		for i, a := range trend.Hindcast(s.observations, s.Inputs, s.settings()) {
			then := s
			then.Readings = s.Readings[:i+1]
			if h.held(s.Readings[i].Time) {
				all = append(all, then.assessed(a))
			}
		}
	}
	return all, nil
}

// HindcastAt is what the engine would have said at one past reading, without alerts. For a series that is not dense
// it is the finding that Hindcast gives. What it costs depends on MaxReadings.
func HindcastAt(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time, asItWas bool) (Finding, error) {
	bands, err := judgedBy(v, t, p, asItWas)
	if h, found := words.First(bands, func(h HeldBand) bool { return h.held(at) }); found {
		t = h.tank
	}
	s, err2 := seriesUpTo(v, t, p, at)
	if err := cmp.Or(err, err2, s.loadProbe(v, at)); err != nil {
		return Finding{}, err
	}
	return s.assessed(trend.Assess(s.observations, s.Inputs, Day(at), s.settings())), nil
}

// judgedBy are the bands by which a hindcast judges: that of today or, as it was, those that held one after the other.
func judgedBy(v *logbook.View, t logbook.Tank, p logbook.Parameter, asItWas bool) (bands []HeldBand, err error) {
	if asItWas {
		bands, err = BandsHeld(v, t, p)
	}
	if len(bands) == 0 {
		bands = []HeldBand{{tank: t}}
	}
	return bands, err
}

// ParametersOf lists what a tank measures or wants to measure, in the tank's own order.
func ParametersOf(v *logbook.View, t logbook.Tank) ([]logbook.Parameter, error) {
	measured, err := v.Measured(t.Name)
	all, err2 := v.Parameters()
	if err := cmp.Or(err, err2); err != nil {
		return nil, err
	}
	all = slices.DeleteFunc(all, func(p logbook.Parameter) bool {
		_, banded := t.Bands[p.Name]
		return !banded && !slices.Contains(measured, p.Name)
	})
	t.Order.Sort(all)
	return all, nil
}

// A screen cannot wait for the examination of every series before it shows anything. The steps of Examine are therefore
// open to it one by one: Look gives the report with what lies at hand, Report.Put takes in each line as
// ExamineParameter gives it, and Report.PutUpkeep what UpkeepOf says of stocks and chores. Once all are in, the report
// is that of Examine.

// Look takes a quick look at a tank as-of a moment: the lines an examination will have, each with its band and its
// latest reading, one bounded read each. The lines are Unexamined: what the readings say is still to come.
func Look(v *logbook.View, tank string, asOf time.Time) (Report, error) {
	report, err := newReport(v, tank, asOf)
	if err != nil {
		return Report{}, err
	}
	for i := range report.Findings {
		l := &report.Findings[i]
		var err1, err2 error
		l.Band, err1 = BandOf(l.Tank, l.Parameter)
		l.Readings, err2 = v.LastReadings(tank, l.Parameter.Name, asOf, 1)
		if err := cmp.Or(err1, err2); err != nil {
			return Report{}, err
		}
		l.Assessment = trend.Assess(nil, nil, Day(asOf), l.settings())
	}
	return report, nil
}

// newReport is the report of a tank before anything is read: its lines in their order, all Unexamined.
func newReport(v *logbook.View, tank string, asOf time.Time) (Report, error) {
	t, err := v.Tank(tank)
	if err != nil {
		return Report{}, err
	}
	parameters, err := ParametersOf(v, t)
	report := Report{Tank: t, AsOf: asOf, Unexamined: true}
	for _, p := range parameters {
		report.Findings = append(report.Findings, Finding{Series: Series{Tank: t, Parameter: p}, Unexamined: true})
	}
	return report, err
}

// Finding is the line of a parameter; false where there is none.
func (r Report) Finding(parameter string) (Finding, bool) {
	return words.First(r.Findings, func(l Finding) bool { return l.Parameter.Name == parameter })
}

// Put takes in the line of a parameter in the place of the one there is; a line of another parameter is left aside.
func (r *Report) Put(l Finding) {
	i := slices.IndexFunc(r.Findings, func(old Finding) bool { return old.Parameter.Name == l.Parameter.Name })
	if i >= 0 {
		r.Findings[i] = l
		r.gather()
	}
}

// Arrange puts the lines of a tank that has no order of its own into the usual one; lines it does not list come after.
func (r *Report) Arrange(usual logbook.Order) {
	order := r.Tank.OrderOr(usual)
	slices.SortStableFunc(r.Findings, func(a, b Finding) int {
		return cmp.Compare(order.Rank(a.Parameter), order.Rank(b.Parameter))
	})
}

// PutUpkeep takes in the stocks and chores.
func (r *Report) PutUpkeep(u Upkeep) {
	r.Stocks, r.Chores, r.ofUpkeep, r.Unexamined = u.Stocks, u.Chores, u.Alerts, false
	r.gather()
}

// Upkeep is what the report says of stocks and chores.
func (r *Report) Upkeep() Upkeep { return Upkeep{r.Stocks, r.Chores, r.ofUpkeep} }

func (r *Report) gather() {
	r.Alerts = nil
	for _, l := range r.Findings {
		r.Alerts = append(r.Alerts, l.Alerts...)
	}
	for _, a := range r.ofUpkeep {
		if name, low := r.strippedBy(a.Subject); low && a.Rule == RuleChoreDue {
			a.Headline = headline(words.OneLine(a.Subject)+" is late, but "+name+" is near nothing: wait with it",
				name+" is near nothing: wait with "+words.OneLine(a.Subject))
		}
		r.Alerts = append(r.Alerts, a)
	}
	Sort(r.Alerts, r.AsOf)
}

// strippedBy is the nutrient near nothing that a chore would take out of the water, by its name: new media bind most.
// Carbon binds neither. What names neither nitrate nor phosphate may bind either.
func (r Report) strippedBy(chore string) (nutrient string, low bool) {
	has := func(any ...string) bool {
		return slices.ContainsFunc(any, func(word string) bool { return strings.Contains(strings.ToLower(chore), word) })
	}
	if !has("media", "gfo", "resin", "phosphate remover", "nitrate remover") || has("carbon") && !has("gfo") {
		return "", false
	}
	for _, nutrient := range []string{"phosphate", "nitrate"} {
		named := has(nutrient) || nutrient == "phosphate" && has("gfo") || !has("phosphate", "gfo", "nitrate")
		if l, there := r.Finding(nutrient); there && named && l.nearNothing() {
			return nutrient, true
		}
	}
	return "", false
}

// Upkeep is what is to be done about a tank beside testing its water.
type Upkeep struct {
	Stocks []Stock // by name
	Chores []Chore // by name
	Alerts []Alert // of both, what wants attention first
}

// UpkeepOf works out the stocks and chores of a tank as-of a moment, with the keeper's acknowledgements applied.
func UpkeepOf(v *logbook.View, t logbook.Tank, asOf time.Time) (Upkeep, error) {
	stocks, err1 := stocksOf(v, t, asOf)
	chores, err2 := choresOf(v, t, asOf)
	answers, err3 := answersOf(v, t.Name, asOf)
	if err := cmp.Or(err1, err2, err3); err != nil {
		return Upkeep{}, err
	}
	u := Upkeep{Stocks: stocks, Chores: chores}
	add := func(a Alert, ok bool) {
		if ok {
			u.Alerts = append(u.Alerts, a)
		}
	}
	for _, s := range u.Stocks {
		add(s.lowAlert(asOf))
		add(s.expiredAlert(asOf))
	}
	for _, c := range u.Chores {
		add(c.dueAlert(asOf))
	}
	applyAnswers(u.Alerts, answers, asOf)
	Sort(u.Alerts, asOf)
	return u, nil
}
