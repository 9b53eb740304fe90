package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"
	"unicode"
	"unicode/utf16"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// The JSON shapes of this file are published: fields may be added, never renamed or dropped. Numbers are in the
// parameter's canonical unit; what is unknown is null. Times are RFC 3339 in the zone they were logged with, or the
// tank's.

// number is a number that may be unknown: NaN and the infinities become null.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	if f := float64(n); math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// moment is a time that may be unknown: the zero time becomes null.
type moment time.Time

func (m moment) MarshalJSON() ([]byte, error) {
	if time.Time(m).IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(logbook.FormatTime(time.Time(m)))
}

// assessmentJSON is one assessment of one parameter of one tank as-of a moment.
type assessmentJSON struct {
	Tank             string         `json:"tank"`
	Parameter        string         `json:"parameter"`
	Unit             string         `json:"unit"`
	AsOf             moment         `json:"as_of"`
	N                int            `json:"n"`
	Latest           *latestJSON    `json:"latest"`
	Level            number         `json:"level"`
	LevelLo          number         `json:"level_lo"`
	LevelHi          number         `json:"level_hi"`
	SlopePerWeek     number         `json:"slope_per_week"`
	SlopeLo          number         `json:"slope_lo"`
	SlopeHi          number         `json:"slope_hi"`
	Rolling          rollingJSON    `json:"rolling"`
	Direction        string         `json:"direction"`
	Floor            number         `json:"floor"`
	PFloor14         number         `json:"p_floor_14d"`
	PFloor28         number         `json:"p_floor_28d"`
	PFloor42         number         `json:"p_floor_42d"`
	FloorP10         moment         `json:"floor_date_p10"`
	FloorP50         moment         `json:"floor_date_p50"`
	FloorP90         moment         `json:"floor_date_p90"`
	Forecast         []forecastJSON `json:"forecast"`
	BottomingOut     bool           `json:"bottoming_out"`
	BottomingOutFrom moment         `json:"bottoming_out_since"`
	BottomedOut      bool           `json:"bottomed_out"`
	BottomedOutFrom  moment         `json:"bottomed_out_since"`
	TestAgain        bool           `json:"test_again"`
	NextTest         moment         `json:"next_test"`
	Surprise         number         `json:"surprise"`
	Expected         expectedJSON   `json:"expected"`
	Band             bandJSON       `json:"band"`
	Reasons          []string       `json:"reasons"`
	Thinned          bool           `json:"thinned"` // the n readings were chosen from a dense log
}

type latestJSON struct {
	Time     moment `json:"time"`
	Value    number `json:"value"` // canonical unit; the limit itself where censored
	Censored bool   `json:"censored"`
	Bound    string `json:"bound"` // "exact", "below" or "above"
	Text     string `json:"text"`  // as typed
	TextUnit string `json:"text_unit"`
}

type rollingJSON struct {
	Method       string  `json:"method"`
	WindowDays   number  `json:"window_days"`
	N            int     `json:"n"`
	SlopePerWeek number  `json:"slope_per_week"`
	Lo           number  `json:"lo"`
	Hi           number  `json:"hi"`
	Confidence   float64 `json:"confidence"` // of lo and hi
	Lo80         number  `json:"lo_80"`
	Hi80         number  `json:"hi_80"`
	S            number  `json:"s"`
	VarS         number  `json:"var_s"`
	Tau          number  `json:"tau"`
	Z            number  `json:"z"`
	P            number  `json:"p"`
	Exact        bool    `json:"exact"`
	// AsLimits is the same with every "<" taken as its limit.
	AsLimits *rollingJSON `json:"as_limits,omitempty"`
}

type forecastJSON struct {
	Days number `json:"days"`
	Mean number `json:"mean"`
	Lo   number `json:"lo"`
	Hi   number `json:"hi"`
}

type expectedJSON struct {
	Mean number `json:"mean"`
	Lo   number `json:"lo"`
	Hi   number `json:"hi"`
}

type bandJSON struct {
	Low   number `json:"low"`
	High  number `json:"high"`
	State string `json:"state"`
}

// assessmentOf is the published form of a line as-of a moment.
func assessmentOf(l alerts.Line, asOf time.Time) assessmentJSON {
	as, zone := l.Assessment, l.Tank.Zone()
	ahead := func(days float64) moment { // after as-of
		if math.IsNaN(days) || math.IsInf(days, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(alerts.Day(asOf)+days, zone))
	}
	on := func(day float64) moment {
		if math.IsNaN(day) || math.IsInf(day, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(day, zone))
	}
	out := assessmentJSON{
		Tank: l.Tank.Name, Parameter: l.Parameter.Name, Unit: l.Parameter.Unit, AsOf: moment(asOf), N: as.N, Thinned: l.Thinned,
		Latest: latestOf(l.Readings),
		Level:  number(as.Level), LevelLo: number(as.LevelLo), LevelHi: number(as.LevelHi),
		SlopePerWeek: number(as.SlopePerWeek), SlopeLo: number(as.SlopeLo), SlopeHi: number(as.SlopeHi),
		Rolling: rollingOf(as.Rolling), Direction: as.Direction.String(),
		Floor: number(as.Floor), PFloor14: number(as.PFloor14), PFloor28: number(as.PFloor28), PFloor42: number(as.PFloor42),
		FloorP10: ahead(as.FloorP10), FloorP50: ahead(as.FloorP50), FloorP90: ahead(as.FloorP90),
		Forecast:     []forecastJSON{},
		BottomingOut: as.BottomingOut, BottomingOutFrom: on(as.BottomingOutSince),
		BottomedOut: as.BottomedOut, BottomedOutFrom: on(as.BottomedOutSince),
		TestAgain: as.TestAgain, NextTest: ahead(as.NextTest),
		Surprise: number(as.Surprise),
		Expected: expectedJSON{number(as.Expected.Mean), number(as.Expected.Lo), number(as.Expected.Hi)},
		Band:     bandJSON{number(l.Band.Low), number(l.Band.High), string(l.BandState)},
		Reasons:  l.Reasons(asOf),
	}
	for _, f := range as.Forecast {
		out.Forecast = append(out.Forecast, forecastJSON{number(f.Days), number(f.Mean), number(f.Lo), number(f.Hi)})
	}
	return out
}

func latestOf(readings []logbook.Reading) *latestJSON {
	if len(readings) == 0 {
		return nil
	}
	r := readings[len(readings)-1]
	return &latestJSON{Time: moment(r.Time), Value: number(r.Value), Censored: r.Bound != logbook.Exact,
		Bound: boundWord(r.Bound), Text: r.Text, TextUnit: r.Unit}
}

func boundWord(b logbook.Bound) string {
	switch b {
	case logbook.Below:
		return "below"
	case logbook.Above:
		return "above"
	default:
		return "exact"
	}
}

func rollingOf(r trend.Rolling) rollingJSON {
	out := rollingJSON{
		Method: r.Method, WindowDays: number(r.WindowDays), N: r.N,
		SlopePerWeek: number(r.SlopePerWeek), Lo: number(r.Lo), Hi: number(r.Hi), Confidence: 0.95,
		Lo80: number(r.Lo80), Hi80: number(r.Hi80), S: number(r.S), VarS: number(r.VarS),
		Tau: number(r.Tau), Z: number(r.Z), P: number(r.P), Exact: r.Exact,
	}
	if r.AsLimits != nil {
		limits := rollingOf(*r.AsLimits)
		out.AsLimits = &limits
	}
	return out
}

// statusJSON is the morning glance.
type statusJSON struct {
	AsOf  moment           `json:"as_of"`
	Tanks []tankStatusJSON `json:"tanks"`
}

type tankStatusJSON struct {
	Tank   string      `json:"tank"`
	AsOf   moment      `json:"as_of"`
	Lines  []lineJSON  `json:"lines"`
	Stocks []stockJSON `json:"stocks"`
	Chores []choreJSON `json:"chores"`
	Alerts []alertJSON `json:"alerts"`
}

// lineJSON is an assessment with what a glance adds to it.
type lineJSON struct {
	assessmentJSON
	EveryDays number      `json:"every_days"` // 0: on occasion
	Due       moment      `json:"due"`
	Supply    number      `json:"supply_per_day"`
	Alerts    []alertJSON `json:"alerts"`
}

func tankStatusOf(r alerts.Report) tankStatusJSON {
	out := tankStatusJSON{Tank: r.Tank.Name, AsOf: moment(r.AsOf), Lines: []lineJSON{}, Stocks: []stockJSON{}, Chores: []choreJSON{}, Alerts: alertsOf(r.Alerts, r.AsOf)}
	for _, l := range r.Lines {
		out.Lines = append(out.Lines, lineJSON{assessmentOf(l, r.AsOf), number(l.EveryDays), moment(l.Due),
			number(l.Supply), alertsOf(l.Alerts, r.AsOf)})
	}
	for _, s := range r.Stocks {
		out.Stocks = append(out.Stocks, stockOf(s, r.AsOf))
	}
	for _, c := range r.Chores {
		out.Chores = append(out.Chores, choreOf(c))
	}
	return out
}

type alertJSON struct {
	Tank         string         `json:"tank"`
	Parameter    *string        `json:"parameter"` // null where it is not about a parameter
	Subject      *string        `json:"subject"`   // the stock or chore it is about; null where it is about neither
	Rule         string         `json:"rule"`
	Severity     string         `json:"severity"`
	Since        moment         `json:"since"`
	Text         string         `json:"text"`
	Evidence     map[string]any `json:"evidence"`
	Open         bool           `json:"open"`
	Acknowledged bool           `json:"acknowledged"`
	SnoozedUntil moment         `json:"snoozed_until"`
}

func alertsOf(as []alerts.Alert, asOf time.Time) []alertJSON {
	out := []alertJSON{}
	for _, al := range as {
		j := alertJSON{Tank: al.Tank, Rule: string(al.Rule), Severity: al.Severity.String(), Since: moment(al.Since),
			Text: al.Text, Evidence: al.Evidence, Open: al.Open(asOf), Acknowledged: al.Acknowledged, SnoozedUntil: moment(al.SnoozedUntil)}
		if al.Parameter != "" {
			j.Parameter = &al.Parameter
		}
		if al.Subject != "" {
			j.Subject = &al.Subject
		}
		out = append(out, j)
	}
	return out
}

// readingJSON is a reading as listed: what was typed, and its value in the canonical unit.
type readingJSON struct {
	ID        string `json:"id"`
	Time      moment `json:"time"`
	Tank      string `json:"tank"`
	Parameter string `json:"parameter"`
	Value     string `json:"value"` // as typed
	Unit      string `json:"unit"`  // as typed
	Bound     string `json:"bound"`
	Canonical number `json:"canonical"`
	InUnit    string `json:"canonical_unit"`
	Method    string `json:"method"`
	Note      string `json:"note"`
}

func readingOf(r logbook.Reading, p logbook.Parameter) readingJSON {
	return readingJSON{ID: r.ID.String(), Time: moment(r.Time), Tank: r.Tank, Parameter: r.Parameter, Value: r.Text, Unit: r.Unit,
		Bound: boundWord(r.Bound), Canonical: number(r.Value), InUnit: p.Unit, Method: r.Method, Note: r.Note}
}

// importedJSON says what an import did or, after --dry-run, would do.
type importedJSON struct {
	DryRun  bool           `json:"dry_run"`
	Records int            `json:"records"`
	Added   *int           `json:"added"`   // null where there is no book to add to yet
	Already *int           `json:"already"` // likewise
	Tanks   []string       `json:"tanks_created"`
	ByKind  map[string]int `json:"by_kind"`
	Preview *previewJSON   `json:"preview"` // null without --preview
}

// previewJSON says how a file was understood.
type previewJSON struct {
	File      string              `json:"file"`
	Format    string              `json:"format"`
	Form      string              `json:"form"`      // long or wide; "" for JSON Lines
	Sheet     string              `json:"sheet"`     // "" if it is none
	Delimiter string              `json:"delimiter"` // likewise
	Columns   []previewColumnJSON `json:"columns"`
	Rows      []previewRowJSON    `json:"rows"` // the first ones
	Series    []previewSeriesJSON `json:"series"`
	Assumed   []string            `json:"assumed"` // what was taken for granted where the file says nothing
}

// previewColumnJSON is what a column was taken for: a field, the values of a parameter, or nothing.
type previewColumnJSON struct {
	Name      string `json:"name"`
	Field     string `json:"field"`
	Parameter string `json:"parameter"`
	Unit      string `json:"unit"`
	UnitFrom  string `json:"unit_from"`
}

// previewRowJSON is one reading as it would be kept.
type previewRowJSON struct {
	Row       int    `json:"row"` // 0 if the file has none
	Time      moment `json:"time"`
	TimeFrom  string `json:"time_from"`
	Tank      string `json:"tank"`
	Parameter string `json:"parameter"`
	Value     string `json:"value"`
	Unit      string `json:"unit"`
	UnitFrom  string `json:"unit_from"`
	Method    string `json:"method"`
	Note      string `json:"note"`
}

// previewSeriesJSON counts the readings of one tank and parameter, in its canonical unit.
type previewSeriesJSON struct {
	Tank      string `json:"tank"`
	Parameter string `json:"parameter"`
	N         int    `json:"n"`
	Already   int    `json:"already"` // of them, in the book
	First     moment `json:"first"`
	Last      moment `json:"last"`
	Lowest    number `json:"lowest"`
	Highest   number `json:"highest"`
	Unit      string `json:"unit"`
}

// mappingJSON is a saved mapping.
type mappingJSON struct {
	Name   string   `json:"name"`
	Flags  []string `json:"flags"`  // those of import that it stands for
	Header []string `json:"header"` // of the table it was saved with
}

// mergedJSON says what a merge did or, after --dry-run, would do.
type mergedJSON struct {
	DryRun  bool             `json:"dry_run"`
	Records int              `json:"records"` // of the other book
	Added   int              `json:"added"`
	Already int              `json:"already"`
	ByKind  map[string]int   `json:"by_kind"` // the added ones
	Differ  []differenceJSON `json:"differ"`
	Twins   []twinJSON       `json:"perhaps_twice"`
}

// differenceJSON is a definition or strike that two books tell differently; taken is one of the two texts.
type differenceJSON struct {
	Kind   string `json:"kind"`
	What   string `json:"what"`
	Ours   string `json:"ours"`
	Theirs string `json:"theirs"`
	Taken  string `json:"taken"`
}

// twinJSON is a reading of each of two books that may be one test.
type twinJSON struct {
	Ours   readingJSON `json:"ours"`
	Theirs readingJSON `json:"theirs"`
}

// verifyJSON is what a check of the book found.
type verifyJSON struct {
	Book     string         `json:"book"`
	Sound    bool           `json:"sound"`
	Problems []string       `json:"problems"`
	Schema   int            `json:"schema"`
	Bytes    int64          `json:"bytes"`
	Tanks    int            `json:"tanks"`
	Readings int            `json:"readings"`
	Struck   int            `json:"struck"`
	Entries  map[string]int `json:"entries"`
	Now      moment         `json:"now"`
	Terminal bool           `json:"terminal"`
	Term     string         `json:"term"`
	Columns  int            `json:"columns"` // of the terminal; 0: not known
	Rows     int            `json:"rows"`
	Colour   bool           `json:"colour"`
	UTF8     bool           `json:"utf8"`
	Locale   string         `json:"locale"` // the variable that says which letters are in use, with its value
	Doubts   []string       `json:"doubts"` // about the clock and the terminal; they do not make the book unsound
}

// configJSON is what holds of the keeper's own defaults.
type configJSON struct {
	File     string        `json:"file"` // "" where no folder for it is known
	Found    bool          `json:"found"`
	Problems []string      `json:"problems"`
	Settings []settingJSON `json:"settings"`
}

// configPathJSON is where the file of settings lies, or would.
type configPathJSON struct {
	Path string `json:"path"`
}

type settingJSON struct {
	Key   string `json:"key"`
	Value any    `json:"value"` // a text, a list of texts, or true or false; null where nothing is set
	From  string `json:"from"`  // "flag", "environment", "file" or "built in"
	Where string `json:"where"` // the flag, the variable, or the file and line
}

// versionJSON says what was built.
type versionJSON struct {
	Version  string `json:"version"`
	Revision string `json:"revision"`
	Time     string `json:"time"`    // of the revision; "" where it is not known
	Changed  bool   `json:"changed"` // the sources differed from the revision
	Go       string `json:"go"`
	Platform string `json:"platform"`
}

// repeatJSON is what duplicate tests say of a method, in its unit.
type repeatJSON struct {
	Method    string `json:"method"`
	Parameter string `json:"parameter"`
	Unit      string `json:"unit"`
	Pairs     int    `json:"pairs"`
	SD        number `json:"sd"`
	Lo        number `json:"sd_lo"` // 95 % interval
	Hi        number `json:"sd_hi"`
	Smallest  number `json:"smallest_difference"` // that two single tests can show, at 95 %
	Described number `json:"sd_described"`
}

func repeatOf(r alerts.Repeat) repeatJSON {
	e, m := r.Estimate, r.Method
	return repeatJSON{m.Name, m.Parameter, m.Unit, e.Pairs, number(e.SD), number(e.Interval.Lo), number(e.Interval.Hi), number(e.Smallest), number(m.SD)}
}

// printJSON prints one value on one line. What a terminal could take for a command, or what turns the direction of
// writing, is written as an escape, which says the same to a reader of JSON.
func (a *app) printJSON(v any) error {
	var line bytes.Buffer
	enc := json.NewEncoder(&line)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	for _, r := range line.String() {
		if r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			for _, unit := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(a.out, "\\u%04x", unit)
			}
			continue
		}
		if _, err := a.out.WriteRune(r); err != nil {
			return err
		}
	}
	return nil
}

// strikeJSON names the struck entry and the one that stands in its place.
type strikeJSON struct {
	Struck    string  `json:"struck"`
	Successor *string `json:"successor"`
}

// choreJSON is a chore with the time it was last done and comes round again.
type choreJSON struct {
	Tank      string `json:"tank"`
	Chore     string `json:"chore"`
	EveryDays number `json:"every_days"` // as given; 0: learned from when it was done
	LastDone  moment `json:"last_done"`
	Times     int    `json:"times"`    // how often it was done, of late
	Interval  number `json:"interval"` // days, as given or learned
	Learned   bool   `json:"learned"`
	Due       moment `json:"due"`
	DueLo     moment `json:"due_lo"`       // of a learned interval: due_lo to due_hi ...
	DueHi     moment `json:"due_hi"`       //
	Coverage  number `json:"due_coverage"` // ... with this chance
	Why       string `json:"why"`          // why there is no due; "" if there is
}

func choreOf(c alerts.Chore) choreJSON {
	return choreJSON{Tank: c.Tank, Chore: c.Name, EveryDays: number(c.EveryDays), LastDone: moment(c.Last), Times: c.Times,
		Interval: number(c.Interval), Learned: c.Learned, Due: moment(c.Due), DueLo: moment(c.DueLo), DueHi: moment(c.DueHi),
		Coverage: number(c.Coverage), Why: c.Why}
}

// stockJSON is what is left of a stock, in its unit, and when it runs out; 80 % between p10 and p90. A date is null
// where it is not known or lies beyond ten years.
type stockJSON struct {
	Tank       string  `json:"tank"`
	Stock      string  `json:"stock"`
	Unit       string  `json:"unit"`
	Supplement *string `json:"supplement"`
	Parameter  *string `json:"parameter"`
	AsOf       moment  `json:"as_of"`
	Refilled   moment  `json:"refilled"`
	Refill     number  `json:"refill"` // how much there was then
	Left       number  `json:"left"`
	PerDay     number  `json:"per_day"`
	OutP10     moment  `json:"runs_out_p10"`
	OutP50     moment  `json:"runs_out_p50"`
	OutP90     moment  `json:"runs_out_p90"`
	Expires    moment  `json:"expires"` // the first moment at which it has expired
	Basis      string  `json:"basis"`
	Why        string  `json:"why"` // why the end cannot be told; "" if it can
	Text       string  `json:"text"`
}

func stockOf(s alerts.Stock, asOf time.Time) stockJSON {
	date := func(days float64) moment {
		if math.IsNaN(days) || math.IsInf(days, 0) {
			return moment{}
		}
		return moment(alerts.TimeOf(alerts.Day(asOf)+days, asOf.Location()))
	}
	refill := math.NaN()
	if !s.Filled.Time.IsZero() {
		refill = s.Filled.Amount
	}
	return stockJSON{Tank: s.Tank, Stock: s.Name, Unit: s.Unit, Supplement: textOrNull(s.Supplement), Parameter: textOrNull(s.Parameter),
		AsOf: moment(asOf), Refilled: moment(s.Filled.Time), Refill: number(refill), Left: number(s.Left), PerDay: number(s.PerDay),
		OutP10: date(s.Out.P10), OutP50: date(s.Out.P50), OutP90: date(s.Out.P90), Expires: moment(s.Expires),
		Basis: s.Basis, Why: s.Why, Text: s.Text(asOf)}
}

func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// supplementJSON is a supplement with what it raises and what to beware of.
type supplementJSON struct {
	Record   json.RawMessage `json:"record"` // as in JSON Lines
	Raises   []raiseJSON     `json:"raises"`
	Cautions []string        `json:"cautions"`
}

type raiseJSON struct {
	Parameter string `json:"parameter"`
	Unit      string `json:"unit"`
	PerMLPerL number `json:"per_ml_per_l"` // by how much 1 mL raises 1 L
}

func supplementOf(s logbook.Supplement, parameters []logbook.Parameter, cautions []water.Caution) (supplementJSON, error) {
	record, err := logbook.RecordJSON(s)
	out := supplementJSON{Record: record, Raises: []raiseJSON{}, Cautions: []string{}}
	for _, r := range s.Raises(parameters) {
		out.Raises = append(out.Raises, raiseJSON{r.Parameter.Name, r.Parameter.Unit, number(r.Strength)})
	}
	for _, c := range cautions {
		out.Cautions = append(out.Cautions, c.Text)
	}
	return out, err
}

// recordJSON is a record in the form of JSON Lines; see printRecords.
type recordJSON struct {
	Kind string `json:"kind"`
}

// printRecords prints records in the form of JSON Lines, as one list.
func printRecords[R logbook.Record](a *app, recs []R) error {
	list := []json.RawMessage{}
	for _, rec := range recs {
		b, err := logbook.RecordJSON(rec)
		if err != nil {
			return err
		}
		list = append(list, b)
	}
	return a.printJSON(list)
}

// demandJSON is what a tank consumes per day, as-of a moment.
type demandJSON struct {
	Tank           string             `json:"tank"`
	Parameter      string             `json:"parameter"`
	Unit           string             `json:"unit"`
	AsOf           moment             `json:"as_of"`
	PerDay         number             `json:"demand_per_day"`
	Lo             number             `json:"lo"`
	Hi             number             `json:"hi"`
	Supply         number             `json:"supply_per_day"`
	Net            number             `json:"net_per_day"`
	N              int                `json:"n"`
	GrowthPerMonth number             `json:"growth_per_month"` // a fraction per 30 days
	GrowthLo       number             `json:"growth_lo"`
	GrowthHi       number             `json:"growth_hi"`
	Notes          []string           `json:"notes"`
	Supplements    []holdingJSON      `json:"supplements,omitempty"`
	Calcification  *calcificationJSON `json:"calcification,omitempty"`
}

// holdingJSON is how much of a supplement meets a demand.
type holdingJSON struct {
	Supplement string `json:"supplement"`
	PerDay     number `json:"ml_per_day"`
	Lo         number `json:"ml_per_day_lo"`
	Hi         number `json:"ml_per_day_hi"`
	PerWeek    number `json:"ml_per_week"`
	InUse      bool   `json:"in_use"`
}

// calcificationJSON compares the demands of alkalinity and calcium: moles of the one to a mole of the other.
type calcificationJSON struct {
	Ratio   number   `json:"ratio"`
	Lo      number   `json:"lo"`
	Hi      number   `json:"hi"`
	Verdict string   `json:"verdict"` // "fits", "low", "high" or "unknown"
	Text    []string `json:"text"`
}

func demandOf(d alerts.Demand) demandJSON {
	e := d.Estimate
	out := demandJSON{Tank: d.Tank.Name, Parameter: d.Parameter.Name, Unit: d.Parameter.Unit, AsOf: moment(d.AsOf),
		PerDay: number(e.PerDay), Lo: number(e.Lo), Hi: number(e.Hi), Supply: number(e.Supply), Net: number(e.Net), N: e.N,
		GrowthPerMonth: number(e.Growth), GrowthLo: number(e.GrowthLo), GrowthHi: number(e.GrowthHi), Notes: []string{}}
	for _, n := range e.Notes {
		out.Notes = append(out.Notes, n.Text)
	}
	return out
}

func holdingsOf(hs []alerts.Holding) []holdingJSON {
	var out []holdingJSON
	for _, h := range hs {
		out = append(out, holdingJSON{h.Supplement, number(h.PerDay), number(h.Lo), number(h.Hi), number(7 * h.PerDay), h.InUse})
	}
	return out
}

// planJSON is a plan, with what it was made from.
type planJSON struct {
	Tank          string         `json:"tank"`
	Parameter     string         `json:"parameter"`
	Unit          string         `json:"unit"`
	AsOf          moment         `json:"as_of"`
	Supplement    string         `json:"supplement"`
	Level         number         `json:"level"`
	LevelSD       number         `json:"level_sd"`
	Target        number         `json:"target"`
	Demand        number         `json:"demand_per_day"`
	DemandSD      number         `json:"demand_sd"`
	Supply        number         `json:"supply_per_day"` // at present
	MaxRise       number         `json:"max_rise_per_day"`
	MaxFall       number         `json:"max_fall_per_day"`
	StandingRise  number         `json:"standing_per_day"`
	StandingML    number         `json:"standing_ml_per_day"`
	Steps         []planStepJSON `json:"steps"`
	Final         expectedJSON   `json:"final"`
	Confidence    number         `json:"confidence"` // of every lo and hi of the plan
	Portions      int            `json:"portions_per_day"`
	TestBy        moment         `json:"test_by"`
	ReservoirDays number         `json:"reservoir_days"`
	Notes         []string       `json:"notes"`
	Cautions      []string       `json:"cautions"`
}

type planStepJSON struct {
	Day    moment       `json:"day"`
	ML     number       `json:"ml"`
	Change number       `json:"change"`
	Expect expectedJSON `json:"expect"`
}

func planOf(pl alerts.Plan) planJSON {
	out := planJSON{Tank: pl.Line.Tank.Name, Parameter: pl.Line.Parameter.Name, Unit: pl.Line.Parameter.Unit, AsOf: moment(pl.Aim.Start),
		Supplement: pl.Wish.Supplement, Level: number(pl.Aim.Level), LevelSD: number(pl.Aim.LevelSD), Target: number(pl.Aim.Target),
		Demand: number(pl.Aim.Demand), DemandSD: number(pl.Aim.DemandSD), Supply: number(pl.Demand.Estimate.Supply),
		MaxRise: number(pl.Aim.MaxRise), MaxFall: number(pl.Aim.MaxFall), StandingRise: number(pl.StandingRise), StandingML: number(pl.StandingML),
		Steps: []planStepJSON{}, Final: expectationOf(pl.Final), Confidence: water.PlanConfidence, Portions: pl.Portions,
		TestBy: moment(pl.TestBy()), ReservoirDays: number(pl.ReservoirDays), Notes: pl.Notes, Cautions: []string{}}
	if out.Notes == nil {
		out.Notes = []string{}
	}
	for _, s := range pl.Steps {
		out.Steps = append(out.Steps, planStepJSON{moment(s.Time), number(s.Millilitres), number(s.Change), expectationOf(s.Expect)})
	}
	for _, c := range pl.Cautions() {
		out.Cautions = append(out.Cautions, c.Text)
	}
	return out
}

func expectationOf(e water.Expectation) expectedJSON {
	return expectedJSON{number(e.Level), number(e.Lo), number(e.Hi)}
}

// whatIfJSON sets the forecast as it is beside that under what was imagined.
type whatIfJSON struct {
	Tank      string            `json:"tank"`
	Parameter string            `json:"parameter"`
	Unit      string            `json:"unit"`
	AsOf      moment            `json:"as_of"`
	If        []string          `json:"if"`
	Level     number            `json:"level"`
	Demand    number            `json:"demand_per_day"`
	Supply    number            `json:"supply_per_day"` // imagined
	AsItIs    prospectJSON      `json:"as_it_is"`
	IfSo      prospectJSON      `json:"if_so"`
	After     []afterChangeJSON `json:"after_changes"`
	Changes   *int              `json:"changes_to_target"` // null where not asked about, or never
	Why       string            `json:"target_refused,omitempty"`
}

// prospectJSON is a forecast with the chances of the floor.
type prospectJSON struct {
	Forecast []forecastJSON `json:"forecast"`
	PFloor14 number         `json:"p_floor_14d"`
	PFloor28 number         `json:"p_floor_28d"`
	PFloor42 number         `json:"p_floor_42d"`
}

type afterChangeJSON struct {
	Time  moment `json:"time"`
	Level number `json:"level"`
	Lo    number `json:"lo"`
	Hi    number `json:"hi"`
}

func prospectOf(as trend.Assessment) prospectJSON {
	out := prospectJSON{Forecast: []forecastJSON{}, PFloor14: number(as.PFloor14), PFloor28: number(as.PFloor28), PFloor42: number(as.PFloor42)}
	for _, f := range as.Forecast {
		out.Forecast = append(out.Forecast, forecastJSON{number(f.Days), number(f.Mean), number(f.Lo), number(f.Hi)})
	}
	return out
}

func whatIfOf(l alerts.Line, then trend.Assessment, d alerts.Demand, im imagined, after []alerts.AfterChange, count water.ChangeCount, countErr error, asOf time.Time) whatIfJSON {
	out := whatIfJSON{Tank: l.Tank.Name, Parameter: l.Parameter.Name, Unit: l.Parameter.Unit, AsOf: moment(asOf), If: im.words,
		Level: number(l.Assessment.Level), Demand: number(d.Estimate.PerDay), Supply: number(im.supply),
		AsItIs: prospectOf(l.Assessment), IfSo: prospectOf(then), After: []afterChangeJSON{}}
	for _, x := range after {
		out.After = append(out.After, afterChangeJSON{moment(x.Time), number(x.Level), number(x.Lo), number(x.Hi)})
	}
	switch {
	case math.IsNaN(im.target):
	case countErr != nil:
		out.Why = countErr.Error()
	default:
		out.Changes = &count.Whole
	}
	return out
}

// salinityJSON is a water's salinity in the usual scales.
type salinityJSON struct {
	Salinity       number   `json:"salinity"` // practical
	Formula        string   `json:"formula"`
	Valid          string   `json:"valid"`
	Celsius        number   `json:"temperature"` // of the water, or as compensated
	GramsPerKg     number   `json:"g_per_kg"`
	Density        number   `json:"density_kg_m3"`
	SG2525         number   `json:"sg_25_25"`
	SG2020         number   `json:"sg_20_20"`
	Conductivity25 number   `json:"ms_per_cm_25"`
	Refractive20   number   `json:"nd_20"`
	Steps          []string `json:"steps"`
}

func salinityOf(s found, steps []string) salinityJSON {
	if steps == nil {
		steps = []string{}
	}
	return salinityJSON{number(s.salinity), s.formula, s.valid, number(s.celsius), number(water.ReferenceSalinity(s.salinity)),
		number(water.Density(s.salinity, s.celsius)), number(water.SpecificGravity(s.salinity, 25, 25)), number(water.SpecificGravity(s.salinity, 20, 20)),
		number(water.ConductivityFromSalinity(s.salinity, 25)), number(water.RefractiveIndex(s.salinity, 20, water.SodiumD)), steps}
}

// volumeJSON is a net volume with its 80 % interval, or with the usual range.
type volumeJSON struct {
	Litres  number `json:"litres"`
	Lo      number `json:"lo"`
	Hi      number `json:"hi"`
	Formula string `json:"formula"`
}
