package entry

import (
	"fmt"
	"math"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// consumed goes behind a doubt of a daily amount of which it is not known whether the tank takes it.
const consumed = "; right only if the tank consumes as much"

// twiceWithin is the time within which the same dose again looks like one dose noted by two people.
const twiceWithin = time.Hour

// DoubtRises refuses doses and dosings that no water can take. Of those that are larger than is careful it says why:
// a dose counts with all that was dosed in the 24 hours about it, and a daily amount with all others of the
// parameter, less what the tank is known to take. A dose that was noted within the hour is asked about.
func DoubtRises(v *logbook.View, entries []logbook.Entry) (doubts []string, err error) {
	for _, e := range entries {
		if err := v.RefuseRise(e); err != nil {
			return nil, err
		}
		var more []string
		switch e := e.(type) {
		case logbook.Dose:
			more, err = doubtDose(v, e, entries)
		case logbook.Dosing:
			more, err = doubtDosing(v, e, entries)
		}
		if err != nil {
			return nil, err
		}
		doubts = append(doubts, more...)
	}
	return doubts, nil
}

func doubtDose(v *logbook.View, d logbook.Dose, with []logbook.Entry) (doubts []string, err error) {
	r, err := ridingOn(v, d.Tank, d.Parameter, d.Time, with)
	if err != nil {
		return nil, err
	}
	own, err := r.p.CanonicalChange(d.Amount, d.Unit)
	if err != nil {
		return nil, err
	}
	dosed, excess := r.dosed(), 0.0
	if r.standing > r.taken { // not where it is unknown what is taken
		excess = r.standing - math.Max(r.taken, 0)
	}
	if why := logbook.UnlikelyRise(r.p, dosed+excess); why != "" {
		if more := dosed + excess - own; more > 1e-9*own {
			why = fmt.Sprintf("with %s more within 24 hours, %s", words.RiseAmount(r.p, more), why)
		}
		doubts = append(doubts, r.p.Name+": "+why)
	}
	there, err := v.Entries(d.Tank, logbook.KindDose, d.Time.Add(-twiceWithin), d.Time.Add(twiceWithin))
	if err != nil {
		return nil, err
	}
	for _, e := range there {
		old, ok := e.(logbook.Dose)
		if !ok || old.Parameter != r.p.Name || !strings.EqualFold(old.Supplement, d.Supplement) {
			continue
		}
		if was, err := r.p.CanonicalChange(old.Amount, old.Unit); err == nil && math.Abs(was-own) <= 1e-9*own {
			doubts = append(doubts, fmt.Sprintf("%s: the same dose was noted at %s: did somebody else note this one already?",
				r.p.Name, old.Time.In(d.Time.Location()).Format("15:04")))
			break
		}
	}
	return doubts, nil
}

func doubtDosing(v *logbook.View, d logbook.Dosing, with []logbook.Entry) (doubts []string, err error) {
	r, err := ridingOn(v, d.Tank, d.Parameter, d.Time, with)
	if err != nil {
		return nil, err
	}
	known := !math.IsNaN(r.taken)
	of := r.before
	if known {
		of = math.Max(r.taken, 0)
	}
	why := logbook.UnlikelyRise(r.p, r.standing-of)
	switch {
	case why == "":
		return nil, nil
	case known:
		why = fmt.Sprintf("of %s a day in all the tank takes about %s: %s", words.RiseAmount(r.p, r.standing),
			words.RiseAmount(r.p, r.taken), why)
	default:
		why += consumed
	}
	return []string{r.p.Name + ": " + why}, nil
}

// riding is what an addition comes on top of, in the parameter's canonical unit.
type riding struct {
	p                logbook.Parameter
	at               float64 // day
	inputs           []trend.Input
	standing, before float64 // per day: with what is about to be noted; a day earlier
	taken            float64 // per day by the tank; NaN: not known
}

func ridingOn(v *logbook.View, tank, parameter string, at time.Time, with []logbook.Entry) (r riding, err error) {
	if r.p, err = v.Parameter(parameter); err != nil {
		return r, err
	}
	from, to := at.AddDate(0, 0, -1), at.AddDate(0, 0, 1)
	done, err := alerts.DoneBetween(v, tank, parameter, from, to)
	if err != nil {
		return r, err
	}
	if r.inputs, err = alerts.Inputs(r.p, append(done, with...)); err != nil {
		return r, err
	}
	r.at = alerts.Day(at)
	for _, in := range r.inputs {
		if in.Kind == trend.Dosing && in.Day <= r.at {
			if r.standing = in.Amount; in.Day <= r.at-1 {
				r.before = in.Amount
			}
		}
	}
	r.taken = math.NaN()
	if r.standing == 0 { // nothing to hold it against
		return r, nil
	}
	t, err := v.Tank(tank)
	if err != nil {
		return r, err
	}
	d, err := alerts.DemandOf(v, t, r.p, at)
	r.taken = d.Estimate.PerDay
	return r, err
}

// dosed is the most that single doses bring within any 24 hours about the moment.
func (r riding) dosed() (most float64) {
	for _, first := range r.inputs {
		sum := 0.0
		for _, in := range r.inputs {
			if in.Kind == trend.Dose && first.Day <= in.Day && in.Day < first.Day+1 {
				sum += in.Amount
			}
		}
		if first.Kind == trend.Dose && first.Day > r.at-1 && first.Day <= r.at {
			most = max(most, sum)
		}
	}
	return most
}
