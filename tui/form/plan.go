package form

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
	"leadline/tui/part"
)

// Plan is a form whose answer stands below its fields: how much to dose to bring a parameter to a level and to hold it.
// Nothing of it goes into the book.
type Plan struct {
	*Form
	of      logbook.Parameter
	Answer  alerts.Plan
	Refused string // why there is no plan
	Made    bool   // for texts, which is everything typed
	texts   string
	top     int // the first row of the plan in sight
}

// NewPlan makes the plan of an examined parameter.
func NewPlan(e *part.Env, line alerts.Finding) *Plan {
	of := line.Parameter
	p := &Plan{of: of, Form: newForm(e, line.Tank, "plan: "+part.Clean(of.Name),
		&formField{label: "target", hint: "the level wanted, in " + words.Unit(of),
			check: readsAs(of, entry.Wanted, words.Quantity), may: true},
		&formField{label: "supplement", hint: "what raises it", offers: func(d Data) []string {
			return words.Those(d.Offered, func(name string) bool {
				s, _ := d.Supplement(name)
				_, err := s.Raising(of)
				return err == nil
			})
		}},
		&formField{label: "most a day", hint: "greatest careful change", may: true,
			check: readsAs(of, entry.PerDay, words.RiseAmount)})}
	if target := line.PlanTarget(); !math.IsNaN(target) {
		p.set("target", words.Number(of, target))
	}
	if of.MaxRise > 0 {
		p.Field("most a day").hint = words.Rise(of, of.MaxRise) + ", the usual"
	}
	p.describe = describeSupplement
	return p
}

func readsAs(of logbook.Parameter, read func(logbook.Parameter, string) (float64, error),
	says func(logbook.Parameter, float64) string) check {
	return func(_ *Form, text string) (string, error) {
		v, err := read(of, text)
		return says(of, v), err
	}
}

func (p *Plan) About() part.About {
	a := p.Form.About()
	a.Cautions = words.Of(p.Answer.Cautions(), func(c water.Caution) string { return c.Text })
	return a
}

func (p *Plan) Init() tea.Cmd {
	tank, at := p.tank, p.now()
	return part.AskAnew(&p.Page, func(v *logbook.View) (Data, error) {
		return load(v, tank, at)
	}, func(d Data) tea.Cmd {
		p.Take(d)
		if name, _ := d.InUse(p.of); name != "" {
			p.set("supplement", name)
		}
		p.Made = false
		return p.ask()
	})
}

// ask has the plan made that is typed, unless it is there.
func (p *Plan) ask() tea.Cmd {
	if p.Made && p.texts == p.Texts() || !p.known {
		return nil
	}
	p.Made, p.texts, p.top = false, p.Texts(), 0
	texts, tank, of, at := p.texts, p.tank.Name, p.of, p.now()
	wish, err := p.wish()
	if err != nil {
		return p.answered(texts, alerts.Plan{}, err)
	}
	type planned struct {
		alerts.Plan
		refused error
	}
	return part.Ask(&p.Page, func(v *logbook.View) (planned, error) {
		t, err := v.Tank(tank)
		if err != nil {
			return planned{}, err
		}
		plan, err := alerts.PlanOf(v, t, of, at, wish)
		if err != nil && t.VolumeL <= 0 {
			err = fmt.Errorf("%w; T on the first screen tells it", err)
		}
		return planned{plan, err}, nil
	}, func(x planned) tea.Cmd { return p.answered(texts, x.Plan, x.refused) })
}

// answered takes in a plan, or why there is none, unless something else is typed by now.
func (p *Plan) answered(texts string, plan alerts.Plan, err error) tea.Cmd {
	if texts != p.texts {
		return nil
	}
	p.Made, p.Answer, p.Refused = true, plan, ""
	if err != nil {
		p.Refused = part.RefusalText(err)
	}
	return nil
}

func (p *Plan) wish() (w alerts.Wish, err error) {
	if p.Value("target") == "" {
		return w, errors.New("which level do you want?")
	}
	if w.Target, err = entry.Wanted(p.of, p.Value("target")); err != nil {
		return w, err
	}
	if w.MaxPerDay, err = entry.PerDay(p.of, p.Value("most a day")); err != nil {
		return w, err
	}
	name := p.Value("supplement")
	s, described := p.data.Supplement(name)
	switch {
	case name == "":
		_, among := p.data.InUse(p.of)
		return w, entry.WhichSupplement(p.of, among)
	case !described:
		return w, errors.New(name + " " + entry.ErrUndescribed.Error() + ": " + describeKey + " describes it")
	}
	return w, w.Use(s, p.of, p.data.Supplements)
}

func (p *Plan) Typed(msg tea.KeyMsg) tea.Cmd { return tea.Batch(p.Form.Typed(msg), p.ask()) }

func (p *Plan) Commands() []part.Command {
	rows := slices.DeleteFunc(p.Form.Commands(), func(c part.Command) bool { return c.Words == "save" })
	for i, c := range rows {
		rows[i].Do = func() tea.Cmd { return tea.Batch(c.Do(), p.ask()) }
	}
	page := max(1, p.room())
	scroll := func(by int) func() tea.Cmd { return part.Just(func() { p.top = max(0, p.top+by) }) }
	return append(rows, part.Under("form",
		part.On("pgdown", "page down", scroll(page)).Foot(1).When(len(p.rows()) > p.room()),
		part.On("pgup", "page up", scroll(-page)))...)
}

func (p *Plan) View() string {
	rows, room := p.rows(), p.room()
	p.top = min(p.top, max(0, len(rows)-room))
	return strings.Join(append(append(p.fieldRows(nil, p.H), ""), rows[p.top:min(len(rows), p.top+room)]...), "\n")
}

func (p *Plan) room() int { return max(1, p.H-len(p.fieldRows(nil, p.H))-1) }

// rows say the plan, with as many days as there is room for, or why there is none.
func (p *Plan) rows() []string {
	switch {
	case !p.Made:
		return []string{"  " + p.Dim.Render("…")}
	case p.Refused != "":
		return part.Hang("! "+p.Refused, p.Bad, 2, p.W-2, 0)
	}
	rows, days := p.withDays(0), len(p.Answer.Steps)
	if over := len(rows) - p.room(); over > 0 && days > 3 {
		rows = p.withDays(max(3, days-over))
	}
	return rows
}

func (p *Plan) withDays(most int) (rows []string) {
	for _, line := range p.Answer.Lines(most) {
		if text := strings.TrimLeft(line, " "); text != line { // a row of a table
			rows = append(rows, part.Cut(strings.Repeat(" ", max(0, min(4, p.W-part.Width(text))))+text, p.W))
			continue
		}
		rows = append(rows, part.Hang(line, p.Plain, 2, p.W, 0)...)
	}
	for _, text := range p.Answer.Beware() {
		rows = append(rows, p.caution(text)...)
	}
	return rows
}
