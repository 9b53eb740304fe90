package form

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// bandPicker offers a usual band for each parameter, to take or leave.
type bandPicker struct {
	part.Page
	part.List
	env        *part.Env
	tank       logbook.Tank
	parameters []logbook.Parameter
	offers     []bandOffer
	taken      map[string]bool
	started    bool // the tank has readings already
}

// NewBandPicker begins with the usual choice, or with what the tank measures already.
func NewBandPicker(e *part.Env, t logbook.Tank, measured []string) *bandPicker {
	s := &bandPicker{env: e, tank: t, offers: bandOffers(), taken: map[string]bool{}, started: len(measured) > 0}
	for _, o := range s.offers {
		s.taken[o.parameter] = o.usual
		if s.started {
			s.taken[o.parameter] = slices.Contains(measured, o.parameter)
		}
	}
	return s
}

func (s *bandPicker) Init() tea.Cmd {
	return part.Ask(&s.Page, s.env, (*logbook.View).Parameters, s.Take)
}

// Take takes in the parameters of the book.
func (s *bandPicker) Take(ps []logbook.Parameter) tea.Cmd {
	s.parameters = ps
	return nil
}

func (s *bandPicker) Update(msg tea.Msg) tea.Cmd {
	if s.parameters != nil {
		return nil
	}
	return part.Reload(msg, s.Init) // the book could not be read before
}

func (s *bandPicker) accept() tea.Cmd {
	bands := map[string]logbook.Band{}
	for _, o := range s.offers {
		if s.taken[o.parameter] {
			bands[o.parameter] = o.band()
		}
	}
	name, e, started := s.tank.Name, s.env, s.started
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		t, err := part.ChangeTank(b, name, func(t *logbook.Tank) {
			for p, band := range bands {
				t.Bands[p] = band
			}
		})
		if err != nil {
			return nil, err
		}
		if started {
			return part.DoneMsg{S: s, Notice: words.Plural(len(bands), "band", "bands") + " of " + part.Clean(name) + " set", Changed: true}, nil
		}
		return part.ReplaceMsg{Old: s, Want: part.TestDayOf{Tank: t}}, nil
	})
}

func (s *bandPicker) About() part.About {
	return part.About{Title: part.Clean(s.tank.Name) + " · bands", Zone: s.tank.Zone()}
}

func (s *bandPicker) Commands() []part.Command {
	taken := func() {
		o := s.offers[s.At]
		s.taken[o.parameter] = !s.taken[o.parameter]
	}
	return slices.Concat(
		s.Moves("bands", len(s.offers), 3, 4),
		part.Under("bands",
			part.On("space x", "take or leave", part.Just(taken)).Foot(2),
			part.On("enter ctrl+s", "go on with these", s.accept).Foot(1)))
}

func (s *bandPicker) View() string {
	t := s.env.Theme
	out := part.Hang("Which do you watch? The bands are common practice without a source; b on the first screen changes them. "+
		"Below its floor a nutrient is bottomed out.", t.Plain, 1, s.W-1, 3)
	if s.H < 14 {
		out = out[:1]
	}
	rows := max(1, s.H-len(out)-1)
	out = append(out, t.Head.Render(part.Cut(fmt.Sprintf("      %-12s %-14s %-8s %s", "parameter", "band", "floor", "tested"), s.W)))
	return strings.Join(append(out, s.Draw(len(out), len(s.offers), rows, s.offer)...), "\n")
}

func (s *bandPicker) offer(i int) string {
	t, o := s.env.Theme, s.offers[i]
	lead, _ := t.Marked(i == s.At, "")
	box := "[ ]"
	if s.taken[o.parameter] {
		box = "[x]"
	}
	p := logbook.Parameter{Name: o.parameter}
	if at := slices.IndexFunc(s.parameters, func(x logbook.Parameter) bool { return x.Name == o.parameter }); at >= 0 {
		p = s.parameters[at]
	}
	floor, every := "", ""
	if o.floor > 0 {
		floor = words.Number(p, o.floor)
	}
	if p.EveryDays > 0 {
		every = words.Every(p.EveryDays)
	}
	row := fmt.Sprintf("%s %s %-8s %s", part.Pad(o.parameter, 12), part.Pad(words.Between(p, o.low, o.high)+" "+p.Unit, 18), floor, every)
	if s.W < 60 {
		row = part.Pad(o.parameter, 12) + " " + words.Between(p, o.low, o.high) + " " + p.Unit
	}
	if !s.taken[o.parameter] {
		row = t.Dim.Render(row)
	}
	return part.Cut(lead+box+" "+row, s.W)
}
