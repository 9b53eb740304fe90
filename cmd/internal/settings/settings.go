// Package settings reads the file of the keeper's own defaults.
package settings

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// Name is the file of the keeper's own defaults, in the configuration folder.
const Name = "leadline/config.toml"

// Never is the value of backups with which no copies are made.
const Never = "never"

// Settings are the keeper's own defaults. Whatever the file leaves out is zero.
type Settings struct {
	Path  string
	Found bool
	Lines map[string]int // of each key, "units.phosphate" being one; 1 is the first

	Book, Tank    string
	Backups       string            // the folder of the book's copies, or Never
	Who           string            // who notes down; nothing else is taken for it
	Order         []string          // of parameters, names or codes
	Units         map[string]string // in which numbers are shown and typed, by the parameter's name or code
	Colour, Theme string
	Plain, Mouse  bool
}

// Where says in which line of the file a key stands.
func (s *Settings) Where(key string) string { return fmt.Sprintf("%s:%d", s.Path, s.Lines[key]) }

// Read reads the file at a path. One that is not there is as good as an empty one, unless the keeper named it.
func Read(path string, named bool) (*Settings, error) {
	s := &Settings{Path: path, Lines: map[string]int{}, Units: map[string]string{}}
	if path == "" {
		return s, nil
	}
	text, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist) && !named:
		return s, nil
	case err != nil:
		return s, usage.WithHint(usage.ReadError(path, err), "LEADLINE_CONFIG names the file of settings")
	}
	s.Found = true
	return s, s.parse(string(text))
}

// parse takes what a text holds.
func (s *Settings) parse(text string) error {
	var keys map[string]toml.Primitive
	file, err := toml.Decode(strings.TrimPrefix(text, "\ufeff"), &keys)
	if err != nil {
		r := logbook.Refusal{File: s.Path, Reason: err.Error(),
			Hint: `a line is key = "value", or a [table]; leadline config --help shows a whole file`}
		if at, is := errors.AsType[toml.ParseError](err); is {
			r.Line, r.Reason = at.Position.Line, at.Message
		}
		return logbook.Refusals{r}
	}
	return s.take(s.values(&file, "", keys))
}

// values are the values of a table. The line of each key is kept.
func (s *Settings) values(file *toml.MetaData, table string, keys map[string]toml.Primitive) map[string]any {
	values := map[string]any{}
	for key, value := range keys {
		var found placed
		if at, is := errors.AsType[toml.ParseError](file.PrimitiveDecode(value, &found)); is {
			s.Lines[table+key] = at.Position.Line
		}
		values[key] = found.value
		var below map[string]toml.Primitive
		if _, is := found.value.(map[string]any); is && file.PrimitiveDecode(value, &below) == nil {
			values[key] = s.values(file, key+".", below)
		}
	}
	return values
}

// placed takes any value and refuses it: the library says the place of a value alone that is refused.
type placed struct{ value any }

func (p *placed) UnmarshalTOML(v any) error {
	p.value = v
	return errors.New("taken")
}

// settingKeys are the keys of the file, each with what its value has to be.
func settingKeys() map[string]func(*Settings, any) error {
	return map[string]func(*Settings, any) error{
		"book": func(s *Settings, v any) (err error) {
			if s.Book, err = text(v); err == nil {
				s.Book, err = wholePath(s.Book)
			}
			return err
		},
		"backups": func(s *Settings, v any) (err error) {
			if s.Backups, err = text(v); err == nil && s.Backups != Never {
				s.Backups, err = wholePath(s.Backups)
			}
			return err
		},
		"tank":   func(s *Settings, v any) (err error) { s.Tank, err = text(v); return err },
		"who":    func(s *Settings, v any) (err error) { s.Who, err = text(v); return err },
		"order":  func(s *Settings, v any) (err error) { s.Order, err = texts(v); return err },
		"colour": func(s *Settings, v any) (err error) { s.Colour, err = oneOf(v, "auto", "never"); return err },
		"plain":  func(s *Settings, v any) (err error) { s.Plain, err = trueOrFalse(v); return err },
		"mouse":  func(s *Settings, v any) (err error) { s.Mouse, err = trueOrFalse(v); return err },
		"theme":  func(s *Settings, v any) (err error) { s.Theme, err = oneOf(v, "dark", "light"); return err },
	}
}

// Keys are the keys of the file, its tables among them.
func Keys() []string {
	keys := append(slices.Collect(maps.Keys(settingKeys())), "units")
	slices.Sort(keys)
	return keys
}

// take takes every value of the file that is right, and answers with what is wrong, in the order of the lines.
func (s *Settings) take(tree map[string]any) error {
	var wrong logbook.Refusals
	refuse := func(key string, err error) {
		r := s.refusal(key, err)
		r.Value = key
		wrong = append(wrong, r)
	}
	known, names := settingKeys(), Keys()
	for key, v := range tree {
		switch take, ok := known[key]; {
		case key == "units":
			units, ok := v.(map[string]any)
			if !ok {
				refuse(key, usage.WithHint(errors.New("units: not a table"), `[units], and below it phosphate = "ppb P"`))
			}
			for parameter, unit := range units {
				if err := s.takeUnit(parameter, unit); err != nil {
					refuse("units."+parameter, fmt.Errorf("units: %w", err))
				}
			}
		case !ok:
			refuse(key, usage.WithHint(fmt.Errorf("unknown key %q", key),
				logbook.DidYouMean(key, names, "known are "+strings.Join(names, ", "))))
		default:
			if err := take(s, v); err != nil {
				refuse(key, fmt.Errorf("%s: %w", key, err))
			}
		}
	}
	return byLine(wrong)
}

// refusal refuses what stands at a key.
func (s *Settings) refusal(key string, why error) logbook.Refusal {
	reason, hint := usage.InWords(why)
	return logbook.Refusal{File: s.Path, Line: s.Lines[key], Reason: reason, Hint: hint}
}

func byLine(wrong logbook.Refusals) error {
	if len(wrong) == 0 {
		return nil
	}
	slices.SortFunc(wrong, func(a, b logbook.Refusal) int { return a.Line - b.Line })
	return wrong
}

// takeUnit takes the unit of a parameter. Whether a parameter of the keeper's own is known shows only in the book.
func (s *Settings) takeUnit(parameter string, v any) error {
	unit, err := text(v)
	if err != nil {
		return fmt.Errorf("%s: %w", parameter, err)
	}
	if p, ok := logbook.FindParameter(logbook.Standard(), parameter); ok {
		if _, err := p.FindUnit(unit); err != nil {
			return fmt.Errorf("%s: %w", parameter, err)
		}
	}
	s.Units[parameter] = unit
	return nil
}

// KeyOfUnit is the key by which the file gives the unit of a parameter; "" where it gives none.
func (s *Settings) KeyOfUnit(p logbook.Parameter) string {
	for name := range s.Units {
		if _, ok := logbook.FindParameter([]logbook.Parameter{p}, name); ok {
			return "units." + name
		}
	}
	return ""
}

// WhereUnit says where it does.
func (s *Settings) WhereUnit(p logbook.Parameter) string {
	if key := s.KeyOfUnit(p); key != "" {
		return s.Where(key)
	}
	return ""
}

// Check holds the names of the file to the parameters of a book: a mistyped one must not silently count for nothing.
func (s *Settings) Check(parameters []logbook.Parameter) error {
	var wrong logbook.Refusals
	look := func(key, name, unit string) {
		p, ok := logbook.FindParameter(parameters, name)
		var err error
		if ok {
			_, err = p.FindUnit(unit)
		} else {
			err = usage.UnknownParameter(parameters, name)
		}
		if err != nil {
			wrong = append(wrong, s.refusal(key, fmt.Errorf("%s: %w", key, err)))
		}
	}
	for _, name := range s.Order {
		look("order", name, "")
	}
	for name, unit := range s.Units {
		look("units."+name, name, unit)
	}
	return byLine(wrong)
}

func text(v any) (string, error) {
	s, ok := v.(string)
	if !ok {
		return "", usage.WithHint(fmt.Errorf("%v is not a text", v), "put it between quotation marks")
	}
	if strings.TrimSpace(s) == "" {
		return "", usage.WithHint(errors.New("it is empty"), "leave the line out instead")
	}
	return s, nil
}

func texts(v any) ([]string, error) {
	list, ok := v.([]any)
	if !ok {
		return nil, usage.WithHint(fmt.Errorf("%v is not a list", v), `write ["alkalinity", "calcium"]`)
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
	return "", usage.WithHint(fmt.Errorf("%q is not known", s),
		logbook.DidYouMean(s, words, "one of "+strings.Join(words, ", ")))
}

func trueOrFalse(v any) (bool, error) {
	b, ok := v.(bool)
	if !ok {
		return false, usage.WithHint(fmt.Errorf("%v is neither true nor false", v),
			"write true or false, without quotation marks")
	}
	return b, nil
}

// wholePath reads a path that means the same from every folder.
func wholePath(path string) (string, error) {
	if rest, ok := strings.CutPrefix(path, "~/"); ok {
		home, err := os.UserHomeDir()
		if err != nil {
			return "", usage.WithHint(errors.New("no home folder is known"), "write the path without ~")
		}
		return filepath.Join(home, rest), nil
	}
	if !filepath.IsAbs(path) {
		return "", usage.WithHint(fmt.Errorf("%q means another file from every folder", path),
			"write the whole path; ~/ is your home folder")
	}
	return path, nil
}
