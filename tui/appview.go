package tui

import (
	"strings"

	"leadline/alerts/picture"
	"leadline/alerts/words"
)

// View is the frame as the terminal takes it.
func (a *app) View() string {
	if a.env.theme.ASCII {
		return picture.InASCII(a.frame())
	}
	return a.frame()
}

func (a *app) frame() string {
	t := a.env.theme
	if a.w == 0 || a.h == 0 {
		return ""
	}
	if a.w < leastWidth || a.h < leastHeight {
		return fit(strings.Join(words.Wrap("leadline needs 40 columns and 10 rows", a.w, 0), "\n"), a.w, a.h)
	}
	body := fill(a.top().View(), a.w, a.bodyHeight())
	return a.title(t) + "\n" + body + "\n" + a.foot(t)
}

func (a *app) title(t *theme) string {
	left := t.Title.Render("leadline") + t.Dim.Render(" · ") + a.top().about().title
	at := a.env.moment()
	for i := len(a.stack) - 1; i >= 0; i-- {
		if zone := a.stack[i].about().zone; zone != nil {
			at = at.In(zone)
			break
		}
	}
	short := "15:04"
	if here := at.In(a.env.now().Location()); here.Format("-0700") != at.Format("-0700") {
		short = "15:04 MST" // a tank elsewhere: which clock this is must be seen
	}
	right := at.Format("Mon 2 Jan 2006 " + short)
	switch {
	case a.env.demo:
		right = "demo · " + right
	case a.env.asOf != nil:
		right = "as of " + right
	}
	if a.env.behind {
		return clockBehind(t, left, right, a.w)
	}
	if width(left)+width(right)+2 > a.w {
		right = at.Format("2 Jan " + short)
	}
	return beside(left, t.Dim.Render(right), a.w)
}

// clockBehind is the title where the clock stands before the newest entry: what is noted now would lie before it.
func clockBehind(t *theme, left, date string, w int) string {
	says := "the clock is behind the newest entry"
	switch room := w - width(left) - 2; {
	case width(says+" · "+date) <= room:
		return beside(left, t.Warn.Render(says)+t.Dim.Render(" · "+date), w)
	case width(says) > room:
		says = "clock behind"
	}
	return beside(cut(left, w-width(says)-1), t.Warn.Render(says), w)
}

// foot is the help line, or what there is to tell.
func (a *app) foot(t *theme) string {
	switch {
	case a.lost != "":
		return cut(t.Bad.Render("! "+a.lost), a.w)
	case a.failure != "":
		return cut(t.Bad.Render("! "+a.failure), a.w)
	case a.notice != "" && a.w-width(a.notice) < 30:
		return cut(t.Good.Render(a.notice), a.w)
	case a.notice != "": // beside the keys, which may be needed to go on
		return t.Good.Render(a.notice) + "   " + a.keyLine(a.w-width(a.notice)-3)
	}
	return a.keyLine(a.w)
}

// keyLine lists as many keys as there is room for; last, the one for help is always there.
func (a *app) keyLine(w int) string {
	t, own := a.env.theme, a.commands()
	one := func(c command) string { return t.Key.Render(c.shown()) + " " + t.Dim.Render(c.words) }
	tail := one(own[0])
	if a.helping() {
		tail = ""
	}
	var out []string
	used := width(tail)
	for _, c := range footed(append(a.top().commands(), own...)) {
		s := one(c)
		if used += width(s) + 2; used > w {
			break
		}
		out = append(out, s)
	}
	if tail != "" {
		out = append(out, tail)
	}
	return cut(strings.Join(out, "  "), w)
}
