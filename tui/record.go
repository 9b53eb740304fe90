package tui

import (
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

// record is one line of the book as lists show it.
type record struct {
	entry    logbook.Entry
	what     string // in words
	note     string
	struck   bool
	why      string
	code     string // of the parameter, for the search
	struckAt time.Time
	placed   bool     // another line took the place of this struck one
	day      []record // of a test day, which is one line: its readings
	within   bool     // it is a reading of a test day that is open
	change   bool     // it is what was noted of a definition, told as an event
}

// strikeWord is what x does with the line.
func (r record) strikeWord() string {
	if r.struck {
		return "bring back"
	}
	return "strike"
}

// mend asks for a form that corrects the line, or strikes it; one that is struck is brought back.
func (r record) mend(e *part.Env, tank logbook.Tank, correct bool) tea.Cmd {
	all := r.day
	if len(all) == 0 {
		all = []record{r}
	}
	all = words.Those(all, func(x record) bool { return !x.placed })
	es := words.Of(all, func(x record) logbook.Entry { return x.entry })
	lines := part.LinesOf(tank, r.what, es...)
	switch {
	case r.change:
		return part.Notice("this is changed where it was set: b a band, T the tank, and so on")
	case r.struck && correct:
		return part.Notice("this line is struck: x brings it back")
	case len(es) == 0:
		return part.Notice("another line took the place of this one: correct that")
	case r.struck:
		return bringBack(e, es)
	case correct:
		return part.Open(part.Of(form.NewCorrection, lines))
	}
	return part.Open(part.Of(form.NewStrike, lines))
}

// dayKey tells the test days of a tank apart; readings that were struck together are a line of their own.
type dayKey struct {
	nanos  int64
	struck int64 // when it was struck; 0: it counts
}

// keyOf is the test day that a line belongs to; false where it is no reading.
func keyOf(r record) (dayKey, bool) {
	_, is := r.entry.(logbook.Reading)
	key := dayKey{nanos: r.entry.When().UnixNano()}
	if r.struck {
		key.struck = r.struckAt.UnixNano()
	}
	return key, is
}

// inDays makes one line of the readings of one moment, behind which they follow where it is open.
func inDays(rows []record, open map[dayKey]bool) (out []record) {
	days := map[dayKey][]record{}
	for _, r := range rows {
		if k, is := keyOf(r); is {
			days[k] = append(days[k], r)
		}
	}
	for _, r := range rows {
		k, is := keyOf(r)
		day := days[k]
		switch {
		case !is || len(day) == 1:
			out = append(out, r)
		case len(day) > 1:
			what := "test day, " + words.Plural(len(day), "reading", "readings") + ": " + words.List(day, func(x record) string {
				r := x.entry.(logbook.Reading)
				return r.Parameter + " " + words.Typed(r)
			})
			at := len(out)
			out = append(out, record{entry: r.entry, what: what, day: day, struck: r.struck, why: r.why})
			for _, x := range day {
				if x.why != r.why {
					out[at].why = ""
				}
				if x.within = true; open[k] {
					out = append(out, x)
				}
			}
			delete(days, k) // the others of it are no more lines
		}
	}
	return out
}

// newRecord puts an entry into words; named with the parameter that it is about.
func newRecord(e logbook.Entry, k words.Known, named bool) record {
	p, _ := logbook.FindParameter(k.Parameters, words.Subject(e))
	r := record{entry: e, code: strings.ToLower(p.Code)}
	if r.what, r.note = k.Short(e); named {
		r.what = k.Entry(e)
	}
	return r
}

// row draws a record in one row. A struck one says so in a word and says why.
func (r record) row(chosen bool, w int, zone *time.Location, t *part.Theme) string {
	lead, _ := t.Marked(chosen, "")
	when := r.entry.When().In(zone).Format("_2 Jan 2006 15:04")
	if w < 60 {
		when = r.entry.When().In(zone).Format("_2 Jan 2006")
	}
	text := r.words()
	if r.within {
		text = "  " + text
	}
	style := t.Plain
	switch {
	case r.struck:
		style = t.Dim
	case chosen:
		style = t.Accent
	}
	row := lead + t.Dim.Render(when) + "  " + style.Render(text)
	if r.note != "" {
		row += t.Dim.Render("  " + part.Clean(r.note))
	}
	return part.Cut(row, w)
}

func drawRecords(l *part.List, rows []record, row, room, w int, zone *time.Location, t *part.Theme) []string {
	return l.Draw(row, len(rows), room, func(i int) string { return rows[i].row(i == l.At, w, zone, t) })
}

// words say what the line is and, of a struck one, why it was struck.
func (r record) words() string {
	if r.struck {
		return "struck: " + r.what + words.With(", because ", r.why)
	}
	return r.what
}

// whole is the line in as many rows as it takes, where one row is too narrow for it, and nothing otherwise.
func (r record) whole(w int, t *part.Theme) []string {
	before := 21 // the sign of the chosen line, and the moment
	if w < 60 {
		before = 15
	}
	text := strings.TrimSpace(r.words() + "  " + part.Clean(r.note))
	if before+part.Width(text) <= w {
		return nil
	}
	return append([]string{t.Dim.Render(strings.Repeat(part.SignRule, w))}, words.Wrap(text, w, 4)...)
}

// recordsOf puts readings, and what else was written down in a stretch of time, into words: the newest first, struck
// lines in their place. of is the parameter that all of them are about; "" for the whole tank, where a line names its
// own.
func recordsOf(v *logbook.View, tank, of string, readings []logbook.Reading, kinds []logbook.Kind, from,
	to time.Time) ([]record, error) {
	known, err := words.Know(v, tank)
	if err != nil {
		return nil, err
	}
	var out []record
	add := func(e logbook.Entry) bool {
		if of != "" && !concerns(e, of) {
			return false
		}
		out = append(out, newRecord(e, known, of == ""))
		return true
	}
	for _, r := range readings {
		if !r.Time.Before(from) {
			add(r)
		}
	}
	done, err := alerts.Entries(v, tank, kinds, from, to)
	if err != nil {
		return nil, err
	}
	for _, e := range done {
		add(e)
	}
	struck, err := v.Struck(tank)
	for _, s := range struck {
		if at := s.Entry.When(); !at.Before(from) && !at.After(to) && add(s.Entry) {
			r := &out[len(out)-1]
			r.struck, r.struckAt, r.why, r.placed = true, s.Strike.Time, s.Strike.Why, !s.Strike.Successor.IsZero()
		}
	}
	newestFirst(out)
	return out, err
}

func newestFirst(rs []record) {
	slices.SortStableFunc(rs, func(a, b record) int { return b.entry.When().Compare(a.entry.When()) })
}

// concerns reports whether an entry has to do with a parameter: it is about it, or about the whole tank.
func concerns(e logbook.Entry, parameter string) bool {
	if a, is := e.(logbook.Acknowledgement); is {
		return a.Parameter == parameter
	}
	of := words.Subject(e)
	return of == "" || of == parameter
}

// says reports whether a line, as it stands on the screen, has a text of small letters in it: its moment, what it is,
// whether and why it was struck, its note. The code of its parameter counts as well.
func (r record) says(text string, zone *time.Location) bool {
	if text == "" || strings.Contains(strings.ToLower(r.words()+"  "+r.note), text) || strings.HasPrefix(r.code, text) {
		return true
	}
	mayBeDate := text[0] >= '0' && text[0] <= '9' ||
		strings.Contains("jan feb mar apr may jun jul aug sep oct nov dec", text[:min(3, len(text))])
	return mayBeDate && strings.Contains(strings.ToLower(r.entry.When().In(zone).Format("2 Jan 2006 15:04")), text)
}
