package logbook

import (
	"strings"
	"unicode/utf8"
)

// A spreadsheet runs a cell as a formula if it begins with one of these. An export for a spreadsheet puts a ' before
// such a text, and reading takes it off again. So that this is exact for every text, one that has such a mark of its own
// before a formula gets another one in every export.
const formulaSigns = "=+-@\t\r\n＝＋－＠"

// beginsFormula reports whether a spreadsheet would run the text, marks before it aside; marks is how many there are.
func beginsFormula(text string) (marks int, yes bool) {
	marks = len(text) - len(strings.TrimLeft(text, "'"))
	if marks == len(text) {
		return marks, false
	}
	sign, _ := utf8.DecodeRuneInString(text[marks:])
	return marks, strings.ContainsRune(formulaSigns, sign)
}

// guard is a text as it is written: for a spreadsheet, or exact.
func guard(text string, spreadsheet bool) string {
	if text == "" {
		return text
	}
	if marks, yes := beginsFormula(text); yes && (spreadsheet || marks > 0) {
		return "'" + text
	}
	return text
}

// unguard undoes guard.
func unguard(text []byte) (plain []byte, guarded bool) {
	if len(text) < 2 || text[0] != '\'' {
		return text, false
	}
	if _, yes := beginsFormula(string(text)); !yes {
		return text, false
	}
	return text[1:], true
}
