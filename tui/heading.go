package tui

import (
	"cmp"

	"leadline/alerts"
	"leadline/trend"
	"leadline/tui/part"
)

// headingText is the direction as a sign and a word.
func headingText(l alerts.Finding, s part.Signs) string {
	return headingSign(l, s) + " " + l.Assessment.Direction.String()
}

func headingSign(l alerts.Finding, s part.Signs) string {
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
