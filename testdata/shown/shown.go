// Package shown is a book whose four parameters are kept in one unit and shown in another, and what must not be left of
// the first in anything that a person reads. Each front end has a test that goes through its outputs.
package shown

import (
	_ "embed"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/testdata/typed"
)

//go:embed book.jsonl
var bookLines []byte

// AsOf is a moment at which every parameter of the book has an alert.
var AsOf = time.Date(2026, 3, 8, 10, 0, 0, 0, time.UTC)

// Units are those of the settings.
func Units() map[string]string {
	return map[string]string{"salinity": "SG 25/25", "alk": "meq/L", "temperature": "°F", "po4": "ppb P"}
}

// Parameters are those of the book.
func Parameters() []string { return []string{"alkalinity", "phosphate", "salinity", "temperature"} }

// Book is the book.
func Book(t *testing.T) *logbook.Book {
	t.Helper()
	return typed.BookOf(t, bookLines)
}

var decimal = regexp.MustCompile(`\d+\.\d+`)

// Check looks for what is left of the units that the book keeps: their names, and numbers as large as the levels are in
// them. A text of no one parameter has its parameter in every line.
func Check(t *testing.T, what, of, text string) {
	t.Helper()
	for _, line := range strings.Split(text, "\n") {
		p := of
		for _, name := range Parameters() {
			if of == "" && strings.Contains(line, name) {
				p = name
			}
		}
		for _, unit := range []string{"PSU", "dKH", "°C", "mg/L"} {
			if strings.Contains(line, unit) {
				t.Errorf("%s: %s is in %q", what, unit, line)
			}
		}
		between := map[string][2]float64{"salinity": {30, 40}, "alkalinity": {6, 10.5}, "temperature": {20, 30}}[p]
		line, _, _ := strings.Cut(line, "Kendall") // behind it stands a chance
		for _, number := range decimal.FindAllString(line, -1) {
			v, _ := strconv.ParseFloat(number, 64)
			_, decimals, _ := strings.Cut(number, ".")
			if v >= between[0] && v <= between[1] && between[1] > 0 || p == "phosphate" && len(decimals) > 2 {
				t.Errorf("%s: %s of %s is in %q", what, number, p, line)
			}
		}
	}
}
