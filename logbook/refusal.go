package logbook

import (
	"errors"
	"fmt"
	"strings"

	"leadline/logbook/sheet"
)

// Refusal is one thing that was not accepted: where it stands, what it says, why not, and what to do about it. Its
// message is one line without the hint, which whoever prints it puts on a line of its own.
type Refusal struct {
	File   string `json:"file"`
	Sheet  string `json:"sheet"`  // of a spreadsheet; its Line is the row
	Line   int    `json:"line"`   // 1 is the first; 0: not from a file
	Column int    `json:"column"` // number of the field in its row, 1 is the first; 0: no column
	Field  string `json:"field"`  // name of the column, or of the field in JSON Lines, or of the parameter
	Value  string `json:"value"`  // as typed
	Reason string `json:"reason"` // why, with the value
	Hint   string `json:"hint"`   // what to do; may be ""
}

// Error is "readings.csv:14: column po4: "0,03" is not a number", less what is not known.
func (r Refusal) Error() string {
	var b strings.Builder
	switch {
	case r.Sheet != "":
		b.WriteString(r.cell())
	case r.File != "" && r.Line > 0:
		fmt.Fprintf(&b, "%s:%d: ", Clean(r.File), r.Line)
	case r.File != "":
		fmt.Fprintf(&b, "%s: ", Clean(r.File))
	case r.Line > 0:
		fmt.Fprintf(&b, "line %d: ", r.Line)
	}
	switch {
	case r.Column > 0 && r.Field == "" && r.Sheet != "": // the cell says it
	case r.Column > 0 && r.Field == "":
		fmt.Fprintf(&b, "column %d: ", r.Column)
	case r.Column > 0:
		fmt.Fprintf(&b, "column %s: ", Clean(r.Field))
	case r.Field != "" && r.Line > 0:
		fmt.Fprintf(&b, "field %s: ", Clean(r.Field))
	case r.Field != "":
		fmt.Fprintf(&b, "%s: ", Clean(r.Field))
	}
	b.WriteString(r.Reason)
	return b.String()
}

// cell is the place in a spreadsheet: log.xlsx: sheet "2026", cell C14.
func (r Refusal) cell() string {
	switch {
	case r.Line == 0:
		return fmt.Sprintf("%s: sheet %s: ", Clean(r.File), quote(r.Sheet))
	case r.Column == 0:
		return fmt.Sprintf("%s: sheet %s, row %d: ", Clean(r.File), quote(r.Sheet), r.Line)
	}
	return fmt.Sprintf("%s: sheet %s, cell %s: ", Clean(r.File), quote(r.Sheet), sheet.Place(r.Line, r.Column-1))
}

func refuse(value, hint, format string, args ...any) Refusal {
	return Refusal{Value: value, Reason: fmt.Sprintf(format, args...), Hint: hint}
}

func asRefusal(err error) Refusal {
	var r Refusal
	if errors.As(err, &r) {
		return r
	}
	return Refusal{Reason: err.Error()}
}

func refusalOf(parameter string, err error) Refusal {
	r := asRefusal(err)
	r.Field = parameter
	return r
}

// Refusals is everything that was refused of one file, in order.
type Refusals []Refusal

const printedRefusals = 10

// Error is one line for each refusal, the first ones only where there are many.
func (rs Refusals) Error() string {
	if len(rs) == 0 {
		return "nothing was refused"
	}
	var lines []string
	for i, r := range rs {
		if i == printedRefusals {
			lines = append(lines, fmt.Sprintf("... and %d more", len(rs)-i))
			break
		}
		lines = append(lines, r.Error())
	}
	return strings.Join(lines, "\n")
}

// mostRefusals is how many are gathered of one file before it is given up.
const mostRefusals = 1000

type refusalList struct {
	file, sheet string
	all         Refusals
	full        bool // there are so many that reading on makes no sense
}

func (l *refusalList) add(line int, r Refusal) {
	r.File, r.Sheet, r.Line = l.file, l.sheet, line
	l.all = append(l.all, r)
	if l.full = len(l.all) >= mostRefusals; l.full {
		l.all = append(l.all, Refusal{File: l.file, Sheet: l.sheet, Line: line,
			Reason: fmt.Sprintf("reading ended here, after %d refusals", mostRefusals)})
	}
}

func (l *refusalList) err() error {
	if len(l.all) == 0 {
		return nil
	}
	return l.all
}
