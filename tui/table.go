package tui

import (
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// table is the tank's log as a sheet: dates down, parameters across, what was done beside. It reads a stretch of days
// at a time, and more of the past when the end is reached.
type table struct {
	ofTank
	part.List
	days   int // how far back
	whole  bool
	sheet  alerts.Table
	rows   []alerts.Row   // of it, those left by the filter
	widths []int          // of its columns, with the blanks before them
	column int            // the chosen one
	left   int            // the first one in sight
	marked map[int64]bool // moments of the rows that are selected
	only   bool           // rows that have a reading in the chosen column
	to     time.Time      // a date to go to once it is read; zero: none
	date   dateLine
}

func newTable(e *part.Env, t logbook.Tank) *table {
	return &table{ofTank: newOfTank(e, t), days: journalStep, date: dateLine{find: part.NewField(e, 20)}}
}

func (s *table) from() time.Time { return s.now().AddDate(0, 0, -s.days) }

func (s *table) Init() tea.Cmd {
	t, from, to, usual := s.tank, s.from(), s.now().Add(24*time.Hour), s.Order
	return part.AskAnew(&s.Page, func(v *logbook.View) (alerts.Table, error) {
		return alerts.TableOf(v, t, usual, from, to)
	}, s.fill)
}

func (s *table) fill(sheet alerts.Table) tea.Cmd {
	kept := map[int64]bool{} // what is selected and still there
	for _, r := range sheet.Rows {
		if at := r.Time.UnixNano(); s.marked[at] {
			kept[at] = true
		}
	}
	s.marked = kept
	s.Loaded, s.sheet, s.whole = true, sheet, s.from().Year() < firstYear
	s.column = max(0, min(s.column, len(sheet.Columns)-1))
	s.widths = words.Of(sheet.Columns, func(p logbook.Parameter) int { return part.Width(head(p)) + 2 })
	for _, r := range sheet.Rows {
		for i, p := range sheet.Columns {
			s.widths[i] = max(s.widths[i], part.Width(r.Cell(p))+2)
		}
	}
	s.filter()
	switch {
	case !s.to.IsZero():
		return s.goTo(s.to)
	case len(sheet.Rows) == 0 && !s.whole: // what there is lies further back
		s.days += s.days
		return s.Init()
	}
	return nil
}

// filter leaves out the rows without a reading in the chosen column, where only those are asked for.
func (s *table) filter() {
	s.rows = s.sheet.Rows
	if s.only {
		s.rows = words.Those(s.rows, func(r alerts.Row) bool {
			_, there := s.reading(r)
			return there
		})
	}
	s.Clamp(len(s.rows))
}

func (s *table) reading(r alerts.Row) (logbook.Reading, bool) {
	if s.column >= len(s.sheet.Columns) {
		return logbook.Reading{}, false
	}
	return r.Reading(s.sheet.Columns[s.column].Name)
}

func (s *table) chosen() (alerts.Row, bool) {
	if s.At < len(s.rows) {
		return s.rows[s.At], true
	}
	return alerts.Row{}, false
}

func (s *table) Commands() []part.Command {
	if s.date.typing {
		return s.date.commands("the table", &s.Page, s.now(), s.goTo)
	}
	row, there := s.chosen()
	_, measured := s.reading(row)
	several := len(s.marked) > 0
	across := func(by int) func() tea.Cmd {
		return part.Just(func() { s.column = max(0, min(s.column+by, len(s.sheet.Columns)-1)) })
	}
	act := "add a reading"
	if measured {
		act = "correct"
	}
	return slices.Concat(
		part.Under("the table",
			part.On("enter", act, s.enter).Foot(1).When(there),
			part.On("x", "strike", s.strike).Foot(2).When(there && (measured || several || len(row.Done) > 0)),
			part.On("space", "select", part.Just(s.mark)).When(there),
			part.On("right tab", "next column", across(1)).Foot(3),
			part.On("left shift+tab", "previous column", across(-1)),
			part.On("/", "go to a date", part.Just(s.date.ask)).Foot(4),
			part.On("f", "only this column", part.Just(s.turnFilter)).Foot(5),
			part.On("r", "correct", s.enter).When(measured).Muted(),
			part.On("R", "correct the test day", s.correctDay).When(several || len(row.Readings) > 0).Also("move tank date"),
			part.On("V", "chart", s.chart).When(len(s.sheet.Columns) > 0),
			part.On("E", "export", part.Always(part.AskExport)).Muted()),
		part.Moves("the table", s.At, s.Room, s.goToLine, 6))
}

func (s *table) turnFilter() {
	s.only, s.List, s.marked = !s.only, part.List{}, map[int64]bool{} // nothing out of sight stays selected
	s.filter()
}

// goToLine goes to a row; at the end, more of the past is read.
func (s *table) goToLine(line int) tea.Cmd {
	s.At = line
	s.Clamp(len(s.rows))
	if line < max(1, len(s.rows)-1) || s.whole {
		return nil
	}
	s.days += s.days
	return s.Init()
}

// enter corrects the chosen reading, or adds one at the moment of the row.
func (s *table) enter() tea.Cmd {
	row, _ := s.chosen()
	r, measured := s.reading(row)
	switch {
	case len(s.sheet.Columns) == 0:
		return part.Open(testDayOf(s.tank))
	case measured:
		return part.Open(part.Of(form.NewCorrection, part.LinesOf(s.tank, s.sheet.Known.Entry(r), r)))
	}
	first := s.sheet.Columns[s.column].Name
	return part.Open(func(e *part.Env) part.Screen {
		d := newTestDay(e, s.tank, nil)
		d.first = first
		d.when.SetValue(strings.TrimSuffix(row.Time.In(s.tank.Zone()).Format(time.DateTime), ":00"))
		return d
	})
}

// mark selects the row, or no longer, and goes on to the next.
func (s *table) mark() {
	if at := s.rows[s.At].Time.UnixNano(); s.marked[at] {
		delete(s.marked, at)
	} else {
		s.marked[at] = true
	}
	s.At++
	s.Clamp(len(s.rows))
}

func (s *table) selected() part.Lines {
	out := part.Lines{Tank: s.tank}
	for _, r := range s.sheet.Rows {
		if s.marked[r.Time.UnixNano()] {
			out.Entries = slices.Concat(out.Entries, r.Tests(), r.Done)
		}
	}
	out.What = words.Plural(len(out.Entries), "line", "lines")
	return out
}

// strike strikes what is selected, else the chosen reading; without one the newest of what was done.
func (s *table) strike() tea.Cmd {
	if len(s.marked) > 0 {
		return part.Open(part.Of(form.NewStrike, s.selected()))
	}
	row, _ := s.chosen()
	var e logbook.Entry
	if r, measured := s.reading(row); measured {
		e = r
	} else {
		e = row.Done[len(row.Done)-1]
	}
	return part.Open(part.Of(form.NewStrike, part.LinesOf(s.tank, s.sheet.Known.Entry(e), e)))
}

// correctDay corrects the tank or the time of what is selected, else of all readings of the row.
func (s *table) correctDay() tea.Cmd {
	if len(s.marked) > 0 {
		return part.Open(part.Of(form.NewCorrection, s.selected()))
	}
	row, _ := s.chosen()
	es := row.Tests()
	return part.Open(part.Of(form.NewCorrection, part.LinesOf(s.tank, s.sheet.Known.Entry(es[0]), es...)))
}

func (s *table) chart() tea.Cmd { return part.Open(chartOf(s.tank, s.sheet.Columns[s.column].Name)) }

func (s *table) Typed(msg tea.KeyMsg) tea.Cmd { return s.date.typed(msg) }

// goTo goes to the row of a date, or the first one before it; where that is not read yet, it is read.
func (s *table) goTo(at time.Time) tea.Cmd {
	if days := int(s.now().Sub(at).Hours()/24) + 2; days > s.days {
		s.days, s.to = days, at
		return s.Init()
	}
	s.to = time.Time{}
	s.At = slices.IndexFunc(s.rows, func(r alerts.Row) bool { return words.Midnights(r.Time, at, s.tank.Zone()) >= 0 })
	if s.At < 0 {
		s.At = len(s.rows)
	}
	s.Clamp(len(s.rows))
	return nil
}

func (s *table) About() part.About {
	return part.About{Title: part.Clean(s.tank.Name) + " · table", Zone: s.tank.Zone(), Typing: s.date.typing,
		Place: part.Place{Screen: part.OnTable, Tank: s.tank.Name},
		Shows: part.Exported{Tank: s.tank, From: s.from(), AsOf: s.now()}}
}

// Click chooses a row and, where it hits one, a column.
func (s *table) Click(row, column int) {
	s.Hit(row, len(s.rows))
	date, _ := s.least()
	for i, at := s.left, date; i < len(s.sheet.Columns) && at < s.W; i++ {
		w := s.widths[i]
		if at <= column && column < at+w {
			s.column = i
		}
		at += w
	}
}

// least are the widths of the sign of the chosen row, the day and, where there is room, the time; and what the column
// of what was done takes at least.
func (s *table) least() (date, done int) {
	if s.W < 60 {
		return 12, 0
	}
	return 18, 16
}

// doneLeast is the room, with the blanks before it, under which nothing is said of what was done.
const doneLeast = 8

// head is the head of a column: the parameter's code, or its name.
func head(p logbook.Parameter) string {
	if p.Code != "" {
		return part.Clean(p.Code)
	}
	return part.Clean(p.Name)
}

// inSight are the columns from left on that there is room for, the chosen one among them, and the width left beside
// them.
func (s *table) inSight() (last, room int) {
	s.left = min(s.left, s.column)
	date, done := s.least()
	for {
		room = s.W - date
		for last = s.left; last < len(s.sheet.Columns); last++ {
			w := s.widths[last]
			if room-w < done && last > s.left || room < w {
				break
			}
			room -= w
		}
		if last > s.column || s.left >= s.column {
			return max(last, min(s.left+1, len(s.sheet.Columns))), max(0, room)
		}
		s.left++
	}
}

func (s *table) View() string {
	if len(s.rows) == 0 {
		return "\n  nothing was noted in that time"
	}
	last, room := s.inSight()
	date, _ := s.least()
	var heads strings.Builder
	heads.WriteString(strings.Repeat(" ", date))
	for i := s.left; i < last; i++ {
		cell := part.PadLeft(head(s.sheet.Columns[i]), s.widths[i])
		if i == s.column {
			cell = s.Accent.Render(cell)
		}
		heads.WriteString(cell)
	}
	if room > doneLeast {
		heads.WriteString("  " + s.Head.Render("done"))
	}
	out := []string{s.about(), part.Cut(heads.String(), s.W)}
	if s.date.typing {
		out[0] = "  go to which date? " + strings.TrimRight(s.date.find.View(), " ")
	}
	if s.Message != "" {
		out[0] = "  " + s.Bad.Render(part.Cut("! "+s.Message, s.W-2))
	}
	foot := s.detail()
	out = append(out, s.Draw(len(out), len(s.rows), max(1, s.H-len(out)-len(foot)), func(i int) string {
		return s.row(s.rows[i], i == s.At, last, room)
	})...)
	return part.OverFoot(out, foot, s.H)
}

func (s *table) about() string {
	text := words.Plural(len(s.rows), "row", "rows")
	if !s.whole {
		text += " of the last " + words.Plural(s.days, "day", "days")
	}
	if s.only {
		text += "; only those with " + s.sheet.Columns[s.column].Name
	}
	if n := len(s.marked); n > 0 {
		text += "; " + words.Plural(n, "moment", "moments") + " selected"
	}
	if s.left > 0 {
		text += fmt.Sprintf("; %d more to the left", s.left)
	}
	if s.sheet.Thinned {
		text += "; of a dense log one reading a day"
	}
	return s.Dim.Render(part.Cut(" "+text, s.W))
}

func (s *table) row(r alerts.Row, chosen bool, last, room int) string {
	lead, _ := s.Marked(chosen, "")
	if s.marked[r.Time.UnixNano()] {
		lead = lead[:len(lead)-1] + "*"
	}
	date, _ := s.least()
	var row strings.Builder
	row.WriteString(lead + s.Dim.Render(part.Pad(r.Time.In(s.tank.Zone()).Format("_2 Jan 06 15:04"), 16)[:date-2]))
	for i := s.left; i < last; i++ {
		cell := part.PadLeft(r.Cell(s.sheet.Columns[i]), s.widths[i])
		if chosen && i == s.column {
			cell = s.bracketed(cell)
		}
		row.WriteString(cell)
	}
	if room > doneLeast {
		row.WriteString("  " + s.Dim.Render(part.Cut(part.Clean(r.DoneText(s.sheet.Known)), room-2)))
	}
	return part.Cut(strings.TrimRight(row.String(), " "), s.W)
}

// bracketed is the chosen cell: in brackets, so that it is seen without colour.
func (s *table) bracketed(cell string) string {
	text := strings.TrimLeft(cell, " ")
	if text == "" {
		text = "—"
	}
	return s.Accent.Render(part.PadLeft("["+text+"]", part.Width(cell)))
}

// detail tells the chosen cell in full: the reading with its unit, method and note, and what was done.
func (s *table) detail() []string {
	row, there := s.chosen()
	if !there || s.H < 10 {
		return nil
	}
	text := "no reading"
	if len(s.sheet.Columns) > 0 {
		p := s.sheet.Columns[s.column]
		text = p.Name + ": none"
		if r, measured := s.reading(row); measured {
			text = s.sheet.Known.Entry(r)
		}
	}
	if done := row.DoneText(s.sheet.Known); done != "" {
		text += "; " + done
	}
	return append([]string{s.Dim.Render(strings.Repeat(part.SignRule, s.W))},
		part.Hang(part.Clean(text), s.Plain, 2, s.W, 3)...)
}
