package alerts

import (
	"cmp"
	"slices"
	"time"

	"leadline/logbook"
	"leadline/trend"
)

// A screen cannot wait for the examination of every series before it shows anything. The steps of Examine are therefore
// open to it one by one: Look gives the report with what lies at hand, Report.Put takes in each line as ExamineParameter
// gives it, and Report.PutUpkeep what UpkeepOf says of stocks and chores. Once all are in, the report is that of Examine.

// Look takes a quick look at a tank as-of a moment: the lines an examination will have, each with its band and its latest
// reading, one bounded read each. The lines are Unexamined: what the readings say is still to come.
func Look(v *logbook.View, tank string, asOf time.Time) (Report, error) {
	report, err := newReport(v, tank, asOf)
	if err != nil {
		return Report{}, err
	}
	for i := range report.Findings {
		l := &report.Findings[i]
		if l.Band, err = BandOf(l.Tank, l.Parameter); err != nil {
			return Report{}, err
		}
		if l.Readings, err = v.LastReadings(tank, l.Parameter.Name, asOf, 1); err != nil {
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
	if err != nil {
		return Report{}, err
	}
	report := Report{Tank: t, AsOf: asOf, Unexamined: true}
	for _, p := range parameters {
		report.Findings = append(report.Findings, Finding{Series: Series{Tank: t, Parameter: p}, Unexamined: true})
	}
	return report, nil
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
	slices.SortStableFunc(r.Findings, func(a, b Finding) int { return cmp.Compare(order.Rank(a.Parameter), order.Rank(b.Parameter)) })
}

// PutUpkeep takes in the stocks and chores.
func (r *Report) PutUpkeep(u Upkeep) {
	r.Stocks, r.Chores, r.ofUpkeep, r.Unexamined = u.Stocks, u.Chores, u.Alerts, false
	r.gather()
}

// Upkeep is what the report says of stocks and chores.
func (r *Report) Upkeep() Upkeep { return Upkeep{r.Stocks, r.Chores, r.ofUpkeep} }

// gather lists the alerts of what is in so far.
func (r *Report) gather() {
	r.Alerts = nil
	for _, l := range r.Findings {
		r.Alerts = append(r.Alerts, l.Alerts...)
	}
	r.Alerts = append(r.Alerts, r.ofUpkeep...)
	Sort(r.Alerts, r.AsOf)
}

// Upkeep is what is to be done about a tank beside testing its water.
type Upkeep struct {
	Stocks []Stock // by name
	Chores []Chore // by name
	Alerts []Alert // of both, what wants attention first
}

// UpkeepOf works out the stocks and chores of a tank as-of a moment, with the keeper's acknowledgements applied.
func UpkeepOf(v *logbook.View, t logbook.Tank, asOf time.Time) (Upkeep, error) {
	var u Upkeep
	var err error
	if u.Stocks, err = stocksOf(v, t, asOf); err != nil {
		return Upkeep{}, err
	}
	if u.Chores, err = choresOf(v, t, asOf); err != nil {
		return Upkeep{}, err
	}
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
	answers, err := answersOf(v, t.Name, asOf)
	if err != nil {
		return Upkeep{}, err
	}
	applyAnswers(u.Alerts, answers, asOf)
	Sort(u.Alerts, asOf)
	return u, nil
}
