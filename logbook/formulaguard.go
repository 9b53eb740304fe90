package logbook

import (
	"strings"
	"unicode/utf8"
)

// A spreadsheet runs a cell as a formula if it begins with one of these, and takes a text such as 1/2 or 0012 for a day or
// a number. An export for a spreadsheet puts a ' before both, and reading takes it off again. So that this is exact for
// every text, one that has such a mark of its own there gets another one in every export.
const formulaSigns = "=+-@\t\r\n＝＋－＠"

// misread reports whether a spreadsheet would take the text for something else, marks before it aside.
func misread(text string) bool {
	bare := strings.TrimLeft(text, "'")
	if bare == "" {
		return false
	}
	sign, _ := utf8.DecodeRuneInString(bare)
	return strings.ContainsRune(formulaSigns, sign) || looksNumeric(bare)
}

// looksNumeric reports whether a text has nothing but digits and the marks of numbers, days and times of day.
func looksNumeric(text string) bool {
	return text[0] >= '0' && text[0] <= '9' && strings.Trim(text, "0123456789 .,:/-+eE%") == ""
}

// guard is a text as it is written: for a spreadsheet, or exact.
func guard(text string, spreadsheet bool) string {
	if text == "" {
		return text
	}
	if (spreadsheet || text[0] == '\'') && misread(text) {
		return "'" + text
	}
	return text
}

// SpreadsheetText is a cell that no spreadsheet takes for a formula.
func SpreadsheetText(text string) string { return guard(text, true) }

// unguard undoes guard.
func unguard(text []byte) (plain []byte, guarded bool) {
	if len(text) < 2 || text[0] != '\'' || !misread(string(text)) {
		return text, false
	}
	return text[1:], true
}
