package tui

import (
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
		_, err := b.Append(answer)
		return part.DoneMsg{Notice: "seen: asks again if it grows urgent or comes back", Changed: true}, err
	})
}

// takeBackOf strikes the newest answer to an alert.
func takeBackOf(e *part.Env, x alerts.Alert) tea.Cmd {
	now := e.Moment()
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		ack, err := part.Seen(b, func(v *logbook.View) (found *logbook.Acknowledgement, err error) {
			es, err := v.Entries(x.Tank, logbook.KindAcknowledgement, time.Time{}, time.Time{})
			for _, e := range es {
				ack, is := e.(logbook.Acknowledgement)
				if is && x.IsMeantBy(ack) && (found == nil || !ack.Time.Before(found.Time)) {
					found = &ack
				}
			}
			return found, err
		})
		if err != nil {
			return nil, err
		}
		if ack == nil {
			return part.NoticeMsg{Text: "this answer is no longer in the book"}, nil
		}
		s := logbook.Strike{Target: ack.ID, Time: now.In(ack.Time.Location()).Truncate(time.Second), Why: "taken back"}
		_, err = b.Strike(s, nil)
		return part.DoneMsg{Notice: words.Alert(*ack) + " asks again", Changed: true}, err
	})
}
