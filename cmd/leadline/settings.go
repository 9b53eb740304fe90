package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"
	"github.com/adrg/xdg"

	"leadline/logbook"
)

// settingsName is the file of the keeper's own defaults, in the configuration folder.
const settingsName = "leadline/config.toml"

// settings are the keeper's own defaults. Whatever the file leaves out is zero.
type settings struct {
	path  string
	found bool
	lines map[string]int // of each key, "units.phosphate" being one; 1 is the first

	book, tank    string
	order         []string          // of parameters, names or codes
	units         map[string]string // of bare numbers, by the parameter's name or code
	colour, theme string
	plain, mouse  bool
}

// where says in which line of the file a key stands.
func (s *settings) where(key string) string { return fmt.Sprintf("%s:%d", s.path, s.lines[key]) }

// settingsPath is where the file lies, and whether the keeper named it.
func (a *app) settingsPath() (path string, named bool) {
	if set := a.env("LEADLINE_CONFIG"); set != "" {
		return set, true
	}
	if set := a.env("XDG_CONFIG_HOME"); filepath.IsAbs(set) {
		return filepath.Join(set, filepath.FromSlash(settingsName)), false
	}
	if _, err := os.UserHomeDir(); err != nil {
		return "", false
	}
	return filepath.Join(xdg.ConfigHome, filepath.FromSlash(settingsName)), false
}

// settings reads the file once, when something asks for it: most commands do not. What is wrong in it is an error, beside
// which the settings hold what is right; a command that must not depend on the file sets a.lenient.
func (a *app) settings() (*settings, error) {
	if a.set == nil {
		path, named := a.settingsPath()
		a.set, a.setErr = readSettings(path, named)
	}
	if a.lenient {
		return a.set, nil
	}
	return a.set, a.setErr
}

// withoutSettings lets a command go on where the file of settings is broken. It says what it does not believe.
func (a *app) withoutSettings() {
	_, err := a.settings()
	a.lenient = true
	var rs logbook.Refusals
	switch {
	case errors.As(err, &rs):
		for _, r := range rs {
			a.say("warning: %s; the setting is not used", oneLine(r.Error()))
		}
	case err != nil:
		what, _ := inWords(err)
		a.say("warning: %s; no settings are used", oneLine(what))
	}
}

// readSettings reads the file at a path. One that is not there is as good as an empty one, unless the keeper named it.
func readSettings(path string, named bool) (*settings, error) {
	s := &settings{path: path, lines: map[string]int{}, units: map[string]string{}}
	if path == "" {
		return s, nil
	}
	text, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && !named:
		return s, nil
	case err != nil:
		return s, withHint(readError(path, err), "LEADLINE_CONFIG names the file of settings")
	}
	s.found = true
	var tree map[string]any
	if _, err := toml.Decode(strings.TrimPrefix(string(text), "\ufeff"), &tree); err != nil {
		return s, logbook.Refusals{notTOML(path, err)}
	}
	s.lines = keyLines(string(text))
	return s, s.take(tree)
}

// notTOML is a fault of the writing of the file.
func notTOML(path string, err error) logbook.Refusal {
	r := logbook.Refusal{File: path, Reason: err.Error(), Hint: `a line is key = "value", or a [table]; leadline config --help shows a whole file`}
	var at toml.ParseError
	if errors.As(err, &at) {
		r.Line, r.Reason = at.Position.Line, at.Message
	}
	return r
}

// keyLines finds the line of each key, "units.phosphate" for one in a table.
func keyLines(text string) map[string]int {
	lines, table, n := map[string]int{}, "", 0
	bare := strings.NewReplacer(`"`, "", `'`, "", " ", "", "\t", "")
	for line := range strings.Lines(text) {
		n++
		line, _, _ = strings.Cut(strings.TrimSpace(line), "#")
		if head, ok := strings.CutPrefix(line, "["); ok && table != "" || ok && !strings.Contains(line, "=") {
			table = bare.Replace(strings.TrimRight(strings.TrimSpace(head), "]")) + "."
			lines[strings.TrimSuffix(table, ".")] = n
			continue
		}
		if key, _, ok := strings.Cut(line, "="); ok {
			if key = table + bare.Replace(key); lines[key] == 0 {
				lines[key] = n
			}
		}
	}
	return lines
}

// settingKeys are the keys of the file, each with what its value has to be.
func settingKeys() map[string]func(*settings, any) error {
	return map[string]func(*settings, any) error{
		"book": func(s *settings, v any) (err error) {
			if s.book, err = text(v); err == nil {
				s.book, err = wholePath(s.book)
			}
			return err
		},
		"tank":   func(s *settings, v any) (err error) { s.tank, err = text(v); return err },
		"order":  func(s *settings, v any) (err error) { s.order, err = texts(v); return err },
		"colour": func(s *settings, v any) (err error) { s.colour, err = oneOf(v, "auto", "never"); return err },
		"plain":  func(s *settings, v any) (err error) { s.plain, err = trueOrFalse(v); return err },
		"mouse":  func(s *settings, v any) (err error) { s.mouse, err = trueOrFalse(v); return err },
		"theme":  func(s *settings, v any) (err error) { s.theme, err = oneOf(v, "dark", "light"); return err },
	}
}

// take takes every value of the file that is right, and answers with what is wrong, in the order of the lines.
func (s *settings) take(tree map[string]any) error {
	var wrong logbook.Refusals
	refuse := func(key string, err error) {
		reason, hint := inWords(err)
		wrong = append(wrong, logbook.Refusal{File: s.path, Line: s.lines[key], Value: key, Reason: reason, Hint: hint})
	}
	known := settingKeys()
	names := []string{"units"}
	for name := range known {
		names = append(names, name)
	}
	slices.Sort(names)
	for key, v := range tree {
		switch take, ok := known[key]; {
		case key == "units":
			units, ok := v.(map[string]any)
			if !ok {
				refuse(key, withHint(errors.New("units: not a table"), `[units], and below it phosphate = "ppb P"`))
			}
			for parameter, unit := range units {
				if err := s.takeUnit(parameter, unit); err != nil {
					refuse(s.unitKey(parameter), fmt.Errorf("units: %w", err))
				}
			}
		case !ok:
			refuse(key, withHint(fmt.Errorf("unknown key %q", key), didYouMean(key, names, "known are "+strings.Join(names, ", "))))
		default:
			if err := take(s, v); err != nil {
				refuse(key, fmt.Errorf("%s: %w", key, err))
			}
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	slices.SortFunc(wrong, func(a, b logbook.Refusal) int { return a.Line - b.Line })
	return wrong
}

// unitKey is the key of a parameter's unit, or that of the table where the table is written on one line.
func (s *settings) unitKey(parameter string) string {
	if key := "units." + parameter; s.lines[key] > 0 {
		return key
	}
	return "units"
}

// takeUnit takes the unit of bare numbers. Whether a parameter of the keeper's own is known shows only in the book.
func (s *settings) takeUnit(parameter string, v any) error {
	unit, err := text(v)
	if err != nil {
		return fmt.Errorf("%s: %w", parameter, err)
	}
	if p, ok := logbook.FindParameter(logbook.Standard(), parameter); ok {
		if _, err := findUnit(p, unit); err != nil {
			return fmt.Errorf("%s: %w", parameter, err)
		}
	}
	s.units[parameter] = unit
	return nil
}

// unitOf is the unit that the file gives bare numbers of a parameter, with its key; "" where it gives none.
func (s *settings) unitOf(p logbook.Parameter) (unit, key string) {
	for name, unit := range s.units {
		if _, ok := logbook.FindParameter([]logbook.Parameter{p}, name); ok {
			return unit, s.unitKey(name)
		}
	}
	return "", ""
}

// check holds the names of the file to the parameters of a book: a mistyped one must not silently count for nothing.
func (s *settings) check(parameters []logbook.Parameter) error {
	var wrong logbook.Refusals
	look := func(key, name, unit string) {
		p, ok := logbook.FindParameter(parameters, name)
		var err error
		if ok {
			_, err = findUnit(p, unit)
		} else {
			err = unknownParameter(parameters, name)
		}
		if err != nil {
			reason, hint := inWords(err)
			wrong = append(wrong, logbook.Refusal{File: s.path, Line: s.lines[key], Reason: key + ": " + reason, Hint: hint})
		}
	}
	for _, name := range s.order {
		look("order", name, "")
	}
	for name, unit := range s.units {
		look(s.unitKey(name), name, unit)
	}
	if len(wrong) == 0 {
		return nil
	}
	slices.SortFunc(wrong, func(a, b logbook.Refusal) int { return a.Line - b.Line })
	return wrong
}

func text(v any) (string, error) {
	s, ok := v.(string)
	if !ok {
		return "", withHint(fmt.Errorf("%v is not a text", v), "put it between quotation marks")
	}
	if strings.TrimSpace(s) == "" {
		return "", withHint(errors.New("it is empty"), "leave the line out instead")
	}
	return s, nil
}

func texts(v any) ([]string, error) {
	list, ok := v.([]any)
	if !ok {
		return nil, withHint(fmt.Errorf("%v is not a list", v), `write ["alkalinity", "calcium"]`)
	}
	var out []string
	for _, item := range list {
		s, err := text(item)
		if err != nil {
			return nil, err
		}
		if slices.Contains(out, s) {
			return nil, fmt.Errorf("%q stands there twice", s)
		}
		out = append(out, s)
	}
	return out, nil
}

func oneOf(v any, words ...string) (string, error) {
	s, err := text(v)
	if err != nil {
		return "", err
	}
	if slices.Contains(words, s) {
		return s, nil
	}
	return "", withHint(fmt.Errorf("%q is not known", s), didYouMean(s, words, "one of "+strings.Join(words, ", ")))
}

func trueOrFalse(v any) (bool, error) {
	b, ok := v.(bool)
	if !ok {
		return false, withHint(fmt.Errorf("%v is neither true nor false", v), "write true or false, without quotation marks")
	}
	return b, nil
}

// wholePath reads a path that means the same from every folder.
func wholePath(path string) (string, error) {
	if rest, ok := strings.CutPrefix(path, "~/"); ok {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", withHint(errors.New("no home folder is known"), "write the path without ~")
		}
		return filepath.Join(home, rest), nil
	}
	if !filepath.IsAbs(path) {
		return "", withHint(fmt.Errorf("%q means another file from every folder", path), "write the whole path; ~/ is your home folder")
	}
	return path, nil
}
