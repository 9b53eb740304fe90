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
	line := func(cells []string) {
		for i, c := range cells {
			cells[i] = logbook.SpreadsheetText(c)
		}
		_ = out.Write(cells) // told by Error below
	}
	line(t.Head())
	for _, r := range t.Rows {
		line(t.Line(r))
	}
	out.Flush()
	return out.Error()
}
