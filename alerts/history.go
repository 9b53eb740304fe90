package alerts

import (
	"fmt"
	"math"
	"time"

	"leadline/logbook"
)

// How far back an examination looks. What lies further back changes the present answer by nothing a screen could show,
// and reading it would make a morning glance as slow as the history is long. Four years of weekly tests lie within both, so
// that a hindcast, which follows the whole series, says the same.
const (
	HistoryDays = 1500
	MaxReadings = 400
)

// A log is dense where it holds more than DenseCrowd readings a day: more than anybody tests by hand (common practice, no
// source). Readings of one probe, minutes apart, share its fault and the water's mood: a hundred of them know the level
// hardly better than one. So an answer rests on one reading of each bin of time, and takes it for no more than one; the bins
// are as far apart as a keeper's tests where they are old.
const DenseCrowd = 12

const day = 24 * time.Hour

// tiers are the bins of a dense log: six hours in the last two days, so that a fast change is seen within the day, a day for
// as long as the rolling view looks back, and a week before.
func tiers() []logbook.Tier {
	return []logbook.Tier{
		{Until: 2 * day, Width: day / 4, Crowd: DenseCrowd},
		{Until: 56 * day, Width: day, Crowd: DenseCrowd},
		{Width: 7 * day, Crowd: 7 * DenseCrowd},
	}
}

// history reads the readings an answer rests on; thinned says that the log is dense and that they are chosen of it.
func history(v *logbook.View, tank, parameter string, asOf time.Time, windowDays float64) (rs []logbook.Reading, thinned bool, err error) {
	rs, thinned, err = v.Thinned(tank, parameter, time.Time{}, asOf, MaxReadings, tiers())
	if err != nil {
		return nil, false, err
	}
	start := asOf.Add(-time.Duration(windowDays * dayNanos))
	if windowDays > HistoryDays || windowDays > 0 && len(rs) == MaxReadings && rs[0].Time.After(start) {
		return v.Thinned(tank, parameter, start, asOf, math.MaxInt, tiers()) // the rolling view was asked for more
	}
	oldest := asOf.AddDate(0, 0, -HistoryDays)
	first := 0
	// The last reading is shown however old it is.
	for first < len(rs)-1 && rs[first].Time.Before(oldest) {
		first++
	}
	return rs[first:], thinned, nil
}

// thinnedText says what of a dense log an answer rests on.
func thinnedText() string {
	return fmt.Sprintf("chosen from a dense log, of days with more than %d readings: one of six hours in the last two days, one a day for eight weeks, one a week before", DenseCrowd)
}

// recent is how many of the latest readings tell how often a parameter is tested.
const recent = 9

// probed reports whether the log is dense where it ends: a probe writes it.
func (l Line) probed() bool { return l.Thinned && isDense(l.Readings) }

// isDense reports whether the latest of the readings chosen of a dense log lie as close together as only a probe writes.
func isDense(rs []logbook.Reading) bool {
	n := len(rs)
	return n >= recent && rs[n-1].Time.Sub(rs[n-recent].Time) <= 5*day/2
}

// whole reads a series from end to end, one reading a day where it is dense.
func whole(v *logbook.View, tank, parameter string, from, to time.Time) (rs []logbook.Reading, thinned bool, err error) {
	return v.Thinned(tank, parameter, from, to, math.MaxInt, []logbook.Tier{{Width: day, Crowd: DenseCrowd}})
}
