package tui

import (
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// demandSays is what the tank takes a day of a parameter, and what of each supplement holds the level, in sentences.
func demandSays(v *logbook.View, t logbook.Tank, p logbook.Parameter, at time.Time) ([]string, error) {
	d, err := alerts.DemandOf(v, t, p, at)
	if err != nil {
		return nil, err
	}
	holdings, err := alerts.Holdings(v, d)
	if err != nil {
		return nil, err
	}
	balance, ok, err := alerts.CalcificationOf(v, d)
	return d.Says(holdings, balance, ok), err
}

// warnedAt is when the engine would have begun to warn of the floor.
func warnedAt(v *logbook.View, t logbook.Tank, p logbook.Parameter) (times []time.Time, err error) {
	lines, err := alerts.Hindcast(v, t, p)
	before := false
	for _, l := range lines {
		now := l.Assessment.BottomingOut || l.Assessment.BottomedOut
		if n := len(l.Readings); now && !before && n > 0 {
			times = append(times, l.Readings[n-1].Time)
		}
		before = now
	}
	return times, err
}
