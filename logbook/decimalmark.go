package logbook

import (
	"bytes"
	"fmt"
	"math"
	"strings"

	"leadline/logbook/water"
)

// Tables of many countries are written 0,03 with semicolons or tabs between the fields. There a comma in a value is no
// delimiter, and most values with one can be read in one way only. Those that cannot are refused: "1,300" is a thousand
// and some to one half of the world, and a little more than one to the other.

// decimals is the text of a value with a point in it.
func (f *csvFile) decimals(c csvField, text []byte, u *typedUnit) ([]byte, error) {
	if c.number {
		return text, nil
	}
	point := bytes.IndexByte(text, '.') >= 0
	switch comma := bytes.IndexByte(text, ',') >= 0; {
	case f.opt.DecimalComma && point:
		return nil, refuse(string(text),
			"with --decimal-comma, write every decimal with a comma and no marks between thousands",
			"%s has a point", quote(trim(string(text))))
	case f.opt.DecimalComma:
		return bytes.Replace(text, []byte(","), []byte("."), 1), nil
	case f.comma == ',':
	case comma && !point:
		return f.decimalComma(string(text), u)
	case point && !isNumber(strings.TrimLeft(trim(string(text)), "<> ")): // "n.a." says nothing of decimals
	case point && f.commaLine > 0:
		return nil, refuse(string(text), "write all decimals alike", "%s has a point, and line %d a decimal comma",
			quote(string(text)), f.commaLine)
	case point && f.pointLine == 0:
		f.pointLine = f.row.line
	}
	return text, nil
}

// decimalComma reads a comma that can only be a decimal one.
func (f *csvFile) decimalComma(text string, u *typedUnit) ([]byte, error) {
	point := strings.Replace(text, ",", ".", 1)
	switch {
	case !isNumber(strings.TrimLeft(point, "<> ")): // it is refused further on, in words that fit
		return []byte(text), nil
	case mayBeThousands(text) && !fewerOnly(text, u.unit):
		return nil, refuse(text, "--decimal-comma reads it as "+Clean(point)+"; leave out marks between thousands",
			"%s can be %s or %s", quote(text), point, strings.Replace(text, ",", "", 1))
	case f.pointLine > 0:
		return nil, refuse(text, "write all decimals alike", "%s has a decimal comma, and line %d a point", quote(text),
			f.pointLine)
	}
	if f.commaLine == 0 {
		f.commaLine = f.row.line
	}
	f.notes.Last.Comma = text
	return []byte(point), nil
}

// PointFor is a single value as it was typed, with a point for a decimal comma: "8,3" can mean one thing only. One that
// can mean two is refused with both; a text that is no number with a comma comes back as it is.
func PointFor(text string) (string, error) {
	if strings.Count(text, ",") != 1 {
		return text, nil
	}
	point := strings.Replace(text, ",", ".", 1)
	number := strings.Replace(strings.TrimLeft(trim(point), "<>=≤≥ "), "\u2212", "-", 1)
	switch {
	case !isNumber(number):
		return text, nil
	case mayBeThousands(trim(text)):
		thousand := strings.Replace(text, ",", "", 1)
		return "", refuse(text, fmt.Sprintf("write %s or %s", Clean(trim(point)), Clean(trim(thousand))),
			"%s can be %s or %s", quote(trim(text)), Clean(trim(point)), Clean(trim(thousand)))
	}
	return point, nil
}

// pointIn is PointFor for a value in a unit: where the unit has no such number of thousands, the comma is a decimal
// one. No water has a specific gravity of 1026.
func pointIn(text string, u water.Unit) (string, error) {
	point, err := PointFor(text)
	if err == nil {
		return point, nil
	}
	if fewerOnly(text, u) {
		return strings.Replace(text, ",", ".", 1), nil
	}
	return "", err
}

// fewerOnly reports whether a unit has no such number as a text is when its comma parts thousands.
func fewerOnly(text string, u water.Unit) bool {
	v, _, err := parseValue(strings.Replace(text, ",", "", 1))
	return err == nil && math.IsNaN(u.Canonical(v))
}

// mayBeThousands reports whether the comma in a number can stand between thousands: behind one to three digits that do
// not begin with 0, and before three.
func mayBeThousands(text string) bool {
	whole, rest, _ := strings.Cut(strings.TrimLeft(text, "<>+-\u2212 "), ",")
	return len(whole) >= 1 && len(whole) <= 3 && whole[0] != '0' && digits(rest) == 3 &&
		(len(rest) == 3 || rest[3] < '0' || rest[3] > '9')
}
