package tui

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
	"leadline/tui/form"
	"leadline/tui/part"
)

// alertList is every alert of every tank, with its evidence, to be answered. It shows what the glance knows and fills
// in with it: the glance lies beneath it, and hears every message first.
type alertList struct {
	part.Page
	part.List
	glance  *glance
	alerts  []alerts.Alert
	reports map[string]alerts.Report     // by tank
	causes  map[string]map[string]string // by tank and parameter; see alerts.Causes
}

func newAlertList(e *part.Env, g *glance) *alertList {
	a := &alertList{Page: part.Page{Env: e}, glance: g}
	a.fill(g.reports)
	return a
}

func (a *alertList) Init() tea.Cmd {
	reports := slices.Clone(a.glance.reports)
	return part.AskAnew(&a.Page, func(v *logbook.View) (map[string]map[string]string, error) {
		return alerts.Causes(v, reports)
	}, func(causes map[string]map[string]string) tea.Cmd {
		a.causes = causes
		return nil
	})
}

func (a *alertList) Update(msg tea.Msg) tea.Cmd {
	switch msg.(type) {
	case examinedMsg:
		a.fill(a.glance.reports)
		if a.glance.left == 0 {
			return a.Init()
		}
	}
	return nil
}

// fill takes in what is known. A chosen alert stays chosen where it is still there.
func (a *alertList) fill(reports []alerts.Report) {
	var chosen alerts.Alert
	if a.At < len(a.alerts) {
		chosen = a.alerts[a.At]
	}
	a.alerts, a.reports = nil, map[string]alerts.Report{}
	now := a.Moment()
	for _, r := range reports {
		a.reports[r.Tank.Name] = r
		a.alerts = append(a.alerts, r.Joined()...)
	}
	alerts.Sort(a.alerts, now)
	same := func(x alerts.Alert) bool {
		return x.Tank == chosen.Tank && x.Parameter == chosen.Parameter && x.Subject == chosen.Subject &&
			x.Rule == chosen.Rule
	}
	if i := slices.IndexFunc(a.alerts, same); i >= 0 {
		a.At = i
	}
	a.Clamp(len(a.alerts))
}

func (a *alertList) About() part.About {
	return part.About{Title: "alerts", Place: part.Place{Screen: part.OnAlerts}}
}

func (a *alertList) Commands() []part.Command {
	var x alerts.Alert
	some := len(a.alerts) > 0
	if some {
		x = a.alerts[a.At]
	}
	tank := a.reports[x.Tank].Tank
	word, act := a.act(x)
	mark := "seen"
	if some && !x.Open(a.Moment()) {
		mark = "ask again"
	}
	return slices.Concat(
		a.Moves("alerts", len(a.alerts), 6),
		part.Under("alerts",
			part.On("enter", word, part.Opens(act)).Foot(1).When(some),
			part.On("V", "chart", part.Opens(chartOf(tank, x.Parameter))).Foot(5).When(x.Parameter != ""),
			// Not the key that opens this screen: twice by mistake must not silence.
			part.On("m", mark, func() tea.Cmd { return a.acknowledge(x) }).Foot(2).When(some).Also("take back"),
			part.On("z", "snooze", part.Opens(part.OfTank(form.NewSnooze, tank, a.answer(x)))).Foot(3).When(some)),
		part.Under("enter",
			part.On("t", "test day", part.Opens(a.testDay(x))).When(some).Also("add readings measure"),
			part.On("d", "one dose", form.Opens(form.NewDose, tank, x.Parameter)).When(some).Also("add supplement"),
			part.On("D", "daily dosing", form.Opens(form.NewDosing, tank, x.Parameter)).When(some).Also(
				"add supplement per day")))
}

// act is what answers an alert, in the word of its key elsewhere, and how it is asked for.
func (a *alertList) act(x alerts.Alert) (word string, w part.Want) {
	r := a.reports[x.Tank]
	tank := r.Tank
	switch x.Rule {
	case alerts.RuleOverdue, alerts.RuleTestAgain, alerts.RuleSuspect, alerts.RuleSwing, alerts.RuleNearLow,
		alerts.RuleNearHigh:
		return "test day", a.testDay(x)
	case alerts.RuleStockLow, alerts.RuleExpired:
		if s, there := words.First(r.Stocks, func(s alerts.Stock) bool { return s.Name == x.Subject }); there {
			return "refilled", part.OfTank(form.NewRefill, tank, s.Stock)
		}
		return "chores and stock", part.OfTank(newUpkeep, tank, x.Subject)
	case alerts.RuleChoreDue:
		return "chore done", part.OfTank(form.NewChoreDone, tank, x.Subject)
	case alerts.RuleBottomedOut, alerts.RuleBottomingOut, alerts.RuleBelowBand, alerts.RuleUnmet:
		switch l, there := r.Finding(x.Parameter); {
		case !there || l.Parameter.Doseable() != nil:
		case l.RefusePlan() != nil, x.Rule == alerts.RuleUnmet && l.Heading() != trend.Falling: // to be tested first
			return "test day", a.testDay(x)
		default:
			return "plan", part.Of(form.NewPlan, l)
		}
	}
	return "chart", chartOf(tank, x.Parameter)
}

func (a *alertList) testDay(x alerts.Alert) part.Want {
	r := a.reports[x.Tank]
	return func(e *part.Env) part.Screen {
		d := newTestDay(e, r.Tank, a.glance.known(r))
		d.first = x.Parameter
		return d
	}
}

func (a *alertList) answer(x alerts.Alert) logbook.Acknowledgement {
	return logbook.Acknowledgement{
		Time: a.Moment().In(a.reports[x.Tank].Tank.Zone()).Truncate(time.Second),
		Tank: x.Tank, Parameter: x.Parameter, Subject: x.Subject, Rule: string(x.Rule), Who: a.Who,
	}
}

func (a *alertList) acknowledge(x alerts.Alert) tea.Cmd {
	answer := a.answer(x)
	if !x.Open(a.Moment()) {
		return a.Write(func(b *logbook.Book) (tea.Msg, error) { return takeBack(b, x, answer) })
	}
	return a.Write(func(b *logbook.Book) (tea.Msg, error) {
		_, err := b.Append(answer)
		return part.DoneMsg{Notice: "seen: asks again if it grows urgent or comes back", Changed: true}, err
	})
}

func takeBack(b *logbook.Book, x alerts.Alert, answer logbook.Acknowledgement) (tea.Msg, error) {
	_, err := b.Strike(logbook.Strike{Target: x.AnsweredBy, Time: answer.Time, Why: "taken back"}, nil)
	if errors.Is(err, logbook.ErrNotFound) {
		return part.NoticeMsg{Text: "this answer is no longer in the book"}, nil
	}
	return part.DoneMsg{Notice: words.Alert(answer) + " asks again", Changed: true}, err
}

func (a *alertList) View() string {
	switch looking := a.glance.looking(); {
	case len(a.alerts) == 0 && looking != "":
		return "\n" + looking
	case len(a.alerts) == 0:
		return "\n  No alerts: nothing that is known asks for you."
	case looking != "":
		return looking + "\n" + a.body(a.H-1)
	default:
		return a.body(a.H)
	}
}

func (a *alertList) body(h int) string {
	evidence := a.evidence()
	room := max(3, h-len(evidence)-1)
	blocks := make([][]string, len(a.alerts))
	for i := range blocks {
		blocks[i] = a.block(i)
	}
	a.Top = min(a.Top, a.At)
	for a.Top < a.At && len(slices.Concat(blocks[a.Top:a.At+1]...)) > room {
		a.Top++
	}
	out := slices.Concat(blocks[a.Top:]...)
	out = slices.Concat(out, make([]string, max(0, room-len(out))))
	out = append(out[:room], a.Dim.Render(strings.Repeat(part.SignRule, a.W)))
	return strings.Join(append(out, evidence...), "\n")
}

// block is one alert: its state, then its headline.
func (a *alertList) block(i int) []string {
	x := a.alerts[i]
	lead, _ := a.Marked(i == a.At, "")
	sign := a.Severity(x.Severity).Render(part.SignAlert + " " + x.Severity.String())
	if answer := x.Answer(a.Moment().In(a.reports[x.Tank].Tank.Zone())); answer != "" {
		sign = a.Dim.Render(answer)
	}
	head := lead + sign + a.Dim.Render(fmt.Sprintf("  %s, since %s", part.Clean(x.Tank),
		words.ShortDay(x.Since.In(a.reports[x.Tank].Tank.Zone()))))
	out := []string{part.Cut(head, a.W)}
	return append(out, part.Hang(part.Clean(x.Headline), a.Plain, 4, a.W, 2)...)
}

func (a *alertList) evidence() []string {
	x := a.alerts[a.At]
	rows := words.Hang("  ", "  ", part.Clean(x.Because), a.W, 3)
	if cause := a.causes[x.Tank][x.Parameter]; cause != "" {
		rows = append(rows, words.Hang("  ", "  ", part.Clean(cause), a.W, 3)...)
	}
	return words.Of(rows, a.Dim.Render)
}
