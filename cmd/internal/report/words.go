package report

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/logbook"
)

// said is text of others on one line.
func said(s string) string { return logbook.Clean(strings.Join(strings.Fields(s), " ")) }

func dayText(t time.Time) string  { return t.Format("2 Jan 2006") }
func shortDay(t time.Time) string { return t.Format("2 Jan") }

func plain(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// valueText is a reading in the canonical unit: as it was typed where it was typed in that, so that it claims no more
// digits than the test gave.
func valueText(p logbook.Parameter, r logbook.Reading) string {
	if u, err := p.FindUnit(r.Unit); err == nil && u.Canonical(1) == 1 && u.Canonical(0) == 0 {
		return said(r.Text)
	}
	return r.Bound.Sign() + alerts.Number(p, r.Value)
}

func ageText(then, now time.Time) string {
	return fmt.Sprintf("%.0f d", math.Max(0, math.Floor(alerts.Day(now)-alerts.Day(then))))
}

// methodText is what a method can tell: its steps or marks, its scatter and its limit.
func methodText(m logbook.Method) string {
	unit := said(m.Unit)
	with := func(v float64) string { return strings.TrimSpace(plain(v) + " " + unit) }
	var parts []string
	if len(m.Marks) > 0 {
		marks := make([]string, len(m.Marks))
		for i, v := range m.Marks {
			marks[i] = plain(v)
		}
		parts = append(parts, strings.TrimSpace("marks "+strings.Join(marks, " ")+" "+unit))
	}
	if m.Step > 0 {
		parts = append(parts, "steps of "+with(m.Step))
	}
	var scatter []string
	if m.SD > 0 {
		scatter = append(scatter, with(m.SD))
	}
	if m.SDRel > 0 {
		scatter = append(scatter, plain(100*m.SDRel)+" %")
	}
	if m.SDSteps > 0 {
		scatter = append(scatter, plain(m.SDSteps)+" of a step")
	}
	if len(scatter) > 0 {
		parts = append(parts, "scatter "+strings.Join(scatter, " and "))
	}
	if m.Limit > 0 {
		parts = append(parts, "sees from "+with(m.Limit))
	}
	return strings.Join(parts, ", ")
}

// entryText is what was done or seen. Private leaves out what was written about it.
func entryText(e logbook.Entry, private bool) string {
	switch e := e.(type) {
	case logbook.Dosing:
		if e.PerDay == 0 {
			return "dosing of " + e.Parameter + " stopped" + from(e.Supplement)
		}
		return fmt.Sprintf("dosing of %s set to %s a day", e.Parameter, alerts.RiseText(e.PerDay, e.Unit)) + from(e.Supplement)
	case logbook.Dose:
		return fmt.Sprintf("dose of %s, %s", e.Parameter, alerts.RiseText(e.Amount, e.Unit)) + from(e.Supplement)
	case logbook.WaterChange:
		return fmt.Sprintf("water change, %s %%", plain(100*e.Fraction))
	case logbook.ChoreDone:
		if private {
			return "a chore done"
		}
		return "done: " + said(e.Chore)
	case logbook.Event:
		if private {
			return strings.TrimSuffix("event: "+said(strings.Join(e.Tags, ", ")), ": ")
		}
		return strings.TrimPrefix(said(e.Subject)+": ", ": ") + said(e.Text)
	default:
		return strings.ReplaceAll(string(e.Kind()), "_", " ")
	}
}

func from(supplement string) string {
	if s := said(supplement); s != "" {
		return ", " + s
	}
	return ""
}

// table lays rows out in columns as wide as their widest cell, two spaces apart.
func table(rows [][]string) []string {
	var widths []int
	for _, row := range rows {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], ansi.StringWidth(cell))
		}
	}
	var out []string
	for _, row := range rows {
		var b strings.Builder
		for i, cell := range row {
			b.WriteString(cell + strings.Repeat(" ", widths[i]-ansi.StringWidth(cell)+2))
		}
		out = append(out, strings.TrimRight(b.String(), " "))
	}
	return out
}

// wrap breaks a sentence into lines of a width, all but the first indented.
func wrap(text string, width int, indent string) []string {
	lines := strings.Split(ansi.Wrap(text, width-ansi.StringWidth(indent), " "), "\n")
	for i := range lines {
		lines[i] = strings.TrimSpace(lines[i])
		if i > 0 {
			lines[i] = indent + lines[i]
		}
	}
	return lines
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
