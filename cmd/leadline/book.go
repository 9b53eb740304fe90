package main

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"github.com/adrg/xdg"

	"leadline/logbook"
)

// bookName is the book's place in the data folder.
const bookName = "leadline/leadline.book"

// namedBook is where the book lies as told by flag, environment or settings; "" where nothing tells it.
func (a *app) namedBook() (string, error) {
	if path := cmp.Or(a.bookFlag, a.env("LEADLINE_BOOK")); path != "" {
		return path, nil
	}
	s, err := a.settings()
	return s.book, err
}

// bookPath is where the book lies: as told, else in the data folder of the person.
func (a *app) bookPath() (string, error) {
	if path, err := a.namedBook(); err != nil || path != "" {
		return path, err
	}
	// Without a home the library falls back to the root of the file system.
	if _, err := os.UserHomeDir(); err != nil && !filepath.IsAbs(a.env("XDG_DATA_HOME")) {
		return "", usagef("pass --book FILE, or set LEADLINE_BOOK", "no home folder is known, so there is no place for the logbook")
	}
	return filepath.Join(xdg.DataHome, filepath.FromSlash(bookName)), nil
}

// errNoBook is how book says that a new book may be started.
var errNoBook = errors.New("there is no logbook")

// book opens the book that must be there.
func (a *app) book() (*logbook.Book, error) { return a.openBook(logbook.Open) }

// bookOrNew opens the book, and starts it where there is none.
func (a *app) bookOrNew() (*logbook.Book, error) { return a.openBook(logbook.OpenOrCreate) }

func (a *app) openBook(open func(path string) (*logbook.Book, error)) (b *logbook.Book, err error) {
	path, err := a.bookPath()
	if err != nil {
		return nil, err
	}
	b, err = open(path)
	if errors.Is(err, logbook.ErrNotFound) {
		if _, hint := inWords(err); hint == "" { // nothing is left of one
			err = withHint(fmt.Errorf("%w at %s", errNoBook, path), "leadline tank add NAME starts one; leadline demo shows an invented one")
		}
	}
	a.opened = b
	return b, err
}

// bookToShow opens the book for the screens. They start a new one unasked in the folder of such data alone: another
// name may be mistyped, or its disk not connected.
func (a *app) bookToShow() (*logbook.Book, error) {
	b, err := a.book()
	if !errors.Is(err, errNoBook) {
		return b, err
	}
	named, wrong := a.namedBook()
	if wrong != nil || named != "" && !a.agrees(fmt.Sprintf("there is no logbook at %s: start one there?", named)) {
		return nil, err
	}
	return a.bookOrNew()
}

// agrees asks the person at the terminal, if one is there. No letter behind the end of the line is taken from what
// comes next.
func (a *app) agrees(question string) bool {
	if !a.hasTerminal() {
		return false
	}
	fmt.Fprint(a.errOut, logbook.Clean(question)+" (yes or no) ")
	var line []byte
	for b := make([]byte, 1); b[0] != '\n'; line = append(line, b[0]) {
		if _, err := a.in.Read(b); err != nil {
			return false
		}
	}
	answer := strings.ToLower(strings.TrimSpace(string(line)))
	return answer == "yes" || answer == "y"
}

// view looks into the book.
func (a *app) view(look func(v *logbook.View) error) error {
	b, err := a.book()
	if err != nil {
		return err
	}
	return b.View(look)
}
