package importing

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
	"leadline/logbook/water"
)

// previewRows is how many of the first readings a preview shows.
const previewRows = 8

// seenRows is what a preview remembers of the readings of a file.
type seenRows struct {
	first  []seenRow
	series map[[2]string]*seenSeries // by tank and parameter
}

type seenRow struct {
	reading logbook.Reading
	as      logbook.ReadAs
}

// seenSeries counts the readings of one tank and parameter.
type seenSeries struct {
	n           int
	first, last time.Time
	low, high   float64
}

func (s *seenRows) take(r logbook.Reading, as logbook.ReadAs) {
	if len(s.first) < previewRows {
		s.first = append(s.first, seenRow{r, as})
	}
	key := [2]string{r.Tank, r.Parameter}
	of := s.series[key]
	if of == nil {
		of = &seenSeries{first: r.Time, last: r.Time, low: r.Value, high: r.Value}
		s.series[key] = of
	}
	of.n++
	of.low, of.high = min(of.low, r.Value), max(of.high, r.Value)
	if r.Time.Before(of.first) {
		of.first = r.Time
	}
	if r.Time.After(of.last) {
		of.last = r.Time
	}
}

// previewOf is what a preview shows of a file that can be read.
func previewOf(in *input, c *counted, k known) *previewJSON {
	n := c.notes
	out := &previewJSON{File: in.shown, Format: in.format, Sheet: n.Sheet, Delimiter: app.DelimiterName(n.Delimiter),
		Columns: []previewColumnJSON{}, Rows: []previewRowJSON{}, Series: []previewSeriesJSON{},
		Assumed: append([]string{}, assumed(c, k)...)}
	isTable := in.format != "jsonl"
	if isTable {
		out.Form = "long"
		if n.Wide {
			out.Form = "wide"
		}
	}
	for _, col := range n.Columns {
		j := previewColumnJSON{Name: col.Name, Field: col.Field, Parameter: col.Parameter, Unit: col.Unit}
		if col.Parameter != "" {
			j.UnitFrom = col.UnitFrom.String()
		}
		out.Columns = append(out.Columns, j)
	}
	for _, row := range c.seen.first {
		r := row.reading
		j := previewRowJSON{Time: shape.Moment(r.Time), Tank: r.Tank, Parameter: r.Parameter, Value: r.Text, Unit: r.Unit,
			Method: r.Method, Note: r.Note}
		if isTable {
			j.Row, j.TimeFrom, j.UnitFrom = row.as.Line, row.as.Time.String(), row.as.Unit.String()
		}
		out.Rows = append(out.Rows, j)
	}
	for key, s := range c.seen.series {
		out.Series = append(out.Series, previewSeriesJSON{Tank: key[0], Parameter: key[1], N: s.n, Already: c.There()[key],
			First: shape.Moment(s.first), Last: shape.Moment(s.last),
			Lowest: shape.Number(s.low), Highest: shape.Number(s.high), Unit: c.parameters[key[1]].Unit})
	}
	slices.SortFunc(out.Series, func(a, b previewSeriesJSON) int {
		return cmp.Or(cmp.Compare(a.Tank, b.Tank), cmp.Compare(a.Parameter, b.Parameter))
	})
	return out
}

// printPreview prints a preview in lines.
func printPreview(a *app.App, p *previewJSON) {
	printColumns(a, p)
	if len(p.Rows) > 0 {
		a.Printf("the first readings, as they would be kept")
		var c words.Table
		for _, r := range p.Rows {
			row := ""
			if r.Row > 0 {
				row = fmt.Sprintf("row %d", r.Row)
			}
			c.Add(row, r.timeText(), r.Tank, r.Parameter, r.valueText(p.Form == "long"), r.Method,
				ansi.Truncate(r.Note, 30, "…"))
		}
		a.Table(c, "  ")
	}
	if len(p.Series) > 0 {
		a.Printf("of each tank and parameter")
		var c words.Table
		for _, s := range p.Series {
			there := ""
			if s.Already > 0 {
				there = fmt.Sprintf("%d there already", s.Already)
			}
			c.Add(s.Tank, s.Parameter, words.Plural(s.N, "reading", "readings"),
				words.Day(time.Time(s.First))+" to "+words.Day(time.Time(s.Last)),
				fmt.Sprintf("%s to %s %s", water.FormatAtMost(float64(s.Lowest), 4), water.FormatAtMost(float64(s.Highest), 4),
					s.Unit), there)
		}
		a.Table(c, "  ")
	}
}

// timeText is a time with its offset, and what it was read from where that was not all of it.
func (r previewRowJSON) timeText() string {
	text := time.Time(r.Time).Format("2006-01-02 15:04 -07:00")
	if r.TimeFrom == logbook.TimeNoon.String() {
		text += " (day alone)"
	}
	return text
}

// valueText is a value with its unit, and where that comes from unless a column says it.
func (r previewRowJSON) valueText(long bool) string {
	text := r.Value + " " + r.Unit
	if long && r.UnitFrom != logbook.UnitCell.String() {
		text += " (" + r.UnitFrom + ")"
	}
	return text
}

// printColumns prints how a table and each of its columns was understood.
func printColumns(a *app.App, p *previewJSON) {
	if p.Form == "" {
		return
	}
	what := "CSV with a " + p.Delimiter + " between the fields"
	if p.Sheet != "" {
		what = fmt.Sprintf("sheet %q", p.Sheet)
	}
	form := "one reading a row"
	if p.Form == "wide" {
		form = "one column for each parameter"
	}
	a.Printf("%s: %s, %s", p.File, what, form)
	var c words.Table
	for _, col := range p.Columns {
		switch {
		case col.Name == "":
		case col.Parameter != "":
			c.Add(col.Name, col.Parameter, fmt.Sprintf("%s (%s)", col.Unit, col.UnitFrom))
		case col.Field != "":
			c.Add(col.Name, col.Field)
		default:
			c.Add(col.Name, "left out")
		}
	}
	a.Table(c, "  ")
}

// previewRefused shows how far a file was understood that is refused, and every refusal.
func previewRefused(a *app.App, in *input, c *counted, err error) error {
	var refused logbook.Refusals
	if !a.JSON && errors.As(err, &refused) && in.format != "jsonl" && len(c.notes.Columns) > 0 {
		p := previewOf(in, c, known{})
		p.Series = nil // they end at the first refusal
		printPreview(a, p)
		a.Printf("%s; nothing can be kept until none is left", words.Plural(len(refused), "refusal", "refusals"))
		a.EveryRefusal = true
	}
	return err
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
	Row       int          `json:"row"` // 0 if the file has none
	Time      shape.Moment `json:"time"`
	TimeFrom  string       `json:"time_from"`
	Tank      string       `json:"tank"`
	Parameter string       `json:"parameter"`
	Value     string       `json:"value"`
	Unit      string       `json:"unit"`
	UnitFrom  string       `json:"unit_from"`
	Method    string       `json:"method"`
	Note      string       `json:"note"`
}

// previewSeriesJSON counts the readings of one tank and parameter, in its canonical unit.
type previewSeriesJSON struct {
	Tank      string       `json:"tank"`
	Parameter string       `json:"parameter"`
	N         int          `json:"n"`
	Already   int          `json:"already"` // of them, in the book
	First     shape.Moment `json:"first"`
	Last      shape.Moment `json:"last"`
	Lowest    shape.Number `json:"lowest"`
	Highest   shape.Number `json:"highest"`
	Unit      string       `json:"unit"`
}
