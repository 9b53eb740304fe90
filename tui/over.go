package tui

import (
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// overlay is a second series on a chart.
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

// othersMeasuring lists the other tanks that have readings of a parameter.
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

// layOver goes through the tank's other parameters and ends with none.
func (p *parameterScreen) layOver() tea.Cmd {
	names := slices.DeleteFunc(slices.Clone(p.others), func(n string) bool { return n == p.name })
	if len(names) == 0 {
		return part.Notice("nothing else is measured in this tank")
	}
	if p.over.tank != "" {
		p.over.name = ""
	}
	p.over.name, p.over.tank = nextOf(names, p.over.name), ""
	return p.load()
}

// layTankOver goes through the other tanks that measure this parameter and ends with none.
func (p *parameterScreen) layTankOver() tea.Cmd {
	if len(p.over.tanks) == 0 {
		return part.Notice("no other tank has readings of " + part.Clean(p.name))
	}
	p.over.name, p.over.tank = "", nextOf(p.over.tanks, p.over.tank)
	if p.over.tank != "" {
		p.over.name = p.name
	}
	return p.load()
}

// nextOf is the name after one, the first after none, and none after the last.
func nextOf(names []string, name string) string {
	return append(names[:len(names):len(names)], "")[slices.Index(names, name)+1]
}

// seriesName tells the two series of a chart apart: by tank where they are of two.
func (p *parameterScreen) seriesName(tank, parameter string) string {
	if p.over.tank == "" {
		return part.Clean(parameter)
	}
	return part.Clean(parameter) + " of " + part.Clean(tank)
}

// overCaption says what is laid over, and where its scale is another, which: the numbers beside the rows are not its
// own.
func (p *parameterScreen) overCaption(c picture.Chart) string {
	t := p.env.Theme
	tank := p.over.tank
	if tank == "" {
		tank = p.tank.Name
	}
	of := c.Over.Parameter
	name := p.seriesName(tank, p.over.name)
	text := picture.OverSign + " " + name
	r, found := nearestReading(c.Over.Readings, c.Cursor)
	bottom, top, _ := c.Over.Ends()
	switch {
	case !found:
		text += ": no readings in this stretch of time"
	case !c.Cursor.IsZero():
		text += ": " + r.Bound.Sign() + words.Quantity(of, r.Value) + " on " + words.Day(r.Time.In(p.tank.Zone()))
	case c.Over.Shared:
	case top > bottom:
		lo, hi := words.Number(of, bottom), words.Quantity(of, top)
		text += " to its own scale: bottom " + lo + ", top " + hi
		if part.Width(text) > p.W {
			text = picture.OverSign + " own scale " + lo + "–" + hi + ", " + name
		}
	default:
		text += " to its own scale: half way up " + words.Quantity(of, bottom)
	}
	return t.Dim.Render(part.Cut(text, p.W))
}
