package app

import (
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// delimiters are the names of what may stand between the fields of CSV.
func delimiters() map[string]rune {
	return map[string]rune{"": 0, "comma": ',', ",": ',', "semicolon": ';', ";": ';', "tab": '\t', "\t": '\t', `\t`: '\t'}
}

// DelimiterNames are the delimiters that --delimiter takes.
func DelimiterNames() []string { return []string{"comma", "semicolon", "tab"} }

// DelimiterName is the name of a delimiter, as people say it.
func DelimiterName(r rune) string {
	for _, name := range DelimiterNames() {
		if delimiters()[name] == r {
			return name
		}
	}
	return ""
}

// ParseDelimiter reads --delimiter.
func ParseDelimiter(text string) (rune, error) {
	r, ok := delimiters()[text]
	if !ok {
		return 0, usage.Errorf("--delimiter comma, semicolon or tab", "--delimiter: %q is not one that can be read", text)
	}
	return r, nil
}

// UnitsOf reads --units: parameters by name or code, each with a unit of it.
func UnitsOf(known []logbook.Parameter, said map[string]string) (map[string]string, error) {
	units := map[string]string{}
	for name, unit := range said {
		p, err := FindAmong(known, name)
		if err != nil {
			return nil, err
		}
		if _, err := p.FindUnit(unit); err != nil {
			return nil, usage.Wrong(err, "leadline parameter list shows their units")
		}
		units[p.Name] = unit
	}
	return units, nil
}

// FindAmong finds a parameter by name or code.
func FindAmong(known []logbook.Parameter, name string) (logbook.Parameter, error) {
	p, ok := logbook.FindParameter(known, name)
	if !ok {
		return p, usage.UnknownParameter(known, name)
	}
	return p, nil
}
