package app

import (
	"cmp"
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"github.com/adrg/xdg"
	"golang.org/x/sync/errgroup"

	"leadline/alerts"
	"leadline/cmd/internal/settings"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// BookName is the book's place in the data folder.
const BookName = "leadline/leadline.book"

// namedBook is where the book lies as told by flag, environment or settings; "" where nothing tells it.
func (a *App) namedBook() (string, error) {
	if path := cmp.Or(a.BookFlag, a.Env("LEADLINE_BOOK")); path != "" {
		return path, nil
	}
	s, err := a.Settings()
	return s.Book, err
}

// BookPath is where the book lies: as told, else in the data folder of the person.
func (a *App) BookPath() (string, error) {
	if path, err := a.namedBook(); err != nil || path != "" {
		return path, err
	}
	// Without a home the library falls back to the root of the file system.
	if _, err := os.UserHomeDir(); err != nil && !filepath.IsAbs(a.Env("XDG_DATA_HOME")) {
		return "", usage.Errorf("pass --book FILE, or set LEADLINE_BOOK",
			"no home folder is known, so there is no place for the logbook")
	}
	return filepath.Join(xdg.DataHome, filepath.FromSlash(BookName)), nil
}

// errNoBook is how book says that a new book may be started.
var errNoBook = errors.New("there is no logbook")

// Book opens the book that must be there.
func (a *App) Book() (*logbook.Book, error) { return a.openBook(logbook.Open) }

// BookOrNew opens the book, and starts it where there is none.
func (a *App) BookOrNew() (*logbook.Book, error) { return a.openBook(logbook.OpenOrCreate) }

func (a *App) openBook(open func(path string) (*logbook.Book, error)) (b *logbook.Book, err error) {
	path, err := a.BookPath()
	if err != nil {
		return nil, err
	}
	if a.Opened != nil && a.Opened.Path() == path {
		return a.Opened, nil
	}
	b, err = open(path)
	if errors.Is(err, logbook.ErrNotFound) {
		if _, hint := usage.InWords(err); hint == "" { // nothing is left of one
			err = usage.WithHint(fmt.Errorf("%w at %s", errNoBook, path),
				"leadline tank add NAME starts one; leadline demo shows an invented one")
		}
	}
	a.Opened = b
	a.ShowIn(b)
	if b != nil {
		b.KeepBackups(a.BackupFolder(path))
	}
	return b, err
}

// BackupFolder is where copies of a book are made; "" where the settings want none.
func (a *App) BackupFolder(book string) string {
	set, _ := a.Settings()
	if set.Backups == settings.Never {
		return ""
	}
	if set.Backups == "" {
		return book + ".backups"
	}
	whole := crc32.ChecksumIEEE([]byte(logbook.WholePath(book))) // books of one name have folders of their own
	return filepath.Join(set.Backups, fmt.Sprintf("%s-%08x", filepath.Base(book), whole))
}

// Backups is how many of them there are, and when the newest was made; zero where there is none.
func (a *App) Backups(book string) (count int, last time.Time) {
	made := logbook.Backups(a.BackupFolder(book), book, a.Now())
	if len(made) > 0 {
		last = made[0].In(a.Now().Location())
	}
	return len(made), last
}

// BookToShow opens the book for the screens. They start a new one unasked in the folder of such data alone: another
// name may be mistyped, or its disk not connected.
func (a *App) BookToShow() (*logbook.Book, error) {
	b, err := a.Book()
	if !errors.Is(err, errNoBook) {
		return b, err
	}
	named, wrong := a.namedBook()
	if wrong != nil || named != "" && !a.Agrees(fmt.Sprintf("there is no logbook at %s: start one there?", named)) {
		return nil, err
	}
	return a.BookOrNew()
}

// Agrees asks the person at the terminal, if one is there. No letter behind the end of the line is taken from what
// comes next.
func (a *App) Agrees(question string) bool {
	if !a.HasTerminal() {
		return false
	}
	_ = a.Out.Flush() // what is asked about comes first
	fmt.Fprint(a.ErrOut, logbook.Clean(question)+" (yes or no) ")
	var line []byte
	for b := make([]byte, 1); b[0] != '\n'; line = append(line, b[0]) {
		if _, err := a.In.Read(b); err != nil {
			return false
		}
	}
	answer := strings.ToLower(strings.TrimSpace(string(line)))
	return answer == "yes" || answer == "y"
}

// MustAgree is an error unless the person at the terminal agrees; without a terminal hint says which option does.
func (a *App) MustAgree(question, hint string) error {
	if !a.HasTerminal() {
		return usage.Errorf(hint, "%s nobody is there to answer", logbook.Clean(question))
	}
	if !a.Agrees(question) {
		return errors.New("nothing was changed")
	}
	return nil
}

// View looks into the book.
func (a *App) View(look func(v *logbook.View) error) error {
	b, err := a.Book()
	if err != nil {
		return err
	}
	return b.View(look)
}

// ViewTank looks into the book at the tank that is meant.
func (a *App) ViewTank(look func(v *logbook.View, tank logbook.Tank) error) error {
	return a.View(func(v *logbook.View) error {
		tank, err := a.Tank(v)
		if err != nil {
			return err
		}
		return look(v, tank)
	})
}

// Seen is what a look into the book finds.
func Seen[T any](a *App, look func(v *logbook.View) (T, error)) (found T, err error) {
	b, err := a.Book()
	if err != nil {
		return found, err
	}
	return logbook.Seen(b, look)
}

// Show prints what a look into the book finds.
func Show[T any](a *App, look func(v *logbook.View) (T, error), print func(a *App, found T) error) error {
	found, err := Seen(a, look)
	if err != nil {
		return err
	}
	return print(a, found)
}

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
	tanks, err := logbook.Seen(book, a.Tanks)
	if err != nil {
		return nil, err
	}
	set, _ := a.Settings() // a fault in the file is no reason to be silent about the tanks, and what is right in it holds
	return SideBySide(tanks, func(t logbook.Tank) (report alerts.Report, err error) {
		asOf, err := a.AsOf(t)
		if err != nil {
			return report, err
		}
		report, err = logbook.Seen(book, func(v *logbook.View) (alerts.Report, error) {
			return alerts.Examine(v, t.Name, asOf)
		})
		report.Arrange(set.Order)
		return report, err
	})
}

// SideBySide reckons something for every tank, as many at a time as there are processors, and answers in their order.
// reckon opens a view of its own, so that a writer elsewhere never waits for the whole run.
func SideBySide[T any](tanks []logbook.Tank, reckon func(logbook.Tank) (T, error)) ([]T, error) {
	found := make([]T, len(tanks))
	var all errgroup.Group
	all.SetLimit(runtime.GOMAXPROCS(0))
	for i, tank := range tanks {
		all.Go(func() (err error) {
			defer func() { // on a goroutine of its own a panic would end the process
				if r := recover(); r != nil {
					err = fmt.Errorf("a fault of the program, at tank %s: %v", tank.Name, r)
				}
			}()
			found[i], err = reckon(tank)
			return err
		})
	}
	return found, all.Wait()
}
