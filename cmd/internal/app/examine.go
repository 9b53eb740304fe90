package app

import (
	"leadline/alerts"
	"leadline/logbook"
)

// Reports examines the tanks the command is about, of the book it is about.
func (a *App) Reports() ([]alerts.Report, error) {
	book, err := a.Book()
	if err != nil {
		return nil, err
	}
	return a.Examine(book)
}

// Examine examines the tanks the command is about, each as-of the moment in its own zone.
func (a *App) Examine(book *logbook.Book) ([]alerts.Report, error) {
	tanks, err := SeenIn(book, a.Tanks)
	if err != nil {
		return nil, err
	}
	set, _ := a.Settings() // a fault in the file is no reason to be silent about the tanks, and what is right in it holds
	outcomes := SideBySide(tanks, func(t logbook.Tank) (report alerts.Report, err error) {
		asOf, err := a.AsOf(t)
		if err != nil {
			return report, err
		}
		report, err = SeenIn(book, func(v *logbook.View) (alerts.Report, error) { return alerts.Examine(v, t.Name, asOf) })
		report.Arrange(set.Order)
		return report, err
	})
	var reports []alerts.Report
	for _, c := range outcomes {
		o := <-c
		if o.Err != nil {
			return nil, o.Err
		}
		reports = append(reports, o.Value)
	}
	return reports, nil
}
