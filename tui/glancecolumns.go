package tui

import (
	"cmp"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// column is a column of the table. keep is its rank when there is not room for all: 0 stays longest.
type column struct {
	head  string
	w     int
	right bool
	keep  int
	cell  func(l alerts.Finding, w int) string
}

func (c column) fit(s string) string {
	if c.right {
		return part.PadLeft(s, c.w)
	}
	return part.Pad(s, c.w)
}

const sparkDays = 84

// columnsOf chooses what there is room for and makes each as wide as what it holds.
func columnsOf(rs []alerts.Report, w int, t *part.Theme) []column {
	latest := func(l alerts.Finding, with func(logbook.Reading) string) string {
		if n := len(l.Readings); n > 0 {
			return with(l.Readings[n-1])
		}
		return "—"
	}
	text := func(f func(alerts.Finding) string) func(alerts.Finding, int) string {
		return func(l alerts.Finding, _ int) string { return f(l) }
	}
	// What rests on the examination is not said before it: an empty cell would pass for an answer.
	found := func(yet string, f func(alerts.Finding) string) func(alerts.Finding, int) string {
		return func(l alerts.Finding, _ int) string {
			if l.Unexamined {
				return t.Dim.Render(yet)
			}
			return f(l)
		}
	}
	more, looking := part.SignMore, "looking "+part.SignMore
	// On a narrow screen the direction is a sign alone: a number without its unit can be anything.
	heading := column{"heading", 0, false, 2,
		found(looking, headingText)}
	if w < 60 {
		heading.head, heading.cell = "", found(more, headingSign)
	}
	asOf := func(l alerts.Finding) time.Time { return rs[0].AsOf.In(l.Tank.Zone()) }
	all := []column{
		{"parameter", 0, false, 0, text(func(l alerts.Finding) string { return part.Clean(l.Parameter.Name) })},
		{"latest", 0, true, 0, text(func(l alerts.Finding) string {
			return latest(l, func(x logbook.Reading) string { return words.Value(l.Parameter, x) })
		})},
		{"", 0, false, 0, text(func(l alerts.Finding) string { return words.Unit(l.Parameter) })},
		{"age", 0, true, 4, text(func(l alerts.Finding) string {
			return latest(l, func(x logbook.Reading) string { return words.Age(x.Time, asOf(l)) })
		})},
		{"level range", 0, true, 8, found(looking, alerts.Finding.LevelBetween)},
		{"your band", 20, false, 3, func(l alerts.Finding, w int) string { return t.Row(picture.Ruler(l, w)) }},
		{"", 0, false, 9, found(more, func(l alerts.Finding) string {
			return t.Ink(picture.ToneOf(l.BandState)).Render(l.BandWords())
		})},
		{"12 weeks", 12, false, 6, func(l alerts.Finding, w int) string {
			if l.Unexamined {
				return t.Dim.Render(looking)
			}
			return picture.Sparkline(picture.Latest(l.Readings, asOf(l), sparkDays, w), l.Band)
		}},
		heading,
		{"to floor", 0, true, 1, found(more, func(l alerts.Finding) string {
			return floorStyle(l, t).Render(cmp.Or(l.FloorDays(), "—"))
		})},
		{"next test", 0, true, 7, found(more, func(l alerts.Finding) string {
			return dueStyle(l, asOf(l), t).Render(l.DueText(asOf(l)))
		})},
	}
	for i, c := range all {
		if c.w > 0 {
			continue
		}
		all[i].w = part.Width(c.head)
		for _, r := range rs {
			for _, l := range r.Findings {
				all[i].w = max(all[i].w, part.Width(c.cell(l, 0)))
			}
		}
	}
	return shrink(all, w-2)
}

// shrink narrows the ruler, then leaves out the columns of the highest rank until the rest fits.
func shrink(all []column, w int) []column {
	for {
		total, ruled, worst := 0, -1, -1
		for i, c := range all {
			total += c.w + 1
			if c.head == "your band" {
				ruled = i
			}
			if worst < 0 || c.keep > all[worst].keep {
				worst = i
			}
		}
		over := total - w
		if over <= 0 {
			return all
		}
		if ruled >= 0 && all[ruled].w-over >= 13 {
			all[ruled].w -= over
			return all
		}
		if len(all) <= 2 {
			all[0].w = max(4, all[0].w-over)
			return all
		}
		all = append(all[:worst:worst], all[worst+1:]...)
	}
}

func floorStyle(l alerts.Finding, t *part.Theme) part.Ink {
	switch {
	case l.Assessment.BottomedOut:
		return t.Bad
	case l.Assessment.BottomingOut:
		return t.Warn
	default:
		return t.Plain
	}
}

func dueStyle(l alerts.Finding, now time.Time, t *part.Theme) part.Ink {
	if l.OnTestDay(now) {
		return t.Warn
	}
	return t.Plain
}
