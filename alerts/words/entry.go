package words

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"leadline/logbook"
	"leadline/logbook/water"
)

// Typed is a reading as it was typed, with its unit.
func Typed(r logbook.Reading) string { return WithUnit(OneLine(r.Text), r.Unit) }

// Value is a reading in the unit that the parameter is shown in, without it: as it was typed where it was typed in
// that, so that it claims no more digits than the test gave.
func Value(p logbook.Parameter, r logbook.Reading) string { return ValueIn(p, p.ShownUnit(), r) }

// Shown is Value with its unit.
func Shown(p logbook.Parameter, r logbook.Reading) string { return WithUnit(Value(p, r), Unit(p)) }

// ValueIn is Value in a unit of the parameter.
func ValueIn(p logbook.Parameter, unit string, r logbook.Reading) string {
	as, err := p.FindUnit(r.Unit)
	if u, unknown := p.FindUnit(unit); err == nil && unknown == nil && as == u {
		return OneLine(r.Text)
	}
	return r.Bound.Sign() + NumberIn(p, unit, r.Value)
}

// Reading is a reading as it was typed and, where that was in another unit, in the one shown: to more decimals
// than the parameter's where these would leave nothing of it, and without those that say nothing.
func Reading(p logbook.Parameter, r logbook.Reading) string {
	if p.Name == "" || p.ShownUnit() == r.Unit {
		return Typed(r)
	}
	digits, shown := p.DigitsIn(p.Shown), p.Shown.FromCanonical(r.Value)
	for digits < 9 && shown != 0 && math.Abs(shown) < math.Pow(10, -float64(digits)) {
		digits++
	}
	number := water.Format(shown, digits)
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return Typed(r) + " = " + WithUnit(r.Bound.Sign()+number, Unit(p))
}

// Known is what entries are put into words by.
type Known struct {
	Parameters []logbook.Parameter
	Stocks     []logbook.Stock
}

// Know loads what the entries of a tank are put into words by.
func Know(v *logbook.View, tank string) (k Known, err error) {
	if k.Parameters, err = v.Parameters(); err != nil {
		return k, err
	}
	k.Stocks, err = v.Stocks(tank)
	return k, err
}

// Entry is an entry without its time and tank, such as "alkalinity dosing 0.9 dKH a day of soda ash".
func (k Known) Entry(e logbook.Entry) string {
	what, _ := k.Short(e)
	return strings.TrimSpace(Subject(e) + " " + what)
}

// Line is an entry on one line, with its time and tank.
func (k Known) Line(e logbook.Entry) string {
	return fmt.Sprintf("%s %s %s", Moment(e.When()), OneLine(e.TankName()), k.Entry(e))
}

// Subject is the parameter that an entry is about; "" where it is about the whole tank.
func Subject(e logbook.Entry) string {
	switch e := e.(type) {
	case logbook.Reading:
		return e.Parameter
	case logbook.Dosing:
		return e.Parameter
	case logbook.Dose:
		return e.Parameter
	default:
		return ""
	}
}

// Short is Entry where its parameter is known from what stands around it, with the note that was written to it.
func (k Known) Short(e logbook.Entry) (what, note string) {
	what, note = k.short(e)
	return what + NotedBy(e), note
}

// NotedBy is the end of a sentence that says who noted it; "" where nobody is named.
func NotedBy(e logbook.Entry) string { return With(", noted by ", logbook.Who(e)) }

func (k Known) short(e logbook.Entry) (what, note string) {
	switch e := e.(type) {
	case logbook.Reading:
		p, _ := logbook.FindParameter(k.Parameters, e.Parameter)
		return Reading(p, e) + With(" by ", e.Method), e.Note
	case logbook.Dosing:
		if e.PerDay == 0 {
			return "dosing" + With(" of ", e.Supplement) + " stopped", e.Note
		}
		return "dosing " + k.Amount(e.Parameter, e.PerDay, e.Unit) + " a day" + With(" of ", e.Supplement), e.Note
	case logbook.Dose:
		return "dose of " + k.Amount(e.Parameter, e.Amount, e.Unit) + With(", ", e.Supplement), e.Note
	case logbook.WaterChange:
		return "water change of " + Share(e.Fraction), e.Note
	case logbook.Event:
		what = strings.TrimPrefix(OneLine(e.Subject)+": ", ": ") + OneLine(e.Text)
		if len(e.Tags) > 0 {
			what += " (" + OneLine(strings.Join(e.Tags, ", ")) + ")"
		}
		return what, ""
	case logbook.ChoreDone:
		return OneLine(e.Chore) + " done", e.Note
	case logbook.Refill:
		s, _ := First(k.Stocks, func(s logbook.Stock) bool { return s.Name == e.Stock })
		return fmt.Sprintf("%s: %s there", OneLine(e.Stock), Amount(e.Amount, s.Unit)) + With(", expires ", e.Expires), e.Note
	case logbook.Acknowledgement:
		if e.Until.IsZero() {
			return "seen: " + Alert(e), e.Note
		}
		return "snoozed until " + ShortDay(e.Until) + ": " + Alert(e), e.Note
	default:
		return Kind(e.Kind()), ""
	}
}

// Amount is what was added of a parameter, in the unit that is set for it, else as it was typed.
func (k Known) Amount(parameter string, v float64, unit string) string {
	if p, _ := logbook.FindParameter(k.Parameters, parameter); p.Shown.Name() != "" {
		if by, err := p.CanonicalChange(v, unit); err == nil {
			return RiseAmount(p, by)
		}
	}
	return Amount(v, unit)
}

// Alert names the alert that was answered, by its rule as the book keeps it.
func Alert(a logbook.Acknowledgement) string {
	of := OneLine(a.Parameter + a.Subject)
	if of == "" && a.Rule == "overdue" {
		return "the overdue tests"
	}
	phrase := map[string]string{
		"bottomed_out": "%s bottomed out", "bottoming_out": "%s heading for zero", "test_again": "the second test of %s",
		"below_band": "%s below its band", "above_band": "%s above its band",
		"near_low": "%s near its lower edge", "near_high": "%s near its upper edge",
		"suspect": "the far-off reading of %s", "overdue": "the overdue test of %s", "unmet": "%s falling despite dosing",
		"stock_low": "the low stock of %s", "expired": "the expiry of %s", "chore_due": "the chore %s",
	}[a.Rule]
	if phrase == "" {
		return "the " + strings.ReplaceAll(OneLine(a.Rule), "_", " ") + " of " + of
	}
	return fmt.Sprintf(phrase, of)
}

// Kind is the name of a sort of record.
func Kind(k logbook.Kind) string { return strings.ReplaceAll(string(k), "_", " ") }

// Counts lists how many records of each sort there are, in brackets behind a blank; "" for none.
func Counts(byKind map[logbook.Kind]int) string {
	all := Of(slices.Collect(maps.Keys(byKind)), func(k logbook.Kind) string { return count(k, byKind[k]) })
	slices.Sort(all)
	return strings.TrimSuffix(" ("+strings.Join(all, ", ")+")", " ()")
}

// Undone says in short what was taken back.
func Undone(u logbook.Undone) string {
	var said []string
	for _, x := range []struct {
		did     string
		entries []logbook.Entry
	}{{"struck", u.Struck}, {"back", u.Back}} {
		byKind := map[logbook.Kind]int{}
		for _, e := range x.entries {
			byKind[e.Kind()]++
		}
		if len(byKind) > 0 {
			said = append(said, strings.Trim(Counts(byKind), " ()")+" "+x.did)
		}
	}
	if len(u.Formerly) > 0 {
		said = append(said, List(u.Formerly, func(s logbook.Step) string {
			return OneLine(s.Name()) + " as before: " + Known{}.Step(s)
		}))
	}
	if u.Left > 0 {
		said = append(said, Plural(u.Left, "line was changed", "lines were changed")+" since and left alone")
	}
	if len(said) == 0 {
		return "nothing of it was left"
	}
	return strings.Join(said, ", ")
}

func count(k logbook.Kind, n int) string { return Plural(n, Kind(k), Kinds(k)) }

// Kinds is the name of several records of a sort.
func Kinds(k logbook.Kind) string {
	switch k {
	case logbook.KindChoreDone:
		return "chores done"
	case logbook.KindDosing:
		return "dosing entries"
	}
	return Kind(k) + "s"
}
