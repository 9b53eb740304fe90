package tui

import (
	"strings"

	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/tui/part"
)

// View is the frame as the terminal takes it.
func (a *app) View() string {
	if a.env.Theme.ASCII {
		return picture.InASCII(a.frame())
	}
	return a.frame()
}

func (a *app) frame() string {
	t := a.env.Theme
	if a.w == 0 || a.h == 0 {
		return ""
	}
	if a.w < leastWidth || a.h < leastHeight {
		return part.Fit(strings.Join(words.Wrap("leadline needs 40 columns and 10 rows", a.w, 0), "\n"), a.w, a.h)
	}
	body := part.Fill(part.Shown(a.top()), a.w, a.bodyHeight())
	return a.title(t) + "\n" + body + "\n" + a.foot(t)
}

// apart reports whether the others' server is out of reach.
func (a *app) apart() bool { return a.env.Apart != nil && a.env.Apart() }

func (a *app) title(t *part.Theme) string {
	left := t.Title.Render("leadline") + t.Dim.Render(" · ") + a.top().About().Title
	at := a.env.Moment()
	for i := len(a.stack) - 1; i >= 0; i-- {
		if zone := a.stack[i].About().Zone; zone != nil {
			at = at.In(zone)
			break
		}
	}
	short := "15:04"
	if here := at.In(a.env.Now().Location()); here.Format("-0700") != at.Format("-0700") {
		short = "15:04 MST" // a tank elsewhere: which clock this is must be seen
	}
	right := at.Format("2 Jan 2006 " + short)
	if a.w >= roomy {
		right = at.Format("Mon ") + right
	}
	switch {
	case a.env.Demo:
		right = "demo · " + right
	case a.env.AsOf != nil:
		right = "as of " + right
	case a.apart():
		right = "server out of reach · " + right
	}
	if a.env.Behind {
		return clockBehind(t, left, right, a.w)
	}
	if part.Width(left)+part.Width(right)+2 > a.w {
		if right = at.Format("2 Jan " + short); a.apart() {
			right = "out of reach"
		}
	}
	return part.Beside(left, t.Dim.Render(right), a.w)
}

// clockBehind is the title where the clock stands before the newest entry: what is noted now would lie before it.
func clockBehind(t *part.Theme, left, date string, w int) string {
	says := "the clock is behind the newest entry"
	switch room := w - part.Width(left) - 2; {
	case part.Width(says+" · "+date) <= room:
		return part.Beside(left, t.Warn.Render(says)+t.Dim.Render(" · "+date), w)
	case part.Width(says) > room:
		says = "clock behind"
	}
	return part.Beside(part.Cut(left, w-part.Width(says)-1), t.Warn.Render(says), w)
}

func (a *app) foot(t *part.Theme) string {
	switch {
	case a.lost != "":
		return part.Cut(t.Bad.Render("! "+a.lost), a.w)
	case a.failure != "":
		return part.Cut(t.Bad.Render("! "+a.failure), a.w)
	case a.notice != "" && a.w-part.Width(a.notice) < 30:
		return part.Cut(t.Good.Render(a.notice), a.w)
	case a.notice != "": // beside the keys, which may be needed to go on
		return t.Good.Render(a.notice) + "   " + a.keyLine(a.w-part.Width(a.notice)-3)
	}
	return a.keyLine(a.w)
}

// keyLine lists as many keys as there is room for; last, the one for help is always there.
func (a *app) keyLine(w int) string {
	t, own := a.env.Theme, a.commands()
	one := func(c part.Command) string { return t.Key.Render(c.Shown()) + " " + t.Dim.Render(c.Words) }
	tail := one(own[0])
	if a.helping() {
		tail = ""
	}
	var out []string
	used := part.Width(tail)
	for _, c := range part.Footed(append(a.top().Commands(), own...)) {
		s := one(c)
		calm := len(a.stack) == 1 && a.w < roomy && len(out) == calmKeys // the first screen: the rest is left to the help
		if used += part.Width(s) + 2; used > w || calm {
			break
		}
		out = append(out, s)
	}
	if tail != "" {
		out = append(out, tail)
	}
	return part.Cut(strings.Join(out, "  "), w)
}
