package tui

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/trend"
	"leadline/tui/part"
)

// foresee asks the engine what to expect of a field, whatever is typed in it.
func (d *testDay) foresee(i int) tea.Cmd {
	f := d.fields[i]
	n := len(f.Readings)
	if n == 0 {
		f.Expected = trend.Prediction{}
		return nil
	}
	r := f.Readings[n-1]
	r.Method = f.Method
	return d.askEngine(i, r, "")
}

func (d *testDay) judge(i int) tea.Cmd {
	f := d.fields[i]
	if len(f.Readings) == 0 || !f.read {
		return nil
	}
	return d.askEngine(i, f.result.Reading, f.text())
}

func (d *testDay) askEngine(i int, r logbook.Reading, text string) tea.Cmd {
	test, at := d.fields[i].Test, d.testTime()
	return part.Think(func() (tea.Msg, error) {
		verdict, err := test.Compare(r, at)
		return part.AnswerMsg{To: &d.Page, Take: func() tea.Cmd { return d.hear(i, text, test.Method, verdict) }}, err
	})
}

func (d *testDay) testTime() time.Time {
	at, err := entry.When(d.when.Value(), d.now())
	if err != nil {
		return d.now()
	}
	return at
}

// lookFrom examines the tank as of the time of the test, where that is another than the lines are seen from: what a
// test of last month is compared with is what was known then.
func (d *testDay) lookFrom() tea.Cmd {
	at, err := entry.When(d.when.Value(), d.now())
	if err != nil {
		return nil
	}
	from := at
	if strings.TrimSpace(d.when.Value()) == "" {
		from = time.Time{}
	}
	if from.Equal(d.from) {
		return nil
	}
	d.from = from
	name := d.tank.Name
	return part.AskAnew(&d.Page, func(v *logbook.View) (alerts.Report, error) {
		return alerts.Examine(v, name, at)
	}, d.lookedFrom)
}

func (d *testDay) lookedFrom(then alerts.Report) tea.Cmd {
	var cmds []tea.Cmd
	for i, f := range d.fields {
		if l, there := then.Finding(f.Parameter.Name); there {
			f.Finding = l
		} else { // it was not measured yet
			f.Readings, f.Due = nil, time.Time{}
		}
		f.judged = ""
		f.parse()
		cmds = append(cmds, d.foresee(i), d.judge(i))
	}
	return tea.Batch(cmds...)
}

// hear takes in a judgement of a field as it stood, which is dropped when that has changed; of the text "" it is only
// what to expect.
func (d *testDay) hear(field int, text, method string, verdict trend.Judgement) tea.Cmd {
	f := d.fields[field]
	switch {
	case method != f.Method:
	case text == "":
		f.Expected = verdict.Expected
	case text == f.text():
		f.judged, f.verdict = text, verdict
	}
	return nil
}
