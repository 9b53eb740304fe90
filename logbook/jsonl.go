package logbook

import "io"

// JSONLOptions says how a JSON Lines file is to be read.
type JSONLOptions struct {
	File       string      // its name, for messages
	Parameters []Parameter // those known before the file begins
}

// EachJSONL hands every record of a JSON Lines file to fn; a reading comes as a *Reading, which is overwritten by the next.
func EachJSONL(r io.Reader, opt JSONLOptions, fn func(Record) error) error { return errUnwritten }

// ReadJSONL is EachJSONL collected.
func ReadJSONL(r io.Reader, opt JSONLOptions) ([]Record, error) { return nil, errUnwritten }

// WriteJSONL writes every record of a book.
func WriteJSONL(w io.Writer, v *View, opt ExportOptions) error { return errUnwritten }
