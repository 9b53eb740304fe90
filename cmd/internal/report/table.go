package report

import (
	"encoding/csv"
	"io"

	"leadline/alerts"
	"leadline/logbook"
)

// WriteTable writes a table as CSV that a spreadsheet opens, with the dates down and the parameters across.
func WriteTable(w io.Writer, t alerts.Table) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return err
	}
	out := csv.NewWriter(w)
	text := func(cells []string) { // what somebody wrote; the rest is numbers
		for i, c := range cells {
			cells[i] = logbook.SpreadsheetText(c)
		}
	}
	head := t.Head()
	text(head)
	_ = out.Write(head) // told by Error below
	for _, r := range t.Rows {
		line := t.Line(r)
		text(line[len(line)-1:])
		_ = out.Write(line)
	}
	out.Flush()
	return out.Error()
}
