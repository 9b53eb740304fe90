package tui

import (
	"fmt"
	"math"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/trend"
)

// Short forms for narrow columns. The long ones, with their numbers, are the sentences of package alerts.

// valueText is a reading in the canonical unit, with its sign where only a bound is known.
func valueText(p logbook.Parameter, r logbook.Reading) string {
	return r.Bound.Sign() + alerts.Number(p, r.Value)
}

// readText is a reading as it was typed and, where that was in another unit, in the parameter's own: to more decimals
// than the parameter's where these would leave nothing of it, and without those that say nothing.
func readText(p logbook.Parameter, r logbook.Reading) string {
	text := strings.TrimSpace(clean(r.Text) + " " + clean(r.Unit))
	if p.Name == "" || p.Unit == r.Unit {
		return text
	}
	digits := p.Digits
	for digits < 9 && r.Value != 0 && math.Abs(r.Value) < math.Pow(10, -float64(digits)) {
		digits++
	}
	number := water.Format(r.Value, digits)
	if strings.Contains(number, ".") {
		number = strings.TrimRight(strings.TrimRight(number, "0"), ".")
	}
	return text + " = " + strings.TrimSpace(r.Bound.Sign()+number+" "+clean(p.Unit))
}

// ageText is how long ago a reading was taken.
func ageText(then, now time.Time) string {
	days := daysBetween(then, now)
	switch {
	case days <= 0:
		return "today"
	case days < 100:
		return fmt.Sprintf("%d d", days)
	case days < 700:
		return fmt.Sprintf("%d w", days/7)
	default:
		return fmt.Sprintf("%d y", days/365)
	}
}

// daysBetween counts midnights in now's zone: yesterday evening is one day ago in the morning.
func daysBetween(then, now time.Time) int {
	date := func(t time.Time) time.Time {
		y, m, d := t.In(now.Location()).Date()
		return time.Date(y, m, d, 12, 0, 0, 0, time.UTC)
	}
	return int(math.Round(date(now).Sub(date(then)).Hours() / 24))
}

// dueText is when the next test is due.
func dueText(l alerts.Finding, now time.Time) string {
	if l.Due.IsZero() {
		if len(l.Readings) == 0 && l.Band.Set() {
			return "first test"
		}
		return ""
	}
	switch days := daysBetween(now, l.Due.In(now.Location())); {
	case days < -1:
		return fmt.Sprintf("%d d late", -days)
	case days == -1:
		return "1 d late"
	case days == 0:
		return "today"
	default:
		return fmt.Sprintf("in %d d", days)
	}
}

// floorShort is the time to the floor in a column.
func floorShort(l alerts.Finding) string {
	if text := l.FloorDays(); text != "" {
		return text
	}
	return "—"
}

// headingText is the direction as a sign and a word.
func headingText(l alerts.Finding, s signs) string {
	word := "unknown"
	switch l.Assessment.Direction {
	case trend.Rising:
		word = "rising"
	case trend.Falling:
		word = "falling"
	case trend.Steady:
		word = "steady"
	}
	return headingSign(l, s) + " " + word
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

// rangeText is the 80 % interval of the level.
func rangeText(l alerts.Finding) string {
	a := l.Assessment
	if math.IsNaN(a.LevelLo) || math.IsNaN(a.LevelHi) || a.N == 0 {
		return "unknown"
	}
	return alerts.Number(l.Parameter, a.LevelLo) + "–" + alerts.Number(l.Parameter, a.LevelHi)
}

// standing is where the level stands in the band, in words.
func standing(s alerts.BandState) string {
	switch s {
	case alerts.BandInside:
		return "in band"
	case alerts.BandNearLow:
		return "near low"
	case alerts.BandNearHigh:
		return "near high"
	case alerts.BandBelow:
		return "too low"
	case alerts.BandAbove:
		return "too high"
	case alerts.BandNone:
		return "no band"
	default:
		return "unknown"
	}
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
