package settings

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"regexp"
	"strings"

	"github.com/BurntSushi/toml"

	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// Edit gives the text of the file with a key set to what a person typed, or without the key where that is "", and the
// settings that it says. All else of the file, which has to be right, stays as it is, comments too.
func (s *Settings) Edit(key, typed string, known []logbook.Parameter) (string, *Settings, error) {
	old, err := os.ReadFile(s.Path)
	if err != nil && s.Found {
		return "", nil, usage.ReadError(s.Path, err)
	}
	tries := []any{typed}
	switch {
	case key == "order":
		tries[0] = regexp.MustCompile(` *, *`).Split(typed, -1)
	case typed == "true" || typed == "false":
		tries = append(tries, typed == "true")
	}
	for _, try := range tries {
		value, _ := json.Marshal(try) // TOML writes texts, lists of them, true and false the same
		if typed == "" {
			value = nil
		}
		now := &Settings{Path: s.Path, Found: true, Lines: map[string]int{}, Units: map[string]string{}}
		text := edited(string(old), key, s.Lines[key], string(value))
		if err = now.parse(text); err == nil {
			err = now.Check(known)
		}
		if err == nil && (now.Lines[key] > 0) == (typed != "") {
			return text, now, nil
		}
	}
	var wrong logbook.Refusals
	if errors.As(err, &wrong) { // by what was typed, which stands in no line yet
		wrong[0].File, wrong[0].Line = "", 0
		return "", nil, usage.Mistyped(wrong[0])
	}
	return "", nil, usage.WithHint(fmt.Errorf("%s: %s is written in a way that only you can change", s.Path, key),
		`"$EDITOR" "$(leadline config path)"`)
}

// edited is a text with a value for the key, which stands in a line, 1 being the first, or in none yet. A value ""
// takes the key out.
func edited(text, key string, line int, value string) string {
	if text != "" && !strings.HasSuffix(text, "\n") {
		text += "\n"
	}
	if line == 0 {
		return inserted(text, key, value)
	}
	lines := strings.SplitAfter(text, "\n")
	before, rest, n := strings.Join(lines[:line-1], ""), lines[line-1:], 1
	for n < len(rest) && !reads(before+strings.Join(rest[n:], "")) { // the value goes on
		n++
	}
	name, _, _ := strings.Cut(rest[0], "=")
	if !strings.Contains(name, strings.TrimPrefix(key, "units.")) { // several keys in one line
		return ""
	}
	if value != "" {
		value = name + "= " + value + comment(rest[n-1]) + "\n"
	}
	return before + value + strings.Join(rest[n:], "")
}

// comment is the comment behind the value of a line, with the blanks before it.
func comment(line string) string {
	for i, r := range line {
		if head := strings.TrimRight(line[:i], " \t"); r == '#' && reads(head) {
			return strings.TrimRight(line[len(head):], "\r\n")
		}
	}
	return ""
}

// inserted is a text with a key more: behind the head of its table, or before the first table.
func inserted(text, key, value string) string {
	if value == "" {
		return text
	}
	name, isUnit := strings.CutPrefix(key, "units.")
	if !regexp.MustCompile(`^[-A-Za-z0-9_]+$`).MatchString(name) {
		name = fmt.Sprintf("%q", name)
	}
	row, at := name+" = "+value+"\n", 0
	for line := range strings.Lines(text) {
		if head := strings.TrimSpace(line); strings.HasPrefix(head, "[") && reads(text[:at]) {
			if !isUnit {
				return strings.TrimPrefix(strings.TrimRight(text[:at], "\n")+"\n"+row+"\n", "\n") + text[at:]
			}
			if strings.HasPrefix(head, "[units]") {
				at += len(line)
				return text[:at] + row + text[at:]
			}
		}
		at += len(line)
	}
	if isUnit {
		row = "[units]\n" + row
	}
	if isUnit && text != "" {
		row = "\n" + row
	}
	return text + row
}

func reads(text string) bool {
	var all map[string]any
	_, err := toml.Decode(strings.TrimPrefix(text, "\ufeff"), &all)
	return err == nil
}
