package tui

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/form"
	"leadline/tui/part"
)

// formBook is a book of one tank with a described supplement, and an app that shows its glance.
func formBook(t *testing.T) (*logbook.Book, *app, logbook.Tank) {
	t.Helper()
	b, err := logbook.Create(filepath.Join(t.TempDir(), "keeper.book"))
	if err != nil {
		t.Fatal(err)
	}
	tank := logbook.Tank{Name: "forereef", VolumeL: 450}
	carbonate := logbook.Supplement{Name: "carbonate mix",
		Label: []logbook.LabelRise{{Parameter: "alkalinity", Rise: 1, Unit: "dKH"}}, LabelML: 10, LabelL: 100}
	r, err := logbook.ParseReading(parameter(t, "alkalinity"), "8", "")
	if err != nil {
		t.Fatal(err)
	}
	r.Time, r.Tank = noon.AddDate(0, 0, -1), "forereef"
	if _, err := b.Append(tank, carbonate, logbook.Chore{Tank: "forereef", Name: "reactor media", EveryDays: 42},
		r); err != nil {
		t.Fatal(err)
	}
	a := newApp(Options{Book: b, Now: clock, NoColor: true})
	resize(a, 80, 24)
	settle(a, a.top().Init())
	return b, a, tank
}

// do presses keys and lets every answer come in.
func do(a *app, names ...string) {
	for _, n := range names {
		_, cmd := a.Update(keyNamed(n))
		settleAll(a, cmd)
	}
}

// doText types letters.
func doText(a *app, text string) {
	for _, c := range text {
		if c == ' ' {
			do(a, " ")
			continue
		}
		do(a, string(c))
	}
}

func entriesOf(t *testing.T, b *logbook.Book, kind logbook.Kind) []logbook.Entry {
	t.Helper()
	var es []logbook.Entry
	err := b.View(func(v *logbook.View) error {
		var err error
		es, err = v.Entries("forereef", kind, time.Time{}, time.Time{})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return es
}

// Every quick entry is within six presses of the glance, besides what is typed.
func TestQuickEntries(t *testing.T) {
	for _, c := range []struct {
		name string
		open string
		text string
		kind logbook.Kind
		ok   func(logbook.Entry) bool
	}{
		{"dose", "d", "0.3", logbook.KindDose, func(e logbook.Entry) bool {
			d := e.(logbook.Dose)
			return d.Parameter == "alkalinity" && d.Amount == 0.3 && d.Unit == "dKH" && d.Supplement == "carbonate mix"
		}},
		// Ten millilitres raise 100 L by 1 dKH, so 9 mL raise 450 L by 0.2 dKH.
		{"dose by volume", "d", "9 mL", logbook.KindDose, func(e logbook.Entry) bool {
			d := e.(logbook.Dose)
			return d.Parameter == "alkalinity" && d.Amount == 0.2 && d.Unit == "dKH" && d.Note == "9 mL"
		}},
		{"dose in another unit", "d", "0.1 meq/L", logbook.KindDose, func(e logbook.Entry) bool {
			d := e.(logbook.Dose)
			return d.Amount == 0.1 && d.Unit == "meq/L"
		}},
		{"dosing", "D", "0.5", logbook.KindDosing, func(e logbook.Entry) bool { return e.(logbook.Dosing).PerDay == 0.5 }},
		{"stop a dosing", "D", "0", logbook.KindDosing, func(e logbook.Entry) bool { return e.(logbook.Dosing).PerDay == 0 }},
		{"water change", "w", "15%", logbook.KindWaterChange, func(e logbook.Entry) bool {
			return e.(logbook.WaterChange).Fraction == 0.15
		}},
		{"water change in litres", "w", "45 L", logbook.KindWaterChange, func(e logbook.Entry) bool {
			return e.(logbook.WaterChange).Fraction == 0.1
		}},
		{"event", "e", "cup coral closed", logbook.KindEvent, func(e logbook.Entry) bool {
			return e.(logbook.Event).Text == "cup coral closed"
		}},
		{"chore", "c", "", logbook.KindChoreDone, func(e logbook.Entry) bool {
			return e.(logbook.ChoreDone).Chore == "reactor media"
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			b, a, _ := formBook(t)
			do(a, c.open)
			doText(a, c.text)
			do(a, "ctrl+s")
			es := entriesOf(t, b, c.kind)
			if len(es) != 1 || !c.ok(es[0]) || !es[0].When().Equal(noon) {
				t.Fatalf("the book holds %+v; the screen says\n%s", es, a.View())
			}
			if len(a.stack) != 1 {
				t.Errorf("still on %s", a.top().About().Title)
			}
		})
	}
}

// A form that cannot be says why, keeps what was typed and puts nothing into the book.
func TestFormsRefuse(t *testing.T) {
	for _, c := range []struct{ open, text string }{
		{"d", "-1"}, {"d", "0"}, {"d", "much"}, {"d", "<3"}, {"d", "1e999"}, {"d", "5 florins"}, {"D", ""},
		{"w", "0"}, {"w", "101"}, {"w", "15 florins"}, {"w", "900 L"}, {"e", ""},
	} {
		b, a, _ := formBook(t)
		do(a, c.open)
		doText(a, c.text)
		do(a, "ctrl+s")
		f, on := a.top().(*form.Form)
		if !on || f.Message == "" {
			t.Errorf("%s %q was taken", c.open, c.text)
		}
		for _, k := range alerts.DoneKinds() {
			if es := entriesOf(t, b, k); len(es) > 0 {
				t.Errorf("%s %q: the book holds %+v", c.open, c.text, es)
			}
		}
	}
}

// An alert is marked seen by one key, snoozed by two, and u takes back one answer after the other. The key that opens
// the alerts answers none.
func TestAnswerAlert(t *testing.T) {
	b, a, tank := formBook(t)
	ptr := func(v float64) *float64 { return &v }
	tank.Bands = map[string]logbook.Band{"alkalinity": {Low: ptr(9), High: ptr(10)}}
	if _, err := b.Append(tank); err != nil {
		t.Fatal(err)
	}
	settleAll(a, a.readAnew())
	do(a, "a", "a")
	if es := entriesOf(t, b, logbook.KindAcknowledgement); len(es) != 0 {
		t.Fatalf("a pressed twice has answered: %+v", es)
	}
	do(a, "m")
	es := entriesOf(t, b, logbook.KindAcknowledgement)
	if len(es) != 1 || es[0].(logbook.Acknowledgement).Rule != "below_band" {
		t.Fatalf("%+v", es)
	}
	do(a, "z", "ctrl+s")
	es = entriesOf(t, b, logbook.KindAcknowledgement)
	if len(es) != 2 || !es[1].(logbook.Acknowledgement).Until.Equal(noon.AddDate(0, 0, 7)) &&
		!es[0].(logbook.Acknowledgement).Until.Equal(noon.AddDate(0, 0, 7)) {
		t.Fatalf("%+v", es)
	}
	list, on := a.top().(*alertList)
	if !on || list.alerts[0].Open(noon) {
		t.Fatalf("the alert still asks, or another screen is shown:\n%s", a.View())
	}
	do(a, "u")
	es = entriesOf(t, b, logbook.KindAcknowledgement)
	if len(es) != 1 || !es[0].(logbook.Acknowledgement).Until.IsZero() {
		t.Fatalf("the snooze was not taken back: %+v", es)
	}
	do(a, "esc", "a", "u")
	if es = entriesOf(t, b, logbook.KindAcknowledgement); len(es) != 0 || !a.top().(*alertList).alerts[0].Open(noon) {
		t.Fatalf("the mark was not taken back: %+v", es)
	}
	do(a, "m")
	if es = entriesOf(t, b, logbook.KindAcknowledgement); len(es) != 1 {
		t.Errorf("an alert whose answer was taken back cannot be answered again: %+v", es)
	}
	do(a, "esc", "a", "m") // on a screen opened anew, the answer of the chosen alert
	if es = entriesOf(t, b, logbook.KindAcknowledgement); len(es) != 0 {
		t.Errorf("an alert that is to ask again is answered still: %+v", es)
	}
}

// Enter on an alert leads to what answers it, and the footer names it; V leads to the chart.
func TestAlertLeadsToTheAct(t *testing.T) {
	for _, c := range []struct {
		rule               alerts.Rule
		parameter, subject string
		word, shows        string
	}{
		{alerts.RuleOverdue, "nitrate", "", "test day", "test day"},
		{alerts.RuleOverdue, "", "", "test day", "test day"}, // several, in one alert
		{alerts.RuleTestAgain, "phosphate", "", "test day", "test day"},
		{alerts.RuleSuspect, "nitrate", "", "test day", "test day"},
		{alerts.RuleSwing, "calcium", "", "test day", "test day"},
		{alerts.RuleNearLow, "calcium", "", "test day", "test day"},
		{alerts.RuleNearHigh, "calcium", "", "test day", "test day"},
		{alerts.RuleBottomingOut, "phosphate", "", "plan", "plan: phosphate"},
		{alerts.RuleBottomedOut, "nitrate", "", "plan", "plan: nitrate"},
		{alerts.RuleBelowBand, "alkalinity", "", "plan", "plan: alkalinity"},
		{alerts.RuleUnmet, "alkalinity", "", "test day", "test day"}, // whether it falls is not clear
		{alerts.RuleUnmet, "phosphate", "", "plan", "plan: phosphate"},
		{alerts.RuleBelowBand, "temperature", "", "chart", "temperature"}, // is not dosed
		{alerts.RuleAboveBand, "alkalinity", "", "chart", "alkalinity"},
		{alerts.RuleDrift, "alkalinity", "", "chart", "alkalinity"},
		{alerts.RuleStockLow, "", "carbonate reservoir", "refilled", "refilled"},
		{alerts.RuleExpired, "", "nitrate reagent", "refilled", "refilled"},
		{alerts.RuleChoreDue, "", "reactor media", "chore done", "chore done"},
	} {
		a := exampleApp(t, true, 80, 24)
		g := a.stack[0].(*glance)
		g.reports = g.reports[:1]
		g.reports[0].Stocks = exampleUpkeep(t).Stocks
		g.reports[0].Alerts = []alerts.Alert{{Tank: "forereef", Parameter: c.parameter, Subject: c.subject, Rule: c.rule,
			Severity: alerts.Warning, Since: noon}}
		a.push(newAlertList(a.env, g))
		if !strings.Contains(ansi.Strip(a.View()), "enter "+c.word+"  ") {
			t.Errorf("%s %s: the footer does not say enter %s:\n%s", c.rule, c.parameter, c.word, a.View())
		}
		_, open := a.Update(keyNamed("enter"))
		settle(a, open)
		if title := a.top().About().Title; !strings.HasSuffix(title, "· "+c.shows) {
			t.Errorf("%s %s opens %q, want %q", c.rule, c.parameter, title, c.shows)
		}
		if d, is := a.top().(*testDay); is && d.first != c.parameter {
			t.Errorf("%s %s: the test day begins with %q", c.rule, c.parameter, d.first)
		}
	}
}

// An answer to an alert says who gave it.
func TestAnswerSaysByWhom(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	a.env.Who = "Ana"
	l := newAlertList(a.env, a.home)
	if got := l.answer(l.alerts[0]).Who; got != "Ana" {
		t.Errorf("the answer is by %q", got)
	}
}

// A test day that is asked for by a parameter begins there.
func TestTestDayBeginsWithWhatIsAsked(t *testing.T) {
	a := newApp(Options{Book: tankBook(t), Now: clock, NoColor: true})
	resize(a, 80, 24)
	settleAll(a, a.top().Init())
	settleAll(a, part.Open(func(e *part.Env) part.Screen {
		d := newTestDay(e, logbook.Tank{Name: "forereef"}, nil)
		d.first = "nitrate"
		return d
	}))
	if d := a.top().(*testDay); d.fields[d.at].Parameter.Name != "nitrate" {
		t.Errorf("it begins with %s", d.fields[d.at].Parameter.Name)
	}
}

// The plan of an alert is made at once, and anew with what is typed.
func TestPlanOfAnAlert(t *testing.T) {
	b := tankBook(t)
	ptr := func(v float64) *float64 { return &v }
	label := func(name, parameter, unit string) logbook.Supplement {
		return logbook.Supplement{Name: name, Label: []logbook.LabelRise{{Parameter: parameter, Rise: 1, Unit: unit}},
			LabelML: 10, LabelL: 100}
	}
	if _, err := b.Append(logbook.Tank{Name: "forereef", VolumeL: 450,
		Bands: map[string]logbook.Band{"alkalinity": {Low: ptr(8.8), High: ptr(9.4)}}},
		label("carbonate mix", "alkalinity", "dKH"), label("lime mix", "calcium", "mg/L")); err != nil {
		t.Fatal(err)
	}
	a := openApp(b)
	list := func() *alertList { return a.top().(*alertList) }
	do(a, "a")
	for list().alerts[list().At].Rule != alerts.RuleBelowBand {
		do(a, "j")
	}
	do(a, "enter")
	shows := func(want string) {
		t.Helper()
		if !strings.Contains(strings.Join(strings.Fields(ansi.Strip(a.View())), " "), want) {
			t.Errorf("%q is not in\n%s", want, a.View())
		}
	}
	shows("arithmetic on your own numbers")
	shows("target 9.10 dKH") // the middle of the band
	shows("carbonate mix holds it")
	doText(a, "9")
	shows("target 9.00 dKH")
	doText(a, "9")
	shows("target 99.00 dKH lies outside your band, 8.80–9.40")
	do(a, "backspace", "enter")
	doText(a, "lime mix")
	shows("the label of lime mix does not say that it raises alkalinity")
	do(a, "ctrl+o") // only what raises it is offered
	shows("carbonate mix holds it")
	do(a, "enter")
	doText(a, "-1")
	shows("-1 is not more than nothing")
	do(a, "esc")
	list()
}

// What is not dosed has no plan.
func TestNoPlanOfWhatIsNotDosed(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	showParameter(t, a)
	p := a.top().(*parameterScreen)
	p.line = example(t)[0].Findings[4]
	_, cmd := a.Update(keyNamed("P"))
	settle(a, cmd)
	if a.top() != p || !strings.Contains(a.View(), "temperature is not dosed") {
		t.Errorf("P led to\n%s", a.View())
	}
}

// The band form writes what is typed, and leaves the other bands alone.
func TestBandForm(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "enter", "b")
	doText(a, "7.5")
	do(a, "enter")
	doText(a, "9")
	do(a, "ctrl+s")
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("forereef")
		band := tank.Bands["alkalinity"]
		if band.Low == nil || *band.Low != 7.5 || band.High == nil || *band.High != 9 || band.Floor != nil ||
			tank.VolumeL != 450 {
			t.Errorf("%+v", tank)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// What is typed takes the place of a prefilled number or choice; after a key that moves or rubs out, it goes on in it.
func TestTypingReplacesWhatWasPrefilled(t *testing.T) {
	for _, c := range []struct {
		keys []string
		want string
	}{
		{[]string{"3"}, "3"}, {[]string{"1", "4"}, "14"}, {[]string{"left", "3"}, "37"}, {[]string{"backspace", "9"}, "9"},
		{[]string{"end", "0"}, "70"},
	} {
		_, a, tank := formBook(t)
		settleAll(a, a.push(form.NewSnooze(a.env, tank,
			logbook.Acknowledgement{Time: noon, Tank: "forereef", Parameter: "alkalinity", Rule: "below_band"})))
		do(a, c.keys...)
		if got := a.top().(*form.Form).Value("days"); got != c.want {
			t.Errorf("%v after 7: %q, want %q", c.keys, got, c.want)
		}
	}
	_, a, _ := formBook(t)
	do(a, "d", "up", "n", "i", "t", "r", "a") // alkalinity is prefilled
	if got := a.top().(*form.Form).Value("parameter"); got != "nitrate" {
		t.Errorf("parameter: %q", got)
	}
	do(a, "ctrl+o", "c", "a")
	if got := a.top().(*form.Form).Value("parameter"); got != "calcium" {
		t.Errorf("parameter after a choice: %q", got)
	}
}

// Leaving a form with something typed is asked about once; enter in the last field saves, but does not answer a
// question.
func TestLeaveAndFinishForm(t *testing.T) {
	quits := func(a *app, k string) bool {
		_, cmd := a.Update(keyNamed(k))
		if cmd == nil {
			return false
		}
		_, is := cmd().(tea.QuitMsg)
		return is
	}
	_, a, _ := formBook(t)
	do(a, "d", "0")
	if quits(a, "ctrl+c") {
		t.Error("ctrl+c lost what was typed")
	}
	do(a, ".")
	if quits(a, "ctrl+c") || !quits(a, "ctrl+c") {
		t.Error("ctrl+c twice, one after the other, leaves")
	}
	_, a, _ = formBook(t)
	do(a, "d")
	if !quits(a, "ctrl+c") {
		t.Error("with nothing typed there is nothing to ask")
	}

	b, a, _ := formBook(t)
	do(a, "d", "9", "enter", "enter", "enter", "enter")
	if f := a.top().(*form.Form); f.At != len(f.Fields)-1 {
		t.Fatalf("on field %d", f.At)
	}
	do(a, "enter", "enter", "enter")
	if es := entriesOf(t, b, logbook.KindDose); len(es) != 0 || a.top().(*form.Form).Question() == "" {
		t.Errorf("enter has answered the question: %+v", es)
	}
	do(a, "ctrl+s")
	if es := entriesOf(t, b, logbook.KindDose); len(es) != 1 {
		t.Errorf("%+v", es)
	}
	do(a, "e", "x", "enter", "enter", "enter", "enter")
	if es := entriesOf(t, b, logbook.KindEvent); len(es) != 1 || len(a.stack) != 1 {
		t.Errorf("enter in the last field: %+v", es)
	}
}

// A correction says how a unit of two meanings was taken: 33 ppb of phosphorus are 0.101 mg/L of phosphate by the molar
// masses (testdata/reference/units.json).
func TestCorrectionSaysHowTheUnitWasTaken(t *testing.T) {
	_, a, tank := formBook(t)
	p := parameter(t, "phosphate")
	old, err := logbook.ParseReading(p, "0.33", "")
	if err != nil {
		t.Fatal(err)
	}
	old.Time, old.Tank = noon, "forereef"
	settleAll(a, a.push(form.NewCorrection(a.env, part.Lines{Tank: tank, Entries: []logbook.Entry{old}})))
	doText(a, "33 ppb")
	if !strings.Contains(a.View(), "0.033 mg/L") || !strings.Contains(a.View(), "0.101 mg/L") {
		t.Errorf("33 ppb:\n%s", a.View())
	}
}

// A tank with readings and without bands says so, and b lists common bands with those it measures taken.
func TestTankWithoutBands(t *testing.T) {
	b, a, _ := formBook(t)
	if !strings.Contains(a.View(), "no bands, so nothing is watched: press b today") {
		t.Fatalf("no word about bands:\n%s", a.View())
	}
	do(a, "b", "enter")
	err := b.View(func(v *logbook.View) error {
		tank, err := v.Tank("forereef")
		if _, ok := tank.Bands["alkalinity"]; !ok || len(tank.Bands) != 1 {
			t.Errorf("bands: %+v", tank.Bands)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	settleAll(a, a.readAnew())
	if len(a.stack) != 1 || strings.Contains(a.View(), "no bands") {
		t.Errorf("after setting bands:\n%s", a.View())
	}
}

// A message leaves the keys in sight that are needed to go on, and a clock of another place says of which.
func TestMessageAndClock(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	a.Update(part.NoticeMsg{Text: "forereef is set up"})
	if lines := strings.Split(a.View(), "\n"); !strings.Contains(lines[23], "set up") ||
		!strings.Contains(lines[23], "test day") {
		t.Errorf("last row: %s", lines[23])
	}
	g := a.stack[0].(*glance)
	if strings.Contains(a.View(), "12:00 UTC") {
		t.Error("the zone is named though it is that of this machine")
	}
	g.reports[0].Tank.Timezone = "Pacific/Auckland" // 13 hours ahead in March, by its daylight saving time
	if !strings.Contains(a.View(), "01:00 NZDT") {
		t.Errorf("a clock elsewhere does not say where:\n%s", strings.Split(a.View(), "\n")[0])
	}
}
