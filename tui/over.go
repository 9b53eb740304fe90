package tui

import (
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/logbook"
)

// laidOver is a second series on a chart: another parameter of the tank, or the same one of another tank.
type laidOver struct {
	parameter logbook.Parameter
	readings  []logbook.Reading
}

func layOver(v *logbook.View, tank, parameter string, from, to time.Time) (laidOver, error) {
	p, err := v.Parameter(parameter)
	if err != nil {
		return laidOver{}, err
	}
	rs, err := alerts.ShownReadings(v, tank, parameter, from, to, stretches)
	return laidOver{p, thin(rs, from, to)}, err
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
		return notice("nothing else is measured in this tank")
	}
	at := 0
	if p.overTank == "" {
		at = slices.Index(names, p.over) + 1
	}
	p.over, p.overTank = "", ""
	if at < len(names) {
		p.over = names[at]
	}
	return p.load()
}

// layTankOver goes through the other tanks that measure this parameter and ends with none.
func (p *parameterScreen) layTankOver() tea.Cmd {
	if len(p.tanks) == 0 {
		return notice("no other tank has readings of " + clean(p.name))
	}
	at := 0
	if p.overTank != "" {
		at = slices.Index(p.tanks, p.overTank) + 1
	}
	p.over, p.overTank = "", ""
	if at < len(p.tanks) {
		p.over, p.overTank = p.name, p.tanks[at]
	}
	return p.load()
}

// seriesName tells the two series of a chart apart: by tank where they are of two.
func (p *parameterScreen) seriesName(tank, parameter string) string {
	if p.overTank == "" {
		return clean(parameter)
	}
	return clean(parameter) + " of " + clean(tank)
}

// overCaption says what is laid over, and where its scale is another, which: the numbers beside the rows are not its own.
func (p *parameterScreen) overCaption(c chart) string {
	t := p.env.theme
	tank := p.overTank
	if tank == "" {
		tank = p.tank.Name
	}
	of := p.laid.parameter
	name := p.seriesName(tank, p.over)
	text := t.Signs.Over + " " + name
	r, found := nearestReading(p.laid.readings, c.Cursor)
	switch {
	case !found:
		text += ": no readings in this stretch of time"
	case !c.Cursor.IsZero():
		text += ": " + r.Bound.Sign() + alerts.Quantity(of, r.Value) + " on " + r.Time.In(p.tank.Zone()).Format("2 Jan 2006")
	case c.Over.shared:
	case c.Over.hi > c.Over.lo:
		lo, hi := alerts.Number(of, c.Over.lo), alerts.Quantity(of, c.Over.hi)
		text += " to its own scale: bottom " + lo + ", top " + hi
		if width(text) > p.w {
			text = t.Signs.Over + " own scale " + lo + "–" + hi + ", " + name
		}
	default:
		text += " to its own scale: half way up " + alerts.Quantity(of, c.Over.lo)
	}
	return t.Dim.Render(cut(text, p.w))
}
