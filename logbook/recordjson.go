package logbook

import "bytes"

// RecordJSON is one record as a JSON object, in the form of JSON Lines.
func RecordJSON(rec Record) ([]byte, error) {
	var line jsonLine
	b, err := line.of(rec)
	return bytes.TrimSuffix(b, []byte("\n")), err
}
