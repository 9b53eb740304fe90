package report

import (
	"fmt"
	"strings"

	"leadline/alerts/words"
	"leadline/logbook"
)

// entryText is what was done or seen. Private leaves out what was written about it.
func entryText(k words.Known, e logbook.Entry, private bool) string {
	if private {
		switch e := e.(type) {
		case logbook.ChoreDone:
			return "a chore done"
		case logbook.Event:
			return strings.TrimSuffix("event: "+words.OneLine(strings.Join(e.Tags, ", ")), ": ")
		}
	}
	return k.Entry(e)
}

// atMost keeps the first n lines and says how many more there are.
func atMost(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	return append(lines[:n-1:n-1], fmt.Sprintf("… and %d more", len(lines)-n+1))
}

// newest keeps the last n lines and says how many there are before them.
func newest(lines []string, n int) []string {
	if len(lines) <= n {
		return lines
	}
	left := len(lines) - n + 1
	return append([]string{fmt.Sprintf("… %d before", left)}, lines[left:]...)
}
