package form

import (
	"time"

	"leadline/tui/part"
)

const whenLabel = "when"

// whenField is the time of an entry: empty is now.
func whenField() *formField {
	return &formField{label: whenLabel, hint: "now", check: func(f *Form, text string) (string, error) {
		return part.WhenText(text, f.env.Moment().In(f.zone()))
	}}
}

// when reads the time field.
func (f *Form) when(text string) (time.Time, error) {
	at, _, err := part.ParseWhen(text, f.env.Moment().In(f.zone()))
	return at, err
}

// ahead is the doubt about a time field that lies in the future.
func (f *Form) ahead() (doubts []string) {
	for _, x := range f.Fields {
		if x.label == whenLabel {
			if _, doubt, _ := part.ParseWhen(x.Input.Value(), f.env.Moment().In(f.zone())); doubt != "" {
				doubts = append(doubts, doubt)
			}
		}
	}
	return doubts
}
