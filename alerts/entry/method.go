package entry

import (
	"fmt"
	"strings"

	"leadline/logbook"
)

// Method is a method as it is described: what it measures, the unit it shows (text as typed; "" is the parameter's own), and
// the steps or the marks of its numbers. An error is a Refusal, or what logbook.Validate says.
func Method(m logbook.Method, p logbook.Parameter, unit string) (logbook.Method, error) {
	u, err := p.TypedUnit(unit)
	if err != nil {
		return m, err
	}
	if m.Step == 0 && len(m.Marks) == 0 {
		return m, logbook.Refusal{Reason: "in what steps, or by which marks, does it read?"}
	}
	m.Parameter, m.Unit = p.Name, u.Name()
	return m, logbook.Validate(m)
}

// Scale reads one number, the step, or several, the marks of a scale: "0.1", "0 1 2 5". A single comma inside of a word is a
// decimal one.
func Scale(text string) (step float64, marks []float64, err error) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ';' }) {
		numbers := []string{strings.Trim(word, ",")}
		if strings.Count(numbers[0], ",") > 1 {
			numbers = strings.Split(numbers[0], ",")
		}
		for _, w := range numbers {
			v, err := size(w)
			if err != nil {
				return 0, nil, err
			}
			marks = append(marks, v)
		}
	}
	switch {
	case len(marks) == 0:
		return 0, nil, nil
	case len(marks) == 1 && marks[0] == 0:
		return 0, nil, logbook.Refusal{Reason: "a step above 0"}
	case len(marks) == 1:
		return marks[0], nil, nil
	}
	return 0, marks, logbook.Rising(marks)
}

// Scatter reads a standard deviation into a method: plain, in percent of the reading, or in marks; several may be added.
func Scatter(text string) (m logbook.Method, err error) {
	for _, part := range strings.Split(text, "+") {
		value, unit := logbook.Split(part)
		if value == "" && unit == "" {
			continue
		}
		v, err := size(value)
		if err != nil {
			return m, err
		}
		switch unit {
		case "":
			m.SD = v
		case "%":
			m.SDRel = v / 100
		case "mark", "marks", "step", "steps":
			m.SDSteps = v
		default:
			return m, logbook.Refusal{Reason: fmt.Sprintf("%q: a number in the method's unit, with %% or with marks", unit)}
		}
	}
	return m, nil
}

// size reads a number that is not below 0.
func size(text string) (float64, error) {
	v, err := Number(text)
	if err != nil || !(v >= 0) || v > 1e9 {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%q is not a number", strings.TrimSpace(text))}
	}
	return v, nil
}
