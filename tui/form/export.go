package form

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
	"leadline/tui/part"
)

// NewExport asks for the name of the file. One that is there already is replaced only after a question.
func NewExport(e *part.Env, x part.Export, of part.Exported) *Form {
	folder, _ := os.Getwd()
	f := newForm(e, of.Tank, "export",
		&formField{label: "file", initial: fileName(x, of), check: func(_ *Form, text string) (string, error) {
			path, err := exportPath(folder, text, x.Suffix)
			if err != nil {
				return "", err
			}
			return "goes to " + path, nil
		}})
	f.intro = "The " + x.Name + "."
	if x.OfSeries {
		f.intro = "The " + x.Name + ", of " + part.Clean(of.Parameter) + "."
	}
	f.read = func(f *Form) (typed, error) {
		bare, _ := exportPath(folder, f.Value("file"), "")
		path, err := exportPath(folder, f.Value("file"), x.Suffix)
		replace := f.Question() != ""
		return typed{
			save: func(*logbook.Book) (tea.Msg, error) {
				err := x.Write(of, path, replace)
				return f.done(part.Clean(filepath.Base(path)) + " is in " + part.Clean(filepath.Dir(path))), err
			},
			asks: func(*logbook.View) ([]string, error) { return doubtFile(bare, path) },
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
		if at, is := errors.AsType[*fs.PathError](err); is { // the reason first: a long path would push it out of sight
			err = fmt.Errorf("%w: %s", at.Err, at.Path)
		}
		return nil, err
	}
	return []string{fmt.Sprintf("there is a file %s already, of %s: it would be replaced", filepath.Base(path),
		info.ModTime().Format("2 Jan 2006 15:04"))}, nil
}

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
func fileName(x part.Export, of part.Exported) string {
	stem := x.Stem
	if stem == "" {
		stem = of.Parameter
	}
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return r
		}
		return '-'
	}, part.Clean(of.Tank.Name)+"-"+stem)
	return name + of.AsOf.Format("-2006-01-02") + x.Suffix
}
