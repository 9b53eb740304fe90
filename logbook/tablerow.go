package logbook

// The rows of a table come from CSV or from a sheet of a spreadsheet; what they mean is worked out by csvFile alone.

// csvField is one cell. Its bytes are good until the next row is read.
type csvField struct {
	text    []byte
	quoted  bool
	number  bool   // a sheet says it is a number: no mark in it is to be guessed at
	merged  bool   // a sheet has it merged with the cell above, whose text it bears
	problem string // why a sheet has no text for it; "" if it has
}

type tableRow struct {
	line    int // on which it begins, 1 is the first
	fields  []csvField
	problem *Refusal // why the row makes no sense
}

type tableRows interface {
	next() (more bool, err error) // false at the end; err is that of the file underneath
	row() *tableRow               // the same one every time, filled by next
	header(width int)             // the row just read is the header, of so many fields
}
