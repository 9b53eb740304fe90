package tui

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"leadline/logbook"
)

// Export is one thing that can leave the program as a file. What it holds and how it is written is the business of
// whoever starts the interface; here it is chosen, and its file named.
type Export struct {
	Name     string // for the list of commands, such as "post for a forum, Markdown"
	Stem     string // for the name of the file; "" means the parameter's
	Suffix   string // of the file's name, such as ".md"
	OfSeries bool   // it is about one parameter
	Write    func(of Exported, path string, replace bool) error
}

// Exported is what is exported: what the keeper was looking at.
type Exported struct {
	Tank      logbook.Tank
	Parameter string    // "" on a screen that is about none
	From      time.Time // the left end of the chart; zero where there is none
	AsOf      time.Time
}

// newExportForm asks for the name of the file. One that is there already is replaced only after a question.
func newExportForm(e *env, x Export, of Exported) *form {
	folder, _ := os.Getwd()
	f := newForm(e, of.Tank, "export",
		&formField{label: "file", initial: fileName(x, of), check: func(_ *form, text string) (string, error) {
			path, err := exportPath(folder, text, x.Suffix)
			if err != nil {
				return "", err
			}
			return "goes to " + path, nil
		}})
	f.intro = "The " + x.Name + "."
	if x.OfSeries {
		f.intro = "The " + x.Name + ", of " + clean(of.Parameter) + "."
	}
	f.doubt = func(f *form) (doubter, error) {
		bare, _ := exportPath(folder, f.value("file"), "")
		path, err := exportPath(folder, f.value("file"), x.Suffix)
		return func(*logbook.View) ([]string, error) { return doubtFile(bare, path) }, err
	}
	f.save = func(f *form) (saver, error) {
		path, err := exportPath(folder, f.value("file"), x.Suffix)
		replace := f.question() != ""
		return func(*logbook.Book) (string, error) {
			if err := x.Write(of, path, replace); err != nil {
				return "", err
			}
			return clean(filepath.Base(path)) + " is in " + clean(filepath.Dir(path)), nil
		}, err
	}
	return f
}

// doubtFile asks about a file that would be replaced. bare is its path as typed, without the suffix it got.
func doubtFile(bare, path string) ([]string, error) {
	if info, err := os.Stat(bare); err == nil && info.IsDir() {
		return nil, fmt.Errorf("%s is a folder: give the file a name in it", bare)
	}
	info, err := os.Stat(path)
	switch {
	case err == nil && !info.Mode().IsRegular(): // a pipe or a device is written to, a folder refused
		return nil, nil
	case errors.Is(err, os.ErrNotExist):
		return nil, nil
	case err != nil:
		var at *fs.PathError
		if errors.As(err, &at) { // the reason first: a long path would push it out of sight
			err = fmt.Errorf("%w: %s", at.Err, at.Path)
		}
		return nil, err
	}
	return []string{fmt.Sprintf("there is a file %s already, of %s: it would be replaced", filepath.Base(path), info.ModTime().Format("2 Jan 2006 15:04"))}, nil
}

// exportPath is the whole path of a file as typed, its suffix added where it has none.
func exportPath(folder, typed, suffix string) (string, error) {
	if typed == "" || strings.HasSuffix(typed, string(filepath.Separator)) {
		return "", errors.New("what is the file to be called?")
	}
	if rest, ok := strings.CutPrefix(typed, "~"+string(filepath.Separator)); ok {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", err
		}
		typed = filepath.Join(home, rest)
	}
	if filepath.Ext(typed) == "" {
		typed += suffix
	}
	if !filepath.IsAbs(typed) {
		typed = filepath.Join(folder, typed)
	}
	return filepath.Clean(typed), nil
}

// fileName is what a file may be called: tank, what it is, and the day.
func fileName(x Export, of Exported) string {
	stem := x.Stem
	if stem == "" {
		stem = of.Parameter
	}
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return '-'
	}, clean(of.Tank.Name)+"-"+stem)
	return name + of.AsOf.Format("-2006-01-02") + x.Suffix
}
