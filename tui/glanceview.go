package tui

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
	"leadline/trend"
	"leadline/tui/part"
)

func (g *glance) View() string {
	switch {
	case len(g.reports) == 0:
		return strings.Join(append([]string{"", "  This book has no tank yet."},
			words.Wrap("  Press n to set one up: a name is enough.", g.W, 2)...), "\n")
	}
	rows := g.attention(max(1, g.H/3))
	if g.H >= comingHeight && !g.pending() {
		rows = append(rows, g.coming()...)
	}
	out := append(append(rows, ""), g.tables(g.H-len(rows)-1)...)
	g.shift(0, len(rows)+1, 0)
	legend := strings.Join(words.Of(picture.RulerMarks(), picture.Mark.Text), "  ")
	if left := g.H - len(out); left >= 2 && g.W >= roomy && part.Width(legend) <= g.W {
		out = append(out, strings.Split(strings.Repeat("\n", left-2), "\n")...)
		out = append(out, g.Dim.Render(legend))
	}
	return strings.Join(out, "\n")
}

// attention says what needs the keeper, as far as it is known, in at most budget rows.
func (g *glance) attention(budget int) []string {
	row := g.looking()
	if row == "" {
		return g.wants(budget)
	}
	return append(g.wants(budget-1), row)
}

// looking says that there is something of which nothing is known: yet, or because it could not be examined; else "".
func (g *glance) looking() string {
	if !g.pending() {
		return ""
	}
	switch examined, lines := g.examined(); {
	case g.left > 0:
		return g.Dim.Render(part.Cut(fmt.Sprintf("  looking %s %d of %s examined", part.SignMore, examined,
			words.Plural(lines, "line", "lines")), g.W))
	case examined < lines:
		return g.Bad.Render(part.Cut(fmt.Sprintf("! %d of %s could not be examined", lines-examined,
			words.Plural(lines, "line", "lines")), g.W))
	default:
		return g.Bad.Render(part.Cut("! chores and stock could not be examined", g.W))
	}
}

// wants is what is known to need the keeper, a headline each.
func (g *glance) wants(budget int) []string {
	rows := g.unfinished()
	asOf := map[string]time.Time{}
	var seen, names []string // of urgent alerts, which keep their names
	for _, r := range g.reports {
		asOf[r.Tank.Name] = r.AsOf
		tank := ""
		if len(g.reports) > 1 {
			tank = r.Tank.Name
		}
		for _, a := range r.Alerts {
			if a.Severity == alerts.Urgent && !a.Open(r.AsOf) {
				seen = append(seen, strings.TrimPrefix(tank+": ", ": ")+a.Headline+" ("+a.Answer(r.AsOf)+")")
				names = append(names, strings.TrimSpace(tank+" "+cmp.Or(a.Parameter, a.Subject)))
			}
		}
	}
	switch n := len(seen); {
	case n > 1:
		seen = []string{fmt.Sprintf("%d urgent alerts seen or snoozed: %s", n, strings.Join(names, ", "))}
		fallthrough
	case n > 0:
		rows = append(rows, words.Hang(g.Warn.Render(part.SignSeen+" "), "  ", part.Clean(seen[0]), g.W, 3)...)
	}
	open := alerts.Joined(g.open(), asOf)
	switch {
	case len(open) == 0 && g.pending(), len(open) == 0 && len(seen) > 0:
		return rows
	case len(open) == 0:
		return append(rows, g.quiet(len(rows) > 0)...)
	}
	untold := 0
	for i, a := range open {
		room := budget - len(rows)
		_, first := asOf[a.Tank]
		if room <= 1 && len(open)-i > 1 && len(rows) > 0 {
			untold += len(open) - i
			break
		}
		if i >= calmHeadlines && !first && a.Severity < alerts.Warning && g.W < roomy {
			untold++
			continue
		}
		text := part.Clean(a.Headline)
		if len(g.reports) > 1 {
			text = part.Clean(a.Tank) + ": " + text
		}
		rows = append(rows, words.Hang(g.Severity(a.Severity).Render(part.SignAlert)+" ", "  ", text, g.W,
			max(1, min(2, room)))...)
		delete(asOf, a.Tank)
	}
	if untold > 0 {
		rows = append(rows, g.Dim.Render(part.Cut(fmt.Sprintf("  %d more: press a", untold), g.W)))
	}
	return rows
}

// unfinished are the test days that are half typed, and the tanks without a band.
func (g *glance) unfinished() (rows []string) {
	var bandless []string
	for _, r := range g.reports {
		if d, ok := g.drafts[r.Tank.Name]; ok {
			rows = append(rows, part.Cut(g.Warn.Render("t ")+fmt.Sprintf("test day of %s half typed (%s): t goes on",
				part.Clean(r.Tank.Name), d.Started.In(r.Tank.Zone()).Format("2 Jan 15:04")), g.W))
		}
		if len(r.Tank.Bands) == 0 && len(r.Findings) > 0 {
			bandless = append(bandless, part.Clean(r.Tank.Name))
		}
	}
	if len(bandless) > 0 {
		text := "no bands, so nothing is watched: press b today"
		if len(g.reports) > 1 {
			text = strings.Join(bandless, ", ") + ": no bands, so nothing is watched: press b today"
		}
		rows = append(rows, part.Cut(g.Warn.Render("b ")+text, g.W))
	}
	return rows
}

const (
	comingHeight = 16 // rows, under which nothing is said of what comes
	comingDays   = 14 // how far it looks ahead
	comingMost   = 4  // things that it names, on a narrow screen half of them

	// On a screen narrower than roomy few words are told: so many headlines before the mild ones are only counted, so many
	// keys, and what the signs mean is left to the help.
	roomy         = 100
	calmHeadlines = 2
	calmKeys      = 2
)

// coming is what is due today and soon, and what runs out, in one row; what an alert tells already is left out.
func (g *glance) coming() []string {
	type dated struct {
		alerts.Due
		tank string
	}
	var all []dated
	for _, r := range g.reports {
		tested := false
		for _, d := range r.Dues() {
			told := slices.ContainsFunc(r.Alerts, func(a alerts.Alert) bool {
				return a.Subject == d.Subject || d.Kind == "test" && a.Rule == alerts.RuleOverdue
			})
			if told || d.Kind == "test" && tested || d.Day.Sub(r.AsOf) > comingDays*24*time.Hour {
				continue
			}
			tested = tested || d.Kind == "test"
			all = append(all, dated{d, part.Clean(r.Tank.Name)})
		}
	}
	slices.SortStableFunc(all, func(a, b dated) int { return a.Day.Compare(b.Day) })
	var says []string
	day, tank := "", ""
	most := comingMost
	if g.W < roomy {
		most /= 2
	}
	for _, d := range all[:min(len(all), most)] {
		on := words.ShortDay(d.Day)
		if words.Midnights(g.Moment(), d.Day, d.Day.Location()) <= 0 {
			on = "today"
		}
		what := d.Short
		if len(g.reports) > 1 && (on != day || d.tank != tank) {
			what = d.tank + " " + what
		}
		tank = d.tank
		if on == day {
			says[len(says)-1] += ", " + what
			continue
		}
		day = on
		says = append(says, on+": "+what)
	}
	if len(says) == 0 {
		return nil
	}
	return []string{g.Dim.Render(part.Cut("  next "+strings.Join(says, "; "), g.W))}
}

// quiet is said when no alert is open; it never claims more than is known. more: something else stands above.
func (g *glance) quiet(more bool) []string {
	unknown, lines, untested := 0, 0, 0
	var next alerts.Finding
	for _, r := range g.reports {
		for _, l := range r.Findings {
			lines++
			if len(l.Readings) == 0 {
				untested++
				continue
			}
			if l.BandState == alerts.BandUnknown || l.Heading() == trend.Unknown {
				unknown++
			}
			if !l.Due.IsZero() && (next.Due.IsZero() || l.Due.Before(next.Due)) {
				next = l
			}
		}
	}
	if lines == untested {
		return part.Hang("No readings yet: press t to enter the first test day.", g.Plain, 2, g.W, 2)
	}
	text := "Nothing asks for you now."
	if more {
		text = "Nothing else asks for you now."
	}
	if untested > 0 {
		text += " " + words.Plural(untested, "parameter was", "parameters were") + " never tested."
	}
	if unknown > 0 {
		text += " Too few readings to tell where " + words.Plural(unknown, "parameter is", "parameters are") + " heading."
	}
	if !next.Due.IsZero() && g.H < comingHeight {
		text += fmt.Sprintf(" Next test: %s of %s, %s.", next.Parameter.Name, part.Clean(next.Tank.Name),
			words.Weekday(next.Due.In(next.Tank.Zone())))
	}
	return part.Hang(text, g.Plain, 2, g.W, 2)
}

// sideWidth is what a tank needs to stand beside another.
const sideWidth = 76

// tables draws the tanks: side by side when wide, one below another when they fit, else one at a time under tabs.
func (g *glance) tables(room int) []string {
	n := len(g.reports)
	g.spots = nil
	if n == 1 {
		return g.table(0, g.W, room, false)
	}
	tallest, stacked := 0, 0
	for _, r := range g.reports {
		tallest, stacked = max(tallest, len(r.Findings)+2), stacked+len(r.Findings)+3
	}
	if abreast := min(n, (g.W+3)/(sideWidth+3)); abreast > 1 && tallest+1 <= room {
		first := g.tank / abreast * abreast
		w := (g.W - 3*(abreast-1)) / abreast
		var blocks [][]string
		for i := first; i < min(n, first+abreast); i++ {
			since := len(g.spots)
			blocks = append(blocks, g.table(i, w, room, true))
			g.shift(since, 0, (i-first)*(w+3))
		}
		return part.SideBySide(blocks, w, 3)
	}
	if stacked-1 <= room {
		var out []string
		for i := range g.reports {
			if i > 0 {
				out = append(out, "")
			}
			since := len(g.spots)
			block := g.table(i, g.W, room, true)
			g.shift(since, len(out), 0)
			out = append(out, block...)
		}
		return out
	}
	block := g.table(g.tank, g.W, room-1, false)
	g.shift(0, 1, 0)
	var tabs []string // each with the number of its open alerts as they are listed, or that it needs nothing
	for i, r := range g.reports {
		tabs = append(tabs, g.tankTitle(r, i == g.tank))
	}
	return append([]string{part.Cut(strings.Join(tabs, g.Dim.Render("  ")), g.W)}, block...)
}

func (g *glance) tankTitle(r alerts.Report, chosen bool) string {
	name := part.Clean(r.Tank.Name)
	open := len(alerts.OnlyOpen(r.Joined(), r.AsOf))
	count := ""
	switch {
	case open > 0:
		count = g.Warn.Render(fmt.Sprintf(" %s%d", part.SignAlert, open))
	case !g.pending() && len(r.Findings) > 0 && len(g.open()) > 0: // beside a tank that needs something
		count = g.Dim.Render(" needs nothing")
	}
	if chosen {
		return g.Title.Render("["+name+"]") + count
	}
	return " " + name + count
}

// table is one tank: its name where asked, the heads, one row per parameter.
func (g *glance) table(tank, w, room int, named bool) []string {
	r := g.reports[tank]
	var out []string
	if named {
		out = append(out, g.tankTitle(r, tank == g.tank))
	}
	if len(r.Findings) == 0 {
		return append(out, g.Dim.Render(part.Cut("  no readings yet: t enters a test day, b sets a band", w)))
	}
	measured := []alerts.Report{r}
	if w == g.W {
		measured = g.reports // one below another: the columns stand in line
	}
	columns := columnsOf(measured, w, g.Theme)
	var head strings.Builder
	head.WriteString("  ")
	for _, c := range columns {
		head.WriteString(" " + c.fit(c.head))
	}
	body := max(1, room-len(out)-1)
	out = append(out, g.Head.Render(part.Cut(strings.TrimRight(head.String(), " "), w)))
	top := 0
	if tank == g.tank {
		g.room, g.top = body, part.Window(g.top, g.line, len(r.Findings), body)
		top = g.top
	}
	for i := top; i < min(len(r.Findings), top+body); i++ {
		g.spots = append(g.spots, spot{len(out), 0, w, tank, i})
		out = append(out, g.row(r, i, columns, g.settled && tank == g.tank && i == g.line, w))
	}
	return out
}

func (g *glance) row(r alerts.Report, i int, columns []column, chosen bool, w int) string {
	l := r.Findings[i]
	lead := " "
	if chosen {
		lead = g.Accent.Render(part.SignChosen)
	}
	var row strings.Builder
	row.WriteString(lead + mark(l, r.AsOf, g.Theme))
	for _, c := range columns {
		cell := c.cell(l, c.w)
		if c.head == "parameter" && chosen {
			cell = g.Accent.Render(cell)
		}
		row.WriteString(" " + c.fit(cell))
	}
	return part.Cut(strings.TrimRight(row.String(), " "), w)
}

// mark is the sign of the gravest alert of a line: one that is open, or one that was answered. A test that is overdue
// has a column of its own.
func mark(l alerts.Finding, asOf time.Time, t *part.Theme) string {
	a, ok := l.Gravest()
	if !ok {
		return " "
	}
	if a.Open(asOf) {
		return t.Severity(a.Severity).Render(part.SignAlert)
	}
	return t.Dim.Render(part.SignSeen)
}

func (g *glance) Click(row, column int) {
	for _, s := range g.spots {
		if s.row == row && s.from <= column && column < s.to {
			g.tank, g.line, g.settled, g.touched = s.tank, s.line, true, true
		}
	}
}

// shift moves the spots noted since some earlier moment.
func (g *glance) shift(since, rows, columns int) {
	for i := since; i < len(g.spots); i++ {
		s := &g.spots[i]
		s.row, s.from, s.to = s.row+rows, s.from+columns, s.to+columns
	}
}
