package entry

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// ErrUndescribed is what the error wraps where a volume is given of a supplement whose strength is not known.
var ErrUndescribed = errors.New("is not described, so its strength is not known")

// Addition is what was added: a dose, or what is dosed from now on.
type Addition struct {
	Daily            bool
	Time             time.Time
	Supplement, Note string
}

// Rise is what an addition does to one parameter in the whole tank's water.
type Rise struct {
	Parameter logbook.Parameter
	Amount    float64
	Unit      string
}

// Read reads the amount of an addition: a rise of the parameter, "0.5" in the unit given ("": the one shown) or
// "0.2 meq/L", or a volume of its supplement, "20 mL", which raises all that the supplement does. With a volume the
// parameter may be nil; where it is named, it must be one that is raised.
func (c Context) Read(a Addition, p *logbook.Parameter, text, unit string) ([]Rise, error) {
	value, typed := logbook.Split(text)
	v, err := Number(value)
	switch {
	case value == "":
		return nil, errors.New("how much?")
	case err != nil:
		return nil, err
	case v < 0:
		return nil, errors.New("less than nothing cannot be added")
	case v == 0 && !a.Daily:
		return nil, errors.New("nothing is no dose")
	}
	if litres, err := water.Litres(v, typed); err == nil {
		return c.raisedBy(a.Supplement, 1000*litres, p)
	}
	if p == nil {
		return nil, errors.New("of which parameter?")
	}
	if err := p.Doseable(); err != nil {
		return nil, err
	}
	u, err := p.TypedUnit(cmp.Or(typed, unit))
	if err != nil {
		return nil, err
	}
	_, err = u.CanonicalChange(v)
	return []Rise{{*p, v, u.Name()}}, err
}

func (c Context) raisedBy(name string, ml float64, p *logbook.Parameter) (rises []Rise, err error) {
	s, ok := c.Supplement(name)
	switch {
	case name == "":
		return nil, errors.New("millilitres of which supplement? its strength tells what a volume raises")
	case !ok:
		return nil, fmt.Errorf("supplement %q %w", name, ErrUndescribed)
	case c.Tank.VolumeL <= 0:
		return nil, refuse("leadline tank set --tank "+strconv.Quote(c.Tank.Name)+" --volume LITRES",
			"the net volume of %s is not known, so millilitres cannot be turned into a rise", c.Tank.Name)
	}
	var names []string
	for _, r := range s.Raises(c.Parameters) {
		by, err := r.Strength.Rise(ml, c.Tank.VolumeL)
		if err != nil {
			return nil, err
		}
		rises, names = append(rises, Rise{r.Parameter, significant(r.Parameter.Shown.ChangeFromCanonical(by)),
			r.Parameter.ShownUnit()}), append(names, r.Parameter.Name)
	}
	switch {
	case len(rises) == 0:
		err = fmt.Errorf("%s, as it is described, raises nothing that is kept here", s.Name)
	case p != nil && !slices.Contains(names, p.Name):
		err = fmt.Errorf("%s, as it is described, raises %s and not %s: name another supplement, or another parameter",
			s.Name, strings.Join(names, ", "), p.Name)
	}
	return rises, err
}

// significant keeps six digits: what is computed from a volume is known no better.
func significant(v float64) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	if err != nil {
		return v
	}
	return rounded
}

// Entries are the entries of an addition whose amount was typed, one for each rise. The note says a volume as it was
// typed.
func (c Context) Entries(a Addition, text string, rises []Rise) (entries []logbook.Entry) {
	if s, described := c.Supplement(a.Supplement); described {
		a.Supplement = s.Name // as it is spelled there, or it would count as another
	}
	value, unit := logbook.Split(text)
	if _, err := water.Litres(1, unit); err == nil {
		value, _ = logbook.PointFor(value)
		a.Note = strings.Trim(value+" "+unit+"; "+a.Note, "; ")
	}
	for _, r := range rises {
		if a.Daily {
			entries = append(entries, logbook.Dosing{Time: a.Time, Tank: c.Tank.Name, Parameter: r.Parameter.Name,
				PerDay: r.Amount, Unit: r.Unit, Supplement: a.Supplement, Note: a.Note})
		} else {
			entries = append(entries, logbook.Dose{Time: a.Time, Tank: c.Tank.Name, Parameter: r.Parameter.Name,
				Amount: r.Amount, Unit: r.Unit, Supplement: a.Supplement, Note: a.Note})
		}
	}
	return entries
}

// Takes is how much of its supplement a rise takes, "45.0 mL of soda ash"; "" where strength or volume is not known.
func (c Context) Takes(r Rise, supplement string) string {
	ml := c.millilitres(r, supplement)
	if ml == "" {
		return ""
	}
	s, _ := c.Supplement(supplement)
	return ml + " of " + s.Name
}

// millilitres is how much of a supplement makes a rise, as text; "" where its strength is not known.
func (c Context) millilitres(r Rise, supplement string) string {
	s, ok := c.Supplement(supplement)
	if !ok || c.Tank.VolumeL <= 0 || r.Amount <= 0 {
		return ""
	}
	by, err := r.Parameter.CanonicalChange(r.Amount, r.Unit)
	strength, unknown := s.Strength(r.Parameter)
	if err != nil || unknown != nil {
		return ""
	}
	ml, err := strength.Millilitres(by, c.Tank.VolumeL)
	if err != nil {
		return ""
	}
	return water.FormatSignificant(ml, 3) + " mL"
}

// BewareDose are the cautions where something is about to be added.
func (c Context) BewareDose(supplement string, rises []Rise) []water.Caution {
	s, ok := c.Supplement(supplement)
	if !ok || !slices.ContainsFunc(rises, func(r Rise) bool { return r.Amount > 0 }) {
		return nil
	}
	return alerts.BewareDosing(s, c.Supplements)
}

// If reads an amount that is only imagined, as its rise in the canonical unit. A volume is of the supplement in use.
// of is the standing amount whose place a daily one takes; doubt says why the rise may be a slip.
func (c Context) If(daily bool, p logbook.Parameter, text string, of float64) (rise float64, doubt string, err error) {
	name, _ := c.InUse(p)
	rises, err := c.Read(Addition{Daily: daily, Supplement: name}, &p, text, "")
	if err != nil {
		return 0, "", err
	}
	i := slices.IndexFunc(rises, func(r Rise) bool { return r.Parameter.Name == p.Name })
	if rise, err = p.CanonicalChange(rises[i].Amount, rises[i].Unit); err != nil {
		return 0, "", err
	}
	if !daily {
		of = 0
	}
	if doubt = logbook.UnlikelyRise(p, rise-of); doubt != "" && daily {
		doubt += consumed
	}
	return rise, doubt, nil
}

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
	twice, err := r.twice(v, d)
	return append(doubts, twice...), err
}

// twice asks whether a dose or a dosing was noted already: of the same supplement, with the same rise.
func (r riding) twice(v *logbook.View, e logbook.Entry) (doubts []string, err error) {
	of := func(e logbook.Entry) (supplement string, rise float64) {
		d, _ := e.(logbook.Dose)
		if x, is := e.(logbook.Dosing); is {
			d = logbook.Dose{Parameter: x.Parameter, Amount: x.PerDay, Unit: x.Unit, Supplement: x.Supplement}
		}
		rise, err := r.p.CanonicalChange(d.Amount, d.Unit)
		if err != nil || d.Parameter != r.p.Name {
			rise = math.NaN()
		}
		return d.Supplement, rise
	}
	supplement, rise := of(e)
	return notedTwice(v, e, r.p.Name, func(old logbook.Entry) bool {
		was, by := of(old)
		return strings.EqualFold(was, supplement) && math.Abs(by-rise) <= 1e-9*rise
	})
}

// notedTwice asks whether an entry about something was noted already, where one that is the same lies within the hour
// of it.
func notedTwice(v *logbook.View, e logbook.Entry, about string, same func(old logbook.Entry) bool) (doubts []string,
	err error) {
	there, err := v.Entries(e.TankName(), e.Kind(), e.When().Add(-twiceWithin), e.When().Add(twiceWithin))
	if old, found := words.First(there, same); found {
		doubts = []string{fmt.Sprintf("%s: the same %s was noted at %s: did somebody else note this one already?",
			about, words.Kind(e.Kind()), old.When().In(e.When().Location()).Format("15:04"))}
	}
	return doubts, err
}

// manyTimes is how many times the most that any of the last refills left asks whether the unit is right: a slip of it
// or of the decimal point is ten times. Chosen here.
const manyTimes = 5

// DoubtRefill says why a refill may be a slip: one that was noted within the hour, or far more than there ever was.
func DoubtRefill(v *logbook.View, r logbook.Refill) (doubts []string, err error) {
	last, err := v.LastRefills(r.Tank, r.Stock, time.Time{}, 5)
	if err != nil {
		return nil, err
	}
	most := 0.0
	for _, old := range last {
		most = max(most, old.Amount)
	}
	if most > 0 && r.Amount >= manyTimes*most {
		doubts = append(doubts, fmt.Sprintf("%s: %s is %.0f times the most there was after the last refills, %s: is the "+
			"unit right?", r.Stock, words.Plain(r.Amount), r.Amount/most, words.Plain(most)))
	}
	twice, err := notedTwice(v, r, r.Stock, func(e logbook.Entry) bool {
		old, ok := e.(logbook.Refill)
		return ok && old.Stock == r.Stock && old.Amount == r.Amount
	})
	return append(doubts, twice...), err
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
	case known:
		doubts = []string{fmt.Sprintf("%s: of %s a day in all the tank takes about %s: %s", r.p.Name,
			words.RiseAmount(r.p, r.standing), words.RiseAmount(r.p, r.taken), why)}
	default:
		doubts = []string{r.p.Name + ": " + why + consumed}
	}
	twice, err := r.twice(v, d)
	return append(doubts, twice...), err
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
