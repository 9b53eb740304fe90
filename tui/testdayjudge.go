package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
	"leadline/trend"
)

// judgedMsg answers testDay.judge. It is about a field as it stood, and is dropped when that has changed.
type judgedMsg struct {
	day     *testDay
	field   int
	text    string // "": only what to expect
	method  string
	verdict trend.Judgement
}

// foresee asks the engine what to expect of a field, whatever is typed in it.
func (d *testDay) foresee(i int) tea.Cmd {
	f := d.fields[i]
	n := len(f.line.Readings)
	if n == 0 {
		return nil
	}
	r := f.line.Readings[n-1]
	r.Method = f.method
	return d.askEngine(i, r, "")
}

// judge asks the engine about the text of a field.
func (d *testDay) judge(i int) tea.Cmd {
	f := d.fields[i]
	if len(f.line.Readings) == 0 || !f.read {
		return nil
	}
	return d.askEngine(i, f.reading, f.text())
}

func (d *testDay) askEngine(i int, r logbook.Reading, text string) tea.Cmd {
	line := d.fields[i].line
	msg := judgedMsg{day: d, field: i, text: text, method: d.fields[i].method}
	r.Time, r.Tank = d.now(), d.tank.Name
	if last := line.Readings[len(line.Readings)-1].Time; r.Time.Before(last) {
		r.Time = last
	}
	return d.env.read(func(v *logbook.View) (tea.Msg, error) {
		var err error
		msg.verdict, err = line.Judge(v, r)
		return msg, err
	})
}

func (d *testDay) hear(msg judgedMsg) {
	if msg.day != d || msg.field >= len(d.fields) {
		return
	}
	f := d.fields[msg.field]
	switch {
	case msg.method != f.method:
	case msg.text == "":
		f.expected = msg.verdict.Expected
	case msg.text == f.text():
		f.judged, f.verdict = msg.text, msg.verdict
	}
}
