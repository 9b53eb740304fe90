package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"time"
	"unicode"
	"unicode/utf16"

	"leadline/logbook"
)

// What --json prints is published; each shape, a type whose name ends in JSON, stands beside the command that prints
// it. Fields may be added, never renamed or dropped. Numbers are in the parameter's canonical unit; what is unknown
// is null. Times are RFC 3339 in the zone they were logged with, or the tank's.

// number is a number that may be unknown: NaN and the infinities become null.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	if f := float64(n); math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// moment is a time that may be unknown: the zero time becomes null.
type moment time.Time

func (m moment) MarshalJSON() ([]byte, error) {
	if time.Time(m).IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(logbook.FormatTime(time.Time(m)))
}

// printJSON prints one value on one line. What a terminal could take for a command, or what turns the direction of
// writing, is written as an escape, which says the same to a reader of JSON.
func (a *app) printJSON(v any) error {
	var line bytes.Buffer
	enc := json.NewEncoder(&line)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	for _, r := range line.String() {
		if r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			for _, unit := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(a.out, "\\u%04x", unit)
			}
			continue
		}
		if _, err := a.out.WriteRune(r); err != nil {
			return err
		}
	}
	return nil
}

func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// recordJSON is a record in the form of JSON Lines; see printRecords.
type recordJSON struct {
	Kind string `json:"kind"`
}

// printRecords prints records in the form of JSON Lines, as one list.
func printRecords[R logbook.Record](a *app, recs []R) error {
	list := []json.RawMessage{}
	for _, rec := range recs {
		list = append(list, logbook.RecordJSON(rec))
	}
	return a.printJSON(list)
}
