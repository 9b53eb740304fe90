package tui

import (
	"slices"
	"time"

	"leadline/alerts/picture"
	"leadline/logbook"
)

type overlay struct {
	name  string // of its parameter; "": none is laid over
	tank  string // whose it is; "": the same tank's
	drawn *picture.Over
	tanks []string // the other tanks that measure the chart's parameter
}

// layOver reads a second series for a chart: another parameter of the tank, or the same one of another tank.
func layOver(v *logbook.View, tank, parameter string, from, to time.Time, shared bool) (*picture.Over, error) {
	p, err := v.Parameter(parameter)
	if err != nil {
		return nil, err
	}
	rs, err := picture.Readings(v, tank, parameter, from, to)
	return &picture.Over{Parameter: p, Readings: rs, Shared: shared}, err
}

func othersMeasuring(v *logbook.View, tank, parameter string) ([]string, error) {
	tanks, err := v.Tanks()
	if err != nil {
		return nil, err
	}
	var out []string
	for _, t := range tanks {
		if t.Name == tank {
			continue
		}
		rs, err := v.LastReadings(t.Name, parameter, time.Time{}, 1)
		if err != nil {
			return nil, err
		}
		if len(rs) > 0 {
			out = append(out, t.Name)
		}
	}
	return out, nil
}

// nextOf is the name after one, the first after none, and none after the last.
func nextOf(names []string, name string) string {
	return append(names[:len(names):len(names)], "")[slices.Index(names, name)+1]
}
