package form

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// bandOffer is a usual band of a parameter, in its canonical unit.
type bandOffer struct {
	parameter string
	low, high float64
	floor     float64 // 0: none
	usual     bool    // taken unless the keeper leaves it
}

// bandOffers are common practice, no source: the target bands of testdata/reference/practice.json. For the two
// nutrients the inner band of its notes is offered and the edge of the outer one as the floor.
func bandOffers() []bandOffer {
	return []bandOffer{
		{"alkalinity", 7, 9, 0, true},
		{"calcium", 400, 450, 0, true},
		{"magnesium", 1250, 1400, 0, true},
		{"nitrate", 2, 10, 1, true},
		{"phosphate", 0.03, 0.08, 0.02, true},
		{"salinity", 34, 36, 0, true},
		{"temperature", 24, 27, 0, true},
		{"pH", 7.8, 8.4, 0, true},
		{"potassium", 380, 420, 0, false},
		{"strontium", 7, 10, 0, false},
		{"boron", 4, 5.5, 0, false},
		{"iodine", 0.04, 0.08, 0, false},
		{"ammonia", 0, 0.05, 0, false},
		{"nitrite", 0, 0.1, 0, false},
		{"silicate", 0, 0.5, 0, false},
	}
}

func (o bandOffer) band() logbook.Band {
	b := logbook.Band{Low: &o.low, High: &o.high}
	if o.floor > 0 {
		b.Floor = &o.floor
	}
	return b
}

// NewBand edits the band of one parameter. every is how often it is tested while nothing is set, in days; 0: not
// known.
func NewBand(e *part.Env, t logbook.Tank, parameter string, every float64) *Form {
	number := readable(optional)
	old := t.Bands[parameter]
	f := newForm(e, t, "band and floor",
		parameterField(parameter),
		&formField{label: "low", initial: numberText(old.Low), hint: "none", check: number},
		&formField{label: "high", initial: numberText(old.High), hint: "none",
			check: func(f *Form, text string) (string, error) {
				low, _ := optional(f.Value("low"))
				high, err := optional(text)
				if low != nil && high != nil && *low >= *high {
					return "", errors.New("the upper edge must lie above the lower one")
				}
				return "", err
			}},
		&formField{label: "floor", initial: numberText(old.Floor), hint: "none; below it counts as bottomed out",
			check: number},
		unitField(old.Unit),
		&formField{label: "test every", initial: numberText(old.EveryDays), hint: "days; empty: as you do it",
			check: readable(daysOf)})
	if every > 0 {
		f.Field("test every").hint = "days; empty: as now, " + parameter + " " + words.Every(every)
	}
	f.StartAt("low")
	f.ready = func(f *Form) {
		p, _ := f.parameter()
		if u, err := p.FindUnit(old.Unit); err == nil && p.Shown.Name() != "" && u != p.Shown {
			for label, edge := range map[string]*float64{"low": old.Low, "high": old.High, "floor": old.Floor} {
				if edge != nil {
					f.set(label, words.Number(p, u.Canonical(*edge)))
				}
			}
			f.set("unit", "")
		}
		f.hintUnit()
	}
	f.intro = "Where you want it. All three numbers are in the unit below; leave out what you do not want watched."
	f.read = func(f *Form) (typed, error) {
		b, err := f.band()
		if err != nil {
			return typed{}, err
		}
		p, _ := f.parameter()
		warnings, _, err := logbook.CheckBand(p, b)
		return typed{doubts: warnings, save: f.changing("band of "+p.Name+" set", func(t *logbook.Tank) {
			if b == (logbook.Band{Unit: b.Unit}) {
				delete(t.Bands, p.Name)
				return
			}
			t.Bands[p.Name] = b
		})}, err
	}
	return f
}

func (f *Form) band() (logbook.Band, error) {
	p, _ := f.parameter()
	u, err := p.TypedUnit(f.Value("unit"))
	if err != nil {
		return logbook.Band{}, err
	}
	b := logbook.Band{Unit: u.Name()}
	for _, x := range []struct {
		label string
		to    **float64
	}{{"low", &b.Low}, {"high", &b.High}, {"floor", &b.Floor}} {
		if *x.to, err = optional(f.Value(x.label)); err != nil {
			return b, fmt.Errorf("%s: %w", x.label, err)
		}
	}
	days, err := daysOf(f.Value("test every"))
	if days > 0 {
		b.EveryDays = &days
	}
	return b, err
}

func numberText(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'f', -1, 64)
}

type bandPicker struct {
	part.Page
	part.List
	tank       logbook.Tank
	parameters []logbook.Parameter
	offers     []bandOffer
	taken      map[string]bool
	started    bool // the tank has readings already
}

// NewBandPicker begins with the usual choice, or with what the tank measures already.
func NewBandPicker(e *part.Env, t logbook.Tank, measured []string) *bandPicker {
	s := &bandPicker{Page: part.Page{Env: e}, tank: t, offers: bandOffers(), taken: map[string]bool{},
		started: len(measured) > 0}
	for _, o := range s.offers {
		s.taken[o.parameter] = o.usual
		if s.started {
			s.taken[o.parameter] = slices.Contains(measured, o.parameter)
		}
	}
	return s
}

func (s *bandPicker) Init() tea.Cmd {
	return part.Ask(&s.Page, (*logbook.View).Parameters, s.Take)
}

// Take takes in the parameters of the book.
func (s *bandPicker) Take(ps []logbook.Parameter) tea.Cmd {
	s.parameters = ps
	return nil
}

func (s *bandPicker) accept() tea.Cmd {
	bands := map[string]logbook.Band{}
	for _, o := range s.offers {
		if s.taken[o.parameter] {
			bands[o.parameter] = o.band()
		}
	}
	name, e, started := s.tank.Name, s.Env, s.started
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		t, err := part.ChangeTank(b, name, func(t *logbook.Tank) {
			for p, band := range bands {
				t.Bands[p] = band
			}
		})
		if err != nil {
			return nil, err
		}
		done := part.DoneMsg{S: s, Changed: true}
		if done.Then = e.TestDay(t); started {
			done.Notice, done.Then = words.Plural(len(bands), "band", "bands")+" of "+part.Clean(name)+" set", nil
		}
		return done, nil
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
			part.On("space", "take or leave", part.Just(taken)).Foot(2),
			part.On("enter ctrl+s", "go on with these", s.accept).Foot(1)))
}

func (s *bandPicker) View() string {
	out := part.Hang("Which do you watch? The bands are common practice without a source; b on the first screen changes "+
		"them. "+
		"Below its floor a nutrient is bottomed out.", s.Plain, 1, s.W-1, 3)
	if s.H < 14 {
		out = out[:1]
	}
	rows := max(1, s.H-len(out)-1)
	out = append(out, s.Head.Render(
		part.Cut(fmt.Sprintf("      %-12s %-14s %-8s %s", "parameter", "band", "floor", "tested"), s.W)))
	return strings.Join(append(out, s.Draw(len(out), len(s.offers), rows, s.offer)...), "\n")
}

func (s *bandPicker) offer(i int) string {
	t, o := s.Theme, s.offers[i]
	lead, _ := t.Marked(i == s.At, "")
	box := "[ ]"
	if s.taken[o.parameter] {
		box = "[x]"
	}
	p, _ := words.First(s.parameters, func(x logbook.Parameter) bool { return x.Name == o.parameter })
	floor, every := "", ""
	if o.floor > 0 {
		floor = words.Number(p, o.floor)
	}
	if p.EveryDays > 0 {
		every = words.Every(p.EveryDays)
	}
	row := fmt.Sprintf("%s %s %-8s %s", part.Pad(o.parameter, 12),
		part.Pad(words.Between(p, o.low, o.high)+" "+words.Unit(p), 18), floor, every)
	if s.W < 60 {
		row = part.Pad(o.parameter, 12) + " " + words.Between(p, o.low, o.high) + " " + words.Unit(p)
	}
	if !s.taken[o.parameter] {
		row = t.Dim.Render(row)
	}
	return part.Cut(lead+box+" "+row, s.W)
}
