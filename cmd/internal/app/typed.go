package app

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

// ShareOf reads a share of the water: 15%, or where the tank's volume is known 60L.
func ShareOf(text string, tank logbook.Tank) (share float64, doubt string, err error) {
	share, doubt, err = entry.Share(text, tank, "")
	return share, doubt, usage.Mistyped(err)
}

// Assignment is one "parameter=value" of a command line.
type Assignment struct {
	Parameter string
	Text      string // "<0.02", or "33 ppb P"
}

// ParseAssignments reads "nitrate=4.2" and "po4=33 ppb P".
func ParseAssignments(args []string) ([]Assignment, error) {
	var as []Assignment
	for _, arg := range args {
		name, text, ok := strings.Cut(arg, "=")
		if name = strings.TrimSpace(name); !ok || name == "" || strings.TrimSpace(text) == "" {
			return nil, usage.Errorf("write nitrate=4.2 or po4='<0.02'", "%q is not a parameter with its value", arg)
		}
		as = append(as, Assignment{name, strings.TrimSpace(text)})
	}
	return as, nil
}

// Readable refuses an assignment whose unit or number cannot be read. A volume is for whoever knows the supplement.
func Readable(p logbook.Parameter, as Assignment, unit string) error {
	value, typed := logbook.Split(as.Text)
	if _, err := water.Litres(1, typed); err != nil {
		if _, err := p.TypedUnit(cmp.Or(typed, unit)); err != nil {
			return usage.Mistyped(err)
		}
	}
	if _, err := entry.Number(value); err != nil {
		return NotANumber(err, p.Name, value, p.Name+"=1.5")
	}
	return nil
}

// NotANumber refuses what entry.Number did not read: in its own words where it can be read in two ways.
func NotANumber(err error, what, text, example string) error {
	if r, is := errors.AsType[logbook.Refusal](err); is {
		return usage.Errorf(r.Hint, "%s: %s", what, r.Reason)
	}
	return usage.Errorf("write "+example, "%s: %q is not a number", what, text)
}

// ParseNumber reads the number of a flag.
func ParseNumber(flag, text string) (float64, error) {
	v, err := entry.Number(text)
	if err != nil {
		return 0, NotANumber(err, flag, text, flag+" 4.2")
	}
	return v, nil
}

// delimiters are the names of what may stand between the fields of CSV.
func delimiters() map[string]rune {
	return map[string]rune{"": 0, "comma": ',', ",": ',', "semicolon": ';', ";": ';', "tab": '\t', "\t": '\t', `\t`: '\t'}
}

// DelimiterName is the name of a delimiter, as people say it.
func DelimiterName(r rune) string {
	for _, name := range []string{"comma", "semicolon", "tab"} {
		if delimiters()[name] == r {
			return name
		}
	}
	return ""
}

func ParseDelimiter(flag, text string) (rune, error) {
	r, ok := delimiters()[text]
	if !ok {
		return 0, usage.Errorf(flag+" comma, semicolon or tab", "%s: %q is not one that can be read", flag, text)
	}
	return r, nil
}

// UnitsOf reads --units: parameters by name or code, each with a unit of it.
func UnitsOf(known []logbook.Parameter, said map[string]string) (map[string]string, error) {
	units := map[string]string{}
	for name, unit := range said {
		p, err := FindAmong(known, name)
		if err != nil {
			return nil, err
		}
		if _, err := p.FindUnit(unit); err != nil {
			return nil, usage.Wrong(err, "leadline parameter list shows their units")
		}
		units[p.Name] = unit
	}
	return units, nil
}

// FindAmong finds a parameter by name or code.
func FindAmong(known []logbook.Parameter, name string) (logbook.Parameter, error) {
	p, ok := logbook.FindParameter(known, name)
	if !ok {
		return p, usage.UnknownParameter(known, name)
	}
	return p, nil
}

// TypedBy is what is said of a reading beside its value; "" where nothing is.
type TypedBy struct{ Unit, Method, Note, Who string }

// NewReading makes a reading of what was typed for a parameter, with what is to be said about it: a warning where its
// value is unlikely, a note where its unit can be meant in two ways.
func (a *App) NewReading(c entry.Context, p logbook.Parameter, text string, by TypedBy,
	when time.Time) (r logbook.Reading, about []string, err error) {
	set, err := a.Settings()
	if err = cmp.Or(err, a.CheckUnits(c.Parameters)); err != nil {
		return r, nil, err
	}
	if err := c.CheckMethod(p, by.Method); err != nil {
		return r, nil, usage.Mistyped(err)
	}
	t := c.TestNow(p)
	t.By(by.Method)
	_, typed := logbook.Split(text)
	if by.Unit != "" {
		t.Unit, t.From = by.Unit, entry.OwnUnit
	}
	if _, err := p.FindUnit(cmp.Or(typed, t.Unit)); err != nil {
		return r, nil, usage.Mistyped(fmt.Errorf("%s: %w", p.Name, err))
	}
	x, err := t.Read(text)
	if err != nil {
		return r, nil, err
	}
	x.Tank, x.Time, x.Note, x.Who = c.Tank.Name, when, x.NoteWith(by.Note), cmp.Or(by.Who, set.Who)
	note := func(format string, args ...any) {
		about = append(about, "note: "+p.Name+": "+fmt.Sprintf(format, args...))
	}
	if by := t.From.Words(t.Method, set.WhereUnit(p)); typed == "" && by != "" {
		note("taken as %s, as %s", t.Unit, by)
	}
	if x.Repeats != "" {
		note("%s, %s", x.Text, x.Repeats)
	}
	if near := usage.NearDescribed(by.Method, c.MethodNames(p)); near != "" {
		note("the method %s is not described; did you mean %s?", by.Method, near)
	}
	if x.UnitNote != "" {
		note("%s", x.UnitNote)
	}
	why, _, err := t.Judge(x)
	if why != "" {
		about = append(about, "warning: "+p.Name+": "+why)
	}
	if why, same := entry.Twice(x.Reading, c.There(p)); why != "" {
		about = append(about, fmt.Sprintf("warning: %s: %s leadline strike %s takes it back", p.Name, why, same))
	}
	return x.Reading, about, err
}

// PostDays is how far back a post tells what was done, and the CSV beside it reaches; ChartDays how far back a chart
// reaches.
const (
	PostDays  = 56
	ChartDays = 112
)

// WindowOf is the moment an answer is for and the beginning of the time it tells of, both in the tank's zone: --since,
// or so many days before.
func (a *App) WindowOf(tank logbook.Tank, sinceFlag string, days int) (asOf, since time.Time, err error) {
	zone := tank.Zone()
	asOf, err1 := a.AsOf(tank)
	since, err2 := a.Since(sinceFlag, zone)
	if err := cmp.Or(err1, err2); err != nil {
		return asOf, since, err
	}
	asOf = asOf.In(zone)
	if since.IsZero() {
		since = asOf.AddDate(0, 0, -days)
	}
	since = since.In(zone)
	if !since.Before(asOf) {
		return asOf, since, usage.Errorf("--since takes an earlier time", "--since %s is not before %s", words.Moment(since),
			words.Moment(asOf))
	}
	return asOf, since, nil
}

// AsOf is the moment an answer about a tank is for: --as-of, else now, to the second. A date alone means the end of
// that day in the tank's zone.
func (a *App) AsOf(t logbook.Tank) (time.Time, error) {
	return a.ReadMoment(entry.AsOf, "--as-of", a.AsOfFlag, t.Zone())
}

// Until is the moment of --as-of; the zero time where it is not given.
func (a *App) Until(t logbook.Tank) (time.Time, error) {
	if a.AsOfFlag == "" {
		return time.Time{}, nil
	}
	return a.AsOf(t)
}

// Since reads a --since: a date alone means its beginning; "" is the zero time.
func (a *App) Since(text string, zone *time.Location) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	return a.ReadMoment(entry.Since, "--since", text, zone)
}

// At is the moment of something that is noted down: --at, else --as-of, else now. What is not said to begin later has
// happened.
func (a *App) At(text string, t logbook.Tank, later bool) (time.Time, error) {
	read, now := entry.When, a.Now().In(t.Zone())
	if later {
		read = entry.Begin
	}
	if text != "" {
		when, err := a.ReadMoment(read, "--at", text, t.Zone())
		if err == nil && later {
			a.Warn(entry.Later(when, now))
		}
		return when, err
	}
	when, err := a.AsOf(t)
	if err == nil && !later {
		err = usage.Mistyped(entry.RefuseLater(when, now))
	}
	return when, err
}

// ReadMoment reads the time of a flag by one of the ways of package entry, in a zone.
func (a *App) ReadMoment(read func(text string, now time.Time) (time.Time, error), flag, text string,
	zone *time.Location) (time.Time, error) {
	when, err := read(text, a.Now().In(zone))
	if err != nil {
		return when, usage.Mistyped(fmt.Errorf("%s: %w", flag, err))
	}
	return when, nil
}

func ParseZone(flag, name string) (*time.Location, error) {
	zone, err := time.LoadLocation(name)
	if err != nil || name == "Local" {
		return nil, usage.Errorf("names are such as Pacific/Auckland or Europe/Lisbon", "%s: %q is not a known zone", flag,
			name)
	}
	return zone, nil
}

// ParseDays reads a length of time in days: "56d", "8w", "56", "3.5 days".
func ParseDays(flag, text string) (float64, error) {
	n, err := entry.Days(text)
	if err != nil {
		return 0, usage.Mistyped(fmt.Errorf("%s: %w", flag, err))
	}
	return n, nil
}

// ClockDoubts says what makes the clock implausible: it stands before the program's own sources, or before what is in
// the book.
func ClockDoubts(v *logbook.View, now time.Time, version shape.Version) (doubts []string, err error) {
	if made, err := time.Parse(time.RFC3339, version.Time); err == nil && now.Before(made.Add(-24*time.Hour)) {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before this program was made (%s)", words.Moment(now),
			words.Day(made)))
	}
	newest, err := v.NewestAfter(now)
	if !newest.IsZero() {
		doubts = append(doubts, fmt.Sprintf("the clock stands at %s, before the newest entry (%s): is it right? what lies "+
			"after it does not count yet", words.Moment(now), words.Moment(newest.In(now.Location()))))
	}
	return doubts, err
}

// DoubtClock says once, of a command that goes by the clock, that it stands before the newest entry.
func (a *App) DoubtClock(v *logbook.View) error {
	if a.AsOfFlag != "" || a.Lenient || a.Doubted {
		return nil
	}
	a.Doubted = true
	doubts, err := ClockDoubts(v, a.Now(), shape.Version{})
	a.SayEach("warning: %s", doubts)
	return err
}
