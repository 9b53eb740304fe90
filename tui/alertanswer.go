package tui

import (
	"errors"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// Answers to alerts, and how they are taken back.

// answer is an acknowledgement of an alert, given now.
func (a *alertList) answer(x alerts.Alert) logbook.Acknowledgement {
	return logbook.Acknowledgement{
		Time: a.env.Moment().In(a.tanks[x.Tank].Zone()).Truncate(time.Second),
		Tank: x.Tank, Parameter: x.Parameter, Subject: x.Subject, Rule: string(x.Rule),
	}
}

func (a *alertList) acknowledge(x alerts.Alert) tea.Cmd {
	if !x.Open(a.env.Moment()) {
		return part.Notice("this one is answered already")
	}
	ack := a.answer(x)
	return a.env.Write(func(b *logbook.Book) (tea.Msg, error) {
		ids, err := b.Append(ack)
		if err != nil {
			return nil, err
		}
		return part.AnsweredMsg{Notice: "seen: asks again if it grows urgent or comes back; u takes this back", Given: ids[0]}, nil
	})
}

// takeBack strikes the last answer given on this screen; where there is none, the newest answer to an alert.
func (a *alertList) takeBack(x alerts.Alert) tea.Cmd {
	n := len(a.given) - 1
	if n < 0 {
		return a.takeBackOf(x)
	}
	last := a.given[n]
	a.given = a.given[:n]
	return a.strike(func(v *logbook.View) (logbook.Acknowledgement, bool, error) {
		e, err := v.Entry(last)
		if errors.Is(err, logbook.ErrNotFound) {
			return logbook.Acknowledgement{}, false, nil
		}
		ack, ok := e.(logbook.Acknowledgement)
		return ack, ok, err
	})
}

// takeBackOf strikes the newest answer to an alert.
func (a *alertList) takeBackOf(x alerts.Alert) tea.Cmd {
	if x.Open(a.env.Moment()) {
		return part.Notice("this one is not answered: there is nothing to take back")
	}
	return a.strike(func(v *logbook.View) (found logbook.Acknowledgement, ok bool, err error) {
		es, err := v.Entries(x.Tank, logbook.KindAcknowledgement, time.Time{}, time.Time{})
		for _, e := range es {
			ack, is := e.(logbook.Acknowledgement)
			if is && ack.Parameter == x.Parameter && ack.Rule == string(x.Rule) && (ack.Subject == "" || ack.Subject == x.Subject) &&
				(!ok || !ack.Time.Before(found.Time)) {
				found, ok = ack, true
			}
		}
		return found, ok, err
	})
}

func (a *alertList) strike(find func(*logbook.View) (logbook.Acknowledgement, bool, error)) tea.Cmd {
	now := a.env.Moment()
	return a.env.Write(func(b *logbook.Book) (tea.Msg, error) {
		var ack logbook.Acknowledgement
		var ok bool
		err := b.View(func(v *logbook.View) (err error) {
			ack, ok, err = find(v)
			return err
		})
		if err != nil {
			return nil, err
		}
		if !ok {
			return part.NoticeMsg{Text: "this answer is no longer in the book"}, nil
		}
		s := logbook.Strike{Target: ack.ID, Time: now.In(ack.Time.Location()).Truncate(time.Second), Why: "taken back"}
		if _, err := b.Strike(s, nil); err != nil {
			return nil, err
		}
		return part.AnsweredMsg{Notice: "taken back: " + words.Alert(ack) + " asks again"}, nil
	})
}
