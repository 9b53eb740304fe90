package tui

import (
	"cmp"
	"leadline/alerts"
	"leadline/trend"
)

// headingText is the direction as a sign and a word.
func headingText(l alerts.Finding, s signs) string {
	return headingSign(l, s) + " " + l.Assessment.Direction.String()
}

func headingSign(l alerts.Finding, s signs) string {
	switch l.Assessment.Direction {
	case trend.Rising:
		return s.Up
	case trend.Falling:
		return s.Down
	case trend.Steady:
		return s.Flat
	default:
		return "?"
	}
}

// floorText is the time to the floor in a column.
func floorText(l alerts.Finding) string { return cmp.Or(l.FloorDays(), "—") }
