package tui

import (
	"errors"
	"fmt"

	"leadline/logbook"
)

// doubtRises asks about doses and dosings that are larger than is careful and refuses those that no water can take.
func doubtRises(entries []logbook.Entry) doubter {
	return func(v *logbook.View) ([]string, error) {
		var out []string
		for _, e := range entries {
			why, yes, err := v.DoubtRise(e)
			var refused logbook.Refusal
			if errors.As(err, &refused) {
				return nil, fmt.Errorf("%s: %s", refused.Field, refusalText(err))
			}
			if err != nil {
				return nil, err
			}
			if !yes {
				continue
			}
			switch e := e.(type) {
			case logbook.Dose:
				out = append(out, e.Parameter+": "+why)
			case logbook.Dosing:
				out = append(out, e.Parameter+": right only if the tank consumes as much: "+why)
			}
		}
		return out, nil
	}
}
