package tui

import (
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// wind starts the timer, or makes it one step longer; after the longest it stops.
func (d *testDay) wind() {
	now := d.env.Now()
	left := d.timer.Sub(now)
	for _, m := range []time.Duration{1, 3, 5, 10} {
		if left < m*time.Minute-5*time.Second {
			d.timer = now.Add(m * time.Minute)
			d.Message = fmt.Sprintf("the bell rings in %d min; ctrl+r makes it longer, behind 10 min it stops", m)
			return
		}
	}
	d.timer = time.Time{}
	d.Message = "the timer is stopped"
}

// ring rings the terminal's bell when the timer has run down.
func (d *testDay) ring() tea.Cmd {
	if d.timer.IsZero() || d.env.Now().Before(d.timer) {
		return nil
	}
	d.timer = time.Time{}
	d.Message = "time is up"
	out := d.env.Bell
	return func() tea.Msg {
		if out != nil {
			_, _ = out.Write([]byte{7})
		}
		return nil
	}
}

func (d *testDay) timerText() string {
	if d.timer.IsZero() {
		return ""
	}
	left := d.timer.Sub(d.env.Now()).Round(time.Second)
	return d.env.Theme.Warn.Render(fmt.Sprintf("timer %d:%02d", int(left.Minutes()), int(left.Seconds())%60))
}
