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
	return strikeAnswer(e, func(v *logbook.View) (*logbook.Acknowledgement, error) {
		e, err := v.Entry(given)
		if ack, is := e.(logbook.Acknowledgement); is {
			return &ack, err
		}
		if errors.Is(err, logbook.ErrNotFound) {
			err = nil
		}
		return nil, err
	})
}

// takeBackOf strikes the newest answer to an alert.
func takeBackOf(e *part.Env, x alerts.Alert) tea.Cmd {
	return strikeAnswer(e, func(v *logbook.View) (found *logbook.Acknowledgement, err error) {
		es, err := v.Entries(x.Tank, logbook.KindAcknowledgement, time.Time{}, time.Time{})
		for _, e := range es {
			ack, is := e.(logbook.Acknowledgement)
			if is && x.IsMeantBy(ack) && (found == nil || !ack.Time.Before(found.Time)) {
				found = &ack
			}
		}
		return found, err
	})
}

// strikeAnswer strikes the answer that find finds; nil: none.
func strikeAnswer(e *part.Env, find func(*logbook.View) (*logbook.Acknowledgement, error)) tea.Cmd {
	now := e.Moment()
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		ack, err := part.Seen(b, find)
		if err != nil {
			return nil, err
		}
		if ack == nil {
			return part.NoticeMsg{Text: "this answer is no longer in the book"}, nil
		}
		s := logbook.Strike{Target: ack.ID, Time: now.In(ack.Time.Location()).Truncate(time.Second), Why: "taken back"}
		if _, err := b.Strike(s, nil); err != nil {
			return nil, err
		}
		return part.AnsweredMsg{Notice: "taken back: " + words.Alert(*ack) + " asks again"}, nil
	})
}
