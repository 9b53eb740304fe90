package logbook

import (
	"bufio"
	"cmp"
	"io"
	"slices"
	"strings"
	"time"
)

// ExportOptions says what of a book is written.
type ExportOptions struct {
	Tank        string    // "" means all
	Since       time.Time // zero: from the beginning
	Spreadsheet bool      // CSV: text that a spreadsheet would run as a formula gets a ' in front; reading takes it off again
}

// WriteCSV writes the readings of a book that are not struck, in the long form, by tank, parameter and time. Values,
// units and notes are written as they were typed and times with their offset, so that reading the file back and writing
// it again gives the same bytes. Parameters of the keeper's own are named but not described.
func WriteCSV(w io.Writer, v *View, opt ExportOptions) error {
	out := bufio.NewWriterSize(w, 64<<10)
	out.WriteString(csvHeader + "\r\n")
	var row []byte
	var same []Reading // of one tank, parameter and moment
	flush := func() error {
		slices.SortFunc(same, compareSaid)
		for i := range same {
			row = appendCSV(row[:0], &same[i], opt.Spreadsheet)
			if _, err := out.Write(row); err != nil {
				return err
			}
		}
		same = same[:0]
		return nil
	}
	err := v.EachReading(func(r Reading) error {
		if !opt.takes(r.Tank, r.Time) {
			return nil
		}
		if len(same) > 0 && !(same[0].Time.Equal(r.Time) && same[0].Parameter == r.Parameter && same[0].Tank == r.Tank) {
			if err := flush(); err != nil {
				return err
			}
		}
		same = append(same, r)
		return nil
	})
	if err != nil {
		return err
	}
	if err := flush(); err != nil {
		return err
	}
	return out.Flush()
}

func (opt ExportOptions) takes(tank string, t time.Time) bool {
	return (opt.Tank == "" || opt.Tank == tank) && !t.Before(opt.Since)
}

// compareSaid orders readings of one moment by what they say. Their IDs would not do: a book that was filled from the
// file may give others.
func compareSaid(a, b Reading) int {
	if a.Text == b.Text && a.Unit == b.Unit && a.Method == b.Method && a.Note == b.Note {
		return strings.Compare(FormatTime(a.Time), FormatTime(b.Time))
	}
	return cmp.Or(strings.Compare(a.Text, b.Text), strings.Compare(a.Unit, b.Unit), strings.Compare(a.Method, b.Method), strings.Compare(a.Note, b.Note))
}

// appendCSV writes one row.
func appendCSV(b []byte, r *Reading, spreadsheet bool) []byte {
	b = appendTime(b, r.Time)
	for _, c := range [...]struct {
		text  string
		value bool
	}{{r.Tank, false}, {r.Parameter, false}, {r.Text, true}, {r.Unit, false}, {r.Method, false}, {r.Note, false}} {
		b = append(b, ',')
		text := c.text
		if !c.value {
			text = guard(text, spreadsheet)
		}
		b = appendCSVField(b, text)
	}
	return append(b, '\r', '\n')
}

// appendCSVField puts a field in quotation marks where it could be misread without: what holds a delimiter, a mark or
// a control character, and what begins or ends with a blank.
func appendCSVField(b []byte, s string) []byte {
	if !needsQuotes(s) {
		return append(b, s...)
	}
	b = append(b, '"')
	for i := 0; i < len(s); i++ {
		if s[i] == '"' {
			b = append(b, '"')
		}
		b = append(b, s[i])
	}
	return append(b, '"')
}

func needsQuotes(s string) bool {
	for i := 0; i < len(s); i++ {
		if s[i] < ' ' || s[i] == '"' || s[i] == ',' || s[i] == ';' {
			return true
		}
	}
	return trim(s) != s
}
