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

// acknowledge puts an answer to an alert into the book.
func acknowledge(e *part.Env, answer logbook.Acknowledgement) tea.Cmd {
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		ids, err := b.Append(answer)
		if err != nil {
			return nil, err
		}
		return part.AnsweredMsg{Notice: "seen: asks again if it grows urgent or comes back; u takes this back", Given: ids[0]}, nil
	})
}

// takeBack strikes an answer.
func takeBack(e *part.Env, given logbook.ID) tea.Cmd {
	return strikeAnswer(e, func(v *logbook.View) (logbook.Acknowledgement, bool, error) {
		e, err := v.Entry(given)
		if errors.Is(err, logbook.ErrNotFound) {
			return logbook.Acknowledgement{}, false, nil
		}
		ack, ok := e.(logbook.Acknowledgement)
		return ack, ok, err
	})
}

// takeBackOf strikes the newest answer to an alert.
func takeBackOf(e *part.Env, x alerts.Alert) tea.Cmd {
	return strikeAnswer(e, func(v *logbook.View) (found logbook.Acknowledgement, ok bool, err error) {
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

// strikeAnswer strikes the answer that find finds.
func strikeAnswer(e *part.Env, find func(*logbook.View) (logbook.Acknowledgement, bool, error)) tea.Cmd {
	now := e.Moment()
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
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
