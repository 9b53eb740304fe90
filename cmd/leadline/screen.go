package main

import (
	"context"
	"time"

	"leadline/logbook"
	"leadline/tui"
)

// open opens the terminal interface on the book; without a terminal it prints the status.
func (a *app) open(ctx context.Context) error {
	if !a.hasTerminal() || a.json {
		return a.status()
	}
	book, err := a.bookOrNew()
	if err != nil {
		return err
	}
	return a.openScreen(ctx, book, false)
}

func (a *app) openScreen(ctx context.Context, book *logbook.Book, demo bool) error {
	var asOf *time.Time
	if a.asOfFlag != "" {
		when, err := a.asOf(logbook.Tank{})
		if err != nil {
			return err
		}
		asOf = &when
	}
	a.onScreen.Store(true)
	defer a.onScreen.Store(false)
	return tui.Run(ctx, tui.Options{
		Book: book, Now: a.now, AsOf: asOf, In: a.in, Out: a.rawOut, Demo: demo,
		NoColor: a.env("NO_COLOR") != "",
		Light:   a.env("LEADLINE_THEME") == "light",
	})
}
