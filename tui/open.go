package tui

import (
	"strings"
	"time"

	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// build makes the screen that is wanted; home is the lowest one.
func build(e *part.Env, home *glance, w part.Want) part.Screen {
	switch w := w.(type) {
	case part.ChartOf:
		p := newParameterScreen(e, w.Tank, w.As)
		p.then = w.Then
		return p
	case part.TestDayOf:
		d := newTestDay(e, w.Tank, w.Known)
		d.first = w.First
		if !w.At.IsZero() {
			d.when.SetValue(strings.TrimSuffix(w.At.In(w.Tank.Zone()).Format(time.DateTime), ":00"))
		}
		return d
	case part.AlertsOf:
		return newAlertList(e, home)
	case part.JournalOf:
		return newJournal(e, w.Tank)
	case part.TableOf:
		return newTable(e, w.Tank)
	case part.UpkeepOf:
		return newUpkeep(e, w.Tank, w.Subject)
	case part.ChangesOf:
		if w.Around.IsZero() {
			w.Around = e.Moment().AddDate(0, 0, -28)
		}
		return newChanges(e, w.Tank, w.Around)
	case part.YearOf:
		return newYear(e, w.Tank, w.As)
	case part.WhatIfOf:
		return newWhatIf(e, w.Line)
	case part.PlanOf:
		return form.NewPlan(e, w.Line)
	case part.BandsOf:
		return form.NewBandPicker(e, w.Tank, w.Measured)
	default:
		return form.Build(e, w)
	}
}

// ofTank is what every screen of one tank has.
type ofTank struct {
	part.Page
	env  *part.Env
	tank logbook.Tank
}

func (s *ofTank) now() time.Time { return s.env.Moment().In(s.tank.Zone()) }
