package tui

import (
	"cmp"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// journal is everything a tank's book holds, the newest first, a stretch of days at a time.
type journal struct {
	ofTank
	part.List
	loads int // how often
	days  int // how far back
	journalLines
	kind   int // index into journalKinds
	find   textinput.Model
	typing bool
	open   map[dayKey]bool // the test days whose readings are shown
	left   []record
	leftBy journalFilter // that gave left
}

type journalFilter struct {
	kind  int
	word  string
	loads int // how often lines were loaded, or a test day was opened or closed
}

type journalKind struct {
	name string
	keep func(record) bool
}

func journalKinds() []journalKind {
	is := func(k logbook.Kind) func(record) bool { return func(r record) bool { return r.entry.Kind() == k } }
	return []journalKind{
		{"everything", func(record) bool { return true }},
		{"readings", is(logbook.KindReading)},
		{"what was done", func(r record) bool {
			return r.entry.Kind() != logbook.KindReading && r.entry.Kind() != logbook.KindAcknowledgement &&
				r.entry.Kind() != logbook.KindEvent
		}},
		{"events", func(r record) bool { return r.entry.Kind() == logbook.KindEvent && !r.change }},
		{"answers to alerts", is(logbook.KindAcknowledgement)},
		{"struck lines", func(r record) bool { return r.struck }},
		{"what was set", func(r record) bool { return r.change }},
	}
}

type journalLines struct {
	rows   []record
	chosen bool // of a dense log one reading a day is in rows
	all    bool // it is the whole book
}

// firstYear is before every book.
const firstYear = 1990

// journalStep is how many more days are read when the end of the list is reached.
const journalStep = 120

func newJournal(e *part.Env, t logbook.Tank) *journal {
	return &journal{ofTank: newOfTank(e, t), days: journalStep, open: map[dayKey]bool{},
		find: part.NewField(e, 30)}
}

func (j *journal) Init() tea.Cmd {
	tank, to := j.tank.Name, j.Moment().Add(24*time.Hour)
	from := to.AddDate(0, 0, -j.days)
	return part.AskAnew(&j.Page, func(v *logbook.View) (journalLines, error) {
		rows, chosen, err := journalRows(v, tank, from, to)
		return journalLines{rows, chosen, from.Year() < firstYear}, err
	}, j.fill)
}

func (j *journal) fill(lines journalLines) tea.Cmd {
	j.loads++
	j.Loaded, j.journalLines = true, lines
	return nil
}

// journalRows reads every line of a stretch of time, but of a dense log one reading a day, which chosen says.
func journalRows(v *logbook.View, tank string, from, to time.Time) (rows []record, chosen bool, err error) {
	measured, err := v.Measured(tank)
	if err != nil {
		return nil, false, err
	}
	var readings []logbook.Reading
	for _, p := range measured {
		rs, thinned, err := alerts.DailyReadings(v, tank, p, from, to)
		if err != nil {
			return nil, false, err
		}
		chosen = chosen || thinned
		readings = append(readings, rs...)
	}
	rows, err1 := recordsOf(v, tank, "", readings, append(alerts.DoneKinds(), logbook.KindAcknowledgement), from, to)
	set, err2 := changesOf(v, tank, from, to)
	rows = append(rows, set...)
	newestFirst(rows)
	return rows, chosen, cmp.Or(err1, err2)
}

// changesOf are the lines of what was set of a tank and what belongs to it.
func changesOf(v *logbook.View, tank string, from, to time.Time) (rows []record, err error) {
	steps, err1 := v.Steps(tank, from, to)
	parameters, err2 := v.Parameters()
	for _, s := range steps {
		what := words.Known{Parameters: parameters}.Step(s)
		if s.Kind() != logbook.KindTank {
			what = part.Clean(s.Name()) + ": " + what
		}
		rows = append(rows, record{entry: logbook.Event{Time: s.Noted, Tank: tank, Text: what, Who: s.Who}, what: what,
			change: true})
	}
	return rows, cmp.Or(err1, err2)
}

// shown are the lines left by the filter and the search. They are looked for again only when either changes: there can
// be very many.
func (j *journal) shown() []record {
	by := journalFilter{j.kind, strings.ToLower(strings.TrimSpace(j.find.Value())), j.loads}
	if j.leftBy == by {
		return j.left
	}
	keep := journalKinds()[j.kind].keep
	left := words.Those(j.rows, func(r record) bool { return keep(r) && r.says(by.word, j.tank.Zone()) })
	j.left, j.leftBy = inDays(left, j.open), by
	return j.left
}

func (j *journal) Commands() []part.Command {
	if j.typing {
		return part.Under("journal",
			part.On("enter", "accept", part.Just(func() { j.seek(false) })).Foot(1),
			part.On("esc", "leave it", part.Just(func() { j.find.SetValue(""); j.seek(false) })).Foot(2))
	}
	there, line, open := j.At < len(j.shown()), record{}, "open"
	if there {
		line = j.shown()[j.At]
	}
	if len(line.day) > 0 {
		if k, _ := keyOf(line); j.open[k] {
			open = "close"
		}
	}
	mend := func(correct bool) func() tea.Cmd { return func() tea.Cmd { return line.mend(j.Env, j.tank, correct) } }
	return part.Under("journal", append(part.Moves("", j.At, j.H-3, j.goTo, 6),
		part.On("/", "search", part.Just(func() { j.seek(true) })).Foot(4),
		part.On("f", "kind", part.Just(j.nextKind)).Foot(5),
		part.On("x", line.strikeWord(), mend(false)).Foot(3).When(there).Also("undo delete remove take back"),
		part.On("r", "correct", mend(true)).Foot(2).When(there).Also("undo edit change move tank date"),
		part.On("enter", open, j.openLine).Foot(1).When(there))...)
}

func (j *journal) seek(typing bool) {
	j.List, j.typing = part.List{}, typing
	if j.find.Blur(); typing {
		part.FocusField(&j.find)
	}
}

func (j *journal) Typed(msg tea.KeyMsg) tea.Cmd {
	part.EditField(&j.find, msg)
	j.List = part.List{}
	return nil
}

func (j *journal) nextKind() { j.kind, j.List = (j.kind+1)%len(journalKinds()), part.List{} }

// openLine opens or closes a test day, or opens what another line is about.
func (j *journal) openLine() tea.Cmd {
	line := j.shown()[j.At]
	e := line.entry
	if k, _ := keyOf(line); len(line.day) > 0 {
		if j.open[k] = !j.open[k]; j.open[k] {
			j.At++ // to the first of its readings
		}
		j.loads++
		return nil
	}
	if name := words.Subject(e); name != "" {
		return part.Open(chartOf(j.tank, name))
	}
	return part.Open(part.OfTank(newChanges, j.tank, e.When()))
}

// goTo goes to a line; at the end of the list, more of the past is read.
func (j *journal) goTo(line int) tea.Cmd {
	n := len(j.shown())
	j.At = line
	j.Clamp(n)
	if line < max(1, n-1) || j.all {
		return nil
	}
	j.days += j.days
	return j.Init()
}

func (j *journal) About() part.About {
	return part.About{Title: part.Clean(j.tank.Name) + " · journal", Zone: j.tank.Zone(), Typing: j.typing,
		Place: part.Place{Screen: part.OnJournal, Tank: j.tank.Name}}
}

func (j *journal) Click(row, _ int) { j.List.Hit(row, len(j.shown())) }

func (j *journal) View() string {
	rows := j.shown()
	head := words.Plural(len(rows), "line", "lines") + ": " + journalKinds()[j.kind].name
	if !j.all {
		head += " of the last " + words.Plural(j.days, "day", "days")
	}
	if j.chosen {
		head += "; of a dense log one reading a day"
	}
	out := []string{j.Dim.Render(part.Cut(" "+head, j.W))}
	switch {
	case j.typing:
		out = append(out, " search "+strings.TrimRight(j.find.View(), " "))
	case j.find.Value() != "":
		out = append(out, " search "+j.Accent.Render(part.Clean(j.find.Value())))
	}
	if len(rows) == 0 {
		return strings.Join(append(out, "", "  no such line"), "\n")
	}
	var whole []string
	if j.At < len(rows) {
		whole = rows[j.At].whole(j.W, j.Theme)
	}
	if len(whole) > j.H/3 { // the list goes first
		whole = nil
	}
	room := max(1, j.H-len(out)-len(whole))
	out = append(out, drawRecords(&j.List, rows, len(out), room, j.W, j.tank.Zone(), j.Theme)...)
	return part.OverFoot(out, whole, j.H)
}
