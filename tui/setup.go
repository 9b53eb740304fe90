package tui

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
)

// newFirstTankForm is that of an empty book.
func newFirstTankForm(e *env, t logbook.Tank, name string) *form {
	f := newTankForm(e, t, name)
	f.intro = "This book is empty. Name your first tank and press ctrl+s; then come its bands and the first readings."
	return f
}

// newTankForm sets up a tank, and goes on to its bands.
func newTankForm(e *env, _ logbook.Tank, _ string) *form {
	f := newForm(e, logbook.Tank{}, "new tank",
		&formField{label: "name", hint: "forereef", check: needed("a name is enough to begin")},
		&formField{label: "litres", hint: "net water volume, if known", check: func(_ *form, text string) (string, error) {
			_, err := litres(text)
			return "", err
		}},
		&formField{label: "time zone", hint: "Pacific/Auckland; empty: UTC", initial: localZone(e), check: checkZone(e)})
	var made logbook.Tank
	f.save = func(f *form) (saver, error) {
		v, err := litres(f.value("litres"))
		if err != nil {
			return nil, err
		}
		made = logbook.Tank{Name: f.value("name"), VolumeL: v, Timezone: f.value("time zone")}
		return func(b *logbook.Book) (string, error) {
			_, err := b.Update(func(v *logbook.View) ([]logbook.Record, error) {
				switch _, err := v.Tank(made.Name); {
				case err == nil:
					return nil, fmt.Errorf("there is a tank %s already", clean(made.Name))
				case !errors.Is(err, logbook.ErrNotFound):
					return nil, err
				}
				return []logbook.Record{made}, nil
			})
			return clean(made.Name) + " is set up", err
		}, nil
	}
	f.then = func(f *form) tea.Cmd {
		return func() tea.Msg { return replaceMsg{f, bandsOf{tank: made}} }
	}
	return f
}

// newTankChangeForm changes what is known of a tank.
func newTankChangeForm(e *env, t logbook.Tank, _ string) *form {
	volume := ""
	if t.VolumeL > 0 {
		volume = strconv.FormatFloat(t.VolumeL, 'f', -1, 64)
	}
	f := newForm(e, t, "this tank",
		&formField{label: "litres", initial: volume, hint: "net water volume: without rock, sand and air", check: func(_ *form, text string) (string, error) {
			_, err := litres(text)
			return "", err
		}},
		&formField{label: "time zone", initial: t.Timezone, hint: "empty: UTC", check: checkZone(e)},
		&formField{label: "since", initial: t.Since, hint: "when it was set up"},
		&formField{label: "about", initial: t.About, hint: "what is kept in it"})
	f.save = func(f *form) (saver, error) {
		v, err := litres(f.value("litres"))
		if err != nil {
			return nil, err
		}
		zone, since, about := f.value("time zone"), f.value("since"), f.value("about")
		return func(b *logbook.Book) (string, error) {
			_, err := changeTank(b, t.Name, func(t *logbook.Tank) { t.VolumeL, t.Timezone, t.Since, t.About = v, zone, since, about })
			return clean(t.Name) + " is changed", err
		}, nil
	}
	return f
}

func checkZone(e *env) func(*form, string) (string, error) {
	return func(_ *form, text string) (string, error) {
		loc, err := time.LoadLocation(text)
		if err != nil || text == "Local" {
			return "", fmt.Errorf("%q is not a time zone, such as Europe/Berlin", text)
		}
		return "it is " + e.moment().In(loc).Format("15:04") + " there", nil
	}
}

// localZone is the zone the clock says it is in; "" where it has no name that other machines know.
func localZone(e *env) string {
	name := e.now().Location().String()
	if name == "Local" || name == "UTC" {
		return ""
	}
	return name
}

func litres(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	value, unit := entry.Split(text)
	v, err := entry.Number(value)
	if err != nil || !(v > 0) || (unit != "" && !strings.EqualFold(unit, "l")) {
		return 0, fmt.Errorf("%q is not a volume in litres", text)
	}
	return v, nil
}

// bandPicker offers a usual band for each parameter, to take or leave.
type bandPicker struct {
	page
	list
	env        *env
	tank       logbook.Tank
	parameters []logbook.Parameter
	offers     []bandOffer
	taken      map[string]bool
	started    bool // the tank has readings already
}

type bandPickerMsg struct {
	s          *bandPicker
	parameters []logbook.Parameter
}

// newBandPicker begins with the usual choice, or with what the tank measures already.
func newBandPicker(e *env, t logbook.Tank, measured []string) *bandPicker {
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
	return s.env.read(func(v *logbook.View) (tea.Msg, error) {
		ps, err := v.Parameters()
		return bandPickerMsg{s, ps}, err
	})
}

func (s *bandPicker) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg:
		if s.parameters == nil { // the book could not be read before
			return s.Init()
		}
	case bandPickerMsg:
		if msg.s == s {
			s.parameters = msg.parameters
		}
	}
	return nil
}

func (s *bandPicker) accept() tea.Cmd {
	bands := map[string]logbook.Band{}
	for _, o := range s.offers {
		if s.taken[o.parameter] {
			bands[o.parameter] = o.band()
		}
	}
	name, e, started := s.tank.Name, s.env, s.started
	return e.write(func(b *logbook.Book) (tea.Msg, error) {
		t, err := changeTank(b, name, func(t *logbook.Tank) {
			for p, band := range bands {
				t.Bands[p] = band
			}
		})
		if err != nil {
			return nil, err
		}
		if started {
			return doneMsg{s, words.Plural(len(bands), "band", "bands") + " of " + clean(name) + " set", true}, nil
		}
		return replaceMsg{s, testDayOf{tank: t}}, nil
	})
}

// changeTank rewrites a tank from what the book holds of it now.
func changeTank(b *logbook.Book, name string, change func(*logbook.Tank)) (logbook.Tank, error) {
	var t logbook.Tank
	_, err := b.Update(func(v *logbook.View) (_ []logbook.Record, err error) {
		if t, err = v.Tank(name); err != nil {
			return nil, err
		}
		if t.Bands == nil {
			t.Bands = map[string]logbook.Band{}
		}
		change(&t)
		return []logbook.Record{t}, nil
	})
	return t, err
}

func (s *bandPicker) about() about {
	return about{title: clean(s.tank.Name) + " · bands", zone: s.tank.Zone()}
}

func (s *bandPicker) commands() []command {
	taken := func() {
		o := s.offers[s.at]
		s.taken[o.parameter] = !s.taken[o.parameter]
	}
	return slices.Concat(
		s.moves("bands", len(s.offers), 3, 4),
		under("bands",
			on("space x", "take or leave", just(taken)).foot(2),
			on("enter ctrl+s", "go on with these", s.accept).foot(1)))
}

func (s *bandPicker) View() string {
	t := s.env.theme
	out := hang("Which do you watch? The bands are common practice without a source; b on the first screen changes them. "+
		"Below its floor a nutrient is bottomed out.", t.Plain, 1, s.w-1, 3)
	if s.h < 14 {
		out = out[:1]
	}
	rows := max(1, s.h-len(out)-1)
	out = append(out, t.Head.Render(cut(fmt.Sprintf("      %-12s %-14s %-8s %s", "parameter", "band", "floor", "tested"), s.w)))
	return strings.Join(append(out, s.draw(len(out), len(s.offers), rows, s.offer)...), "\n")
}

func (s *bandPicker) offer(i int) string {
	t, o := s.env.theme, s.offers[i]
	lead, box := " ", "[ ]"
	if i == s.at {
		lead = t.Accent.Render(t.Signs.Chosen)
	}
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
	row := fmt.Sprintf("%s %s %-8s %s", pad(o.parameter, 12), pad(words.Between(p, o.low, o.high)+" "+p.Unit, 18), floor, every)
	if s.w < 60 {
		row = pad(o.parameter, 12) + " " + words.Between(p, o.low, o.high) + " " + p.Unit
	}
	if !s.taken[o.parameter] {
		row = t.Dim.Render(row)
	}
	return cut(lead+" "+box+" "+row, s.w)
}
