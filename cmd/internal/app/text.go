package app

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

// PrintReadings lists readings with their ids.
func (a *App) PrintReadings(book *logbook.Book, readings []logbook.Reading) error {
	if a.Json {
		return book.View(func(v *logbook.View) error {
			out := []shape.Reading{}
			for _, r := range readings {
				p, err := v.Parameter(r.Parameter)
				if err != nil {
					return err
				}
				out = append(out, shape.ReadingOf(r, p))
			}
			return a.PrintJSON(out)
		})
	}
	var c Columns
	for _, r := range readings {
		c.Add(r.ID.String(), WhenText(r.Time), r.Tank, r.Parameter, ReadingText(r), r.Method, r.Note)
	}
	c.Print(a, "")
	return nil
}

func ChoreText(c logbook.Chore) string {
	if c.EveryDays == 0 {
		return c.Name
	}
	return c.Name + " every " + DaysWord(c.EveryDays)
}

func DaysWord(days float64) string {
	if days == 1 {
		return "day"
	}
	return strconv.FormatFloat(days, 'g', -1, 64) + " days"
}

func LastReading(l alerts.Finding) logbook.Reading { return l.Readings[len(l.Readings)-1] }

func refillText(r logbook.Refill) string {
	text := fmt.Sprintf("refill %s %g", r.Stock, r.Amount)
	if r.Expires != "" {
		text += ", good until " + r.Expires
	}
	return text
}

// PlainNumber is a number to three digits at most, without zeros at its end.
func PlainNumber(v float64) string { return water.FormatAtMost(v, 3) }

// Columns prints rows of text in columns as wide as their widest cell, two spaces apart. Cells are cleaned, since they
// may hold what others wrote.
type Columns struct{ Rows [][]string }

func (c *Columns) Add(cells ...string) {
	row := make([]string, len(cells))
	for i, cell := range cells {
		row[i] = usage.OneLine(cell)
	}
	c.Rows = append(c.Rows, row)
}

// Print writes the rows, each after the indent.
func (c *Columns) Print(a *App, indent string) {
	var widths []int
	for _, row := range c.Rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], ansi.StringWidth(cell))
		}
	}
	for _, row := range c.Rows {
		var b strings.Builder
		b.WriteString(indent)
		for i, cell := range row {
			b.WriteString(cell)
			b.WriteString(strings.Repeat(" ", widths[i]-ansi.StringWidth(cell)+2))
		}
		fmt.Fprintln(a.Out, strings.TrimRight(b.String(), " "))
	}
}

// Printf prints a line of results, cleaned.
func (a *App) Printf(format string, args ...any) {
	fmt.Fprintln(a.Out, usage.CleanLines(fmt.Sprintf(format, args...)))
}

// ReadingText is a reading as it was typed, with its unit.
func ReadingText(r logbook.Reading) string { return strings.TrimSpace(r.Text + " " + r.Unit) }

// WhenText is a moment as people read it, in the zone it was logged with.
func WhenText(t time.Time) string { return t.Format("2006-01-02 15:04") }

// DayText is a moment's day.
func DayText(t time.Time) string {
	if t.IsZero() {
		return "–"
	}
	return t.Format("2 Jan 2006")
}

// Plural is a count with its noun.
func Plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// KindWords is the name of a sort of record as people say it.
func KindWords(k logbook.Kind) string { return "a " + strings.ReplaceAll(string(k), "_", " ") }

// KindCounts lists how many records of each sort there are, in brackets behind a space; "" for none.
func KindCounts(byKind map[logbook.Kind]int) string {
	var kinds []string
	for kind, n := range byKind {
		kinds = append(kinds, kindCount(kind, n))
	}
	if len(kinds) == 0 {
		return ""
	}
	slices.Sort(kinds)
	return " (" + strings.Join(kinds, ", ") + ")"
}

// kindCount is a count of records of a sort.
func kindCount(k logbook.Kind, n int) string {
	one := strings.ReplaceAll(string(k), "_", " ")
	switch k {
	case logbook.KindChoreDone:
		return Plural(n, "chore done", "chores done")
	case logbook.KindDosing:
		return Plural(n, "dosing", "dosing entries")
	default:
		return Plural(n, one, one+"s")
	}
}

// EntryText is an entry on one line, with its time and tank.
func EntryText(e logbook.Entry) string {
	return usage.OneLine(fmt.Sprintf("%s %s %s", WhenText(e.When()), e.TankName(), EntryWhat(e)))
}

// EntryWhat is what an entry says, on one line.
func EntryWhat(e logbook.Entry) string {
	what := ""
	switch e := e.(type) {
	case logbook.Reading:
		what = e.Parameter + " " + ReadingText(e)
	case logbook.Dosing:
		what = fmt.Sprintf("dosing %s %s a day %s", e.Parameter, alerts.RiseText(e.PerDay, e.Unit), e.Supplement)
	case logbook.Dose:
		what = fmt.Sprintf("dose %s %s %s", e.Parameter, alerts.RiseText(e.Amount, e.Unit), e.Supplement)
	case logbook.WaterChange:
		what = fmt.Sprintf("water change %s %%", water.FormatAtMost(100*e.Fraction, 4))
	case logbook.Event:
		what = "event " + strings.TrimPrefix(e.Subject+": ", ": ") + e.Text
	case logbook.ChoreDone:
		what = "done: " + e.Chore
	case logbook.Refill:
		what = refillText(e)
	default:
		what = KindWords(e.Kind())
	}
	return usage.OneLine(what)
}
