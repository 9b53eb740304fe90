package main

import (
	"context"
	"os"
	"path/filepath"
	"time"

	"github.com/adrg/xdg"

	"leadline/logbook"
	"leadline/tui"
)

// open opens the terminal interface on the book, or the plain one; without a terminal it prints the status.
func (a *app) open(ctx context.Context) error {
	if a.json || !a.hasTerminal() && !a.plainFlag {
		return a.status()
	}
	book, err := a.bookToShow()
	switch {
	case err != nil:
		return err
	case a.talks():
		return a.talk(ctx, book)
	}
	return a.openScreen(ctx, book, false)
}

func (a *app) openScreen(ctx context.Context, book *logbook.Book, demo bool) error {
	asOf, err := a.screenAsOf(book)
	if err != nil {
		return err
	}
	set, err := a.settings()
	if err != nil {
		return err
	}
	units, err := typedUnits(book, set)
	if err == nil && a.tankFlag != "" {
		err = book.View(func(v *logbook.View) error { _, err := a.tankNamed(v, a.tankFlag); return err })
	}
	if err != nil {
		return err
	}
	usual, _, err := a.usualTank()
	if err != nil {
		return err
	}
	a.onScreen.Store(true)
	defer a.onScreen.Store(false)
	err = tui.Run(ctx, tui.Options{
		Book: book, Now: a.now, AsOf: asOf, In: a.in, Out: a.rawOut, Demo: demo,
		NoColor: a.colourless(set),
		Light:   a.light(set),
		ASCII:   a.inASCII(),
		Units:   units,
		Order:   set.order,
		Tank:    a.tankFlag, UsualTank: usual,
		Mouse:   a.switched("LEADLINE_MOUSE", set.mouse),
		Exports: a.screenExports(book), PlaceFile: a.placeFile(demo),
	})
	if ctx.Err() != nil {
		return errInterrupted
	}
	return err
}

// typedUnits are the units of bare numbers by the names of the parameters, as the settings say.
func typedUnits(book *logbook.Book, set *settings) (map[string]string, error) {
	units := map[string]string{}
	err := book.View(func(v *logbook.View) error {
		all, err := v.Parameters()
		if err != nil {
			return err
		}
		for _, p := range all {
			if unit, _ := set.unitOf(p); unit != "" {
				units[p.Name] = unit
			}
		}
		return set.check(all)
	})
	return units, err
}

// screenAsOf is the moment the screens are for; nil means that they go with the clock. The screens show all tanks as of
// one moment, so a date alone means the end of that day in the zone of the first.
func (a *app) screenAsOf(book *logbook.Book) (*time.Time, error) {
	if a.asOfFlag == "" {
		return nil, nil
	}
	var when time.Time
	err := book.View(func(v *logbook.View) error {
		tanks, err := a.tanks(v)
		if err != nil {
			return err
		}
		tanks = append(tanks, logbook.Tank{})
		when, err = a.asOf(tanks[0])
		return err
	})
	return &when, err
}

// placeName is the file of what was open when the screens were left, in the folder of such things.
const placeName = "leadline/place.json"

// placeFile is where it is kept what was open; "" where it is not kept: an invented book and a past moment are visits.
func (a *app) placeFile(demo bool) string {
	if demo || a.asOfFlag != "" {
		return ""
	}
	folder := a.env("XDG_STATE_HOME")
	if !filepath.IsAbs(folder) {
		if _, err := os.UserHomeDir(); err != nil {
			return ""
		}
		folder = xdg.StateHome
	}
	return filepath.Join(folder, filepath.FromSlash(placeName))
}
