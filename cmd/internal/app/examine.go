package app

import (
	"fmt"
	"runtime"

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

// outcome is what was reckoned for one tank.
type outcome[T any] struct {
	Value T
	Err   error
}

// SideBySide reckons something for every tank, as many at a time as there are processors, and answers in their order.
// reckon opens a view of its own, so that a writer elsewhere never waits for the whole run.
func SideBySide[T any](tanks []logbook.Tank, reckon func(logbook.Tank) (T, error)) []chan outcome[T] {
	outcomes := make([]chan outcome[T], len(tanks))
	for i := range outcomes {
		outcomes[i] = make(chan outcome[T], 1)
	}
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	go func() {
		for i, tank := range tanks {
			slots <- struct{}{}
			go func() {
				defer func() { <-slots }()
				outcomes[i] <- guardedly(tank, reckon)
			}()
		}
	}()
	return outcomes
}

// guardedly turns a panic into an error: on a goroutine of its own it would end the process.
func guardedly[T any](tank logbook.Tank, reckon func(logbook.Tank) (T, error)) (o outcome[T]) {
	defer func() {
		if r := recover(); r != nil {
			o.Err = fmt.Errorf("a fault of the program, at tank %s: %v", tank.Name, r)
		}
	}()
	o.Value, o.Err = reckon(tank)
	return o
}
