package logbook

import "errors"

// Refusal is one thing that was not accepted: where it stands, what it says, why not, and what to do.
type Refusal struct {
	File   string
	Line   int    // 1 is the first; 0: not from a file
	Column int    // number of the field in its row, 1 is the first; 0: the whole line
	Field  string // name of the column or field
	Value  string // as typed
	Reason string
	Hint   string
}

func (r Refusal) Error() string { return r.Reason }

// Refusals is everything that was refused of one file.
type Refusals []Refusal

func (rs Refusals) Error() string { return "" }

var errUnwritten = errors.New("not written yet")
