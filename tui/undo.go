package tui

import (
	"errors"
	"sync"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// undo takes back what was saved in this sitting, one save after the other.
type undo struct {
	book  *logbook.Book
	began uint64     // the last save before the sitting
	told  uint64     // the last save of which the keeper was told that it can be taken back
	turn  sync.Mutex // a key that is pressed twice takes back two saves
}

// named is a notice of a save that names the key which takes it back; the key first, where the notice is
// long. It is not named where letters are typed into a field.
func (u *undo) named(notice string, w int, typing bool) string {
	if u.book == nil { // a screen by itself
		return notice
	}
	if why := u.book.BackupFailed(); why != nil {
		return part.Clean(notice + ", but no backup could be made: " + why.Error())
	}
	s := u.book.Saved()
	if typing || s.Number <= max(u.told, u.began) || entry.NotUndone(s) != "" {
		return notice
	}
	u.told = s.Number
	if whole := notice + "; u takes it back"; part.Width(whole) <= w {
		return whole
	}
	return "u takes it back: " + notice
}

// last takes back the last save, or says why not.
func (u *undo) last(e *part.Env) tea.Cmd {
	at := e.Moment().Truncate(time.Second)
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		u.turn.Lock()
		defer u.turn.Unlock()
		s := b.Saved()
		if s.Number <= u.began {
			return part.NoticeMsg{Text: "nothing to take back: nothing was noted here since the start"}, nil
		}
		if why := entry.NotUndone(s); why != "" {
			b.PassOver(s.Number)
			return part.NoticeMsg{Text: why}, nil
		}
		done, err := b.Undo(s.Number, logbook.Strike{Time: at})
		if errors.Is(err, logbook.ErrNotFound) {
			return part.NoticeMsg{Text: "this was taken back already"}, nil
		}
		return part.DoneMsg{Notice: "taken back: " + words.Undone(done), Changed: true}, err
	})
}

func bringBack(e *part.Env, struck []logbook.Entry) tea.Cmd {
	return e.Write(func(b *logbook.Book) (tea.Msg, error) {
		back, err := b.BringBack(words.Of(struck, logbook.Entry.EntryID)...)
		return part.DoneMsg{Notice: words.Plural(len(back), "line counts", "lines count") + " again", Changed: true}, err
	})
}
