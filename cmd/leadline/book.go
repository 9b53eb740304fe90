package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"github.com/adrg/xdg"

	"leadline/logbook"
)

// bookName is the book's place in the data folder.
const bookName = "leadline/leadline.book"

// bookPath is where the book lies: as told by flag, environment or settings, else in the data folder of the person.
func (a *app) bookPath() (string, error) {
	switch {
	case a.bookFlag != "":
		return a.bookFlag, nil
	case a.env("LEADLINE_BOOK") != "":
		return a.env("LEADLINE_BOOK"), nil
	}
	if s, err := a.settings(); err != nil || s.book != "" {
		return s.book, err
	}
	// Without a home the library falls back to the root of the file system.
	if _, err := os.UserHomeDir(); err != nil && !filepath.IsAbs(a.env("XDG_DATA_HOME")) {
		return "", usagef("pass --book FILE, or set LEADLINE_BOOK", "no home folder is known, so there is no place for the logbook")
	}
	return filepath.Join(xdg.DataHome, filepath.FromSlash(bookName)), nil
}

// book opens the book that must be there.
func (a *app) book() (*logbook.Book, error) {
	path, err := a.bookPath()
	if err != nil {
		return nil, err
	}
	b, err := logbook.Open(path)
	if errors.Is(err, logbook.ErrNotFound) {
		return nil, withHint(fmt.Errorf("there is no logbook at %s", path),
			"leadline tank add NAME starts one; leadline demo shows an invented one")
	}
	return b, err
}

// bookOrNew opens the book, and starts it where there is none.
func (a *app) bookOrNew() (*logbook.Book, error) {
	path, err := a.bookPath()
	if err != nil {
		return nil, err
	}
	return logbook.OpenOrCreate(path)
}

// view looks into the book.
func (a *app) view(look func(v *logbook.View) error) error {
	b, err := a.book()
	if err != nil {
		return err
	}
	return b.View(look)
}
