package report

import (
	"bytes"
	"cmp"
	_ "embed" // of the style
	"fmt"
	"html"
	"io"
	"strconv"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/alerts/words"
)

// Page is what a page shows of a tank: how it stands, and its year.
type Page struct {
	Report alerts.Report
	Charts []picture.Chart // the year of every parameter that is measured
	Team   bool            // for those who look after the tank; visitors see no names, notes and alerts
}

// FrontPage is the name of the file that leads to all others.
const FrontPage = "index.html"

// pageStyle has colours that keep a contrast of 4.5 to 1 and more on their ground (WCAG 2.2, 1.4.3).
//
//go:embed page.css
var pageStyle string

// pageOf is a page that is being written, in HTML whose every element is closed but those that are always empty.
type pageOf struct{ bytes.Buffer }

// add writes text of ours, in which every %s stands for text of others, made safe.
func (b *pageOf) add(format string, texts ...string) {
	safe := words.Of(texts, func(s string) any { return html.EscapeString(words.OneLine(s)) })
	fmt.Fprintf(b, format+"\n", safe...)
}

func (b *pageOf) begin(title, headline string) {
	b.WriteString("<!DOCTYPE html>\n")
	b.add(`<html lang="en"><head><meta charset="utf-8"><title>%s</title>`, title)
	b.add(`<meta name="viewport" content="width=device-width, initial-scale=1">`)
	b.WriteString("<style>" + strings.TrimSpace(pageStyle) + "</style></head><body>\n")
	b.add(`<main><h1>%s</h1><p class="headline">%s</p>`, title, headline)
}

func (b *pageOf) end(r alerts.Report, w io.Writer) error {
	b.add(`</main><footer><p>As of %s. From the tank’s logbook, kept with leadline.</p></footer></body></html>`,
		words.Moment(r.AsOf))
	_, err := b.WriteTo(w)
	return err
}

// list writes a heading and what stands under it; nothing where there is nothing.
func (b *pageOf) list(head string, items []string) {
	if len(items) == 0 {
		return
	}
	b.add("<h2>%s</h2><ul>", head)
	for _, item := range items {
		b.add("<li>%s</li>", item)
	}
	b.add("</ul>")
}

// table writes rows under a head; the first cell of each names it.
func (b *pageOf) table(name string, rows [][]string) {
	b.add(`<section class="wide" tabindex="0" aria-label="%s"><table><thead><tr>`, name)
	for _, cell := range rows[0] {
		b.add(`<th scope="col">%s</th>`, cell)
	}
	b.add("</tr></thead><tbody>")
	for _, row := range rows[1:] {
		b.add(`<tr><th scope="row">%s</th>`, row[0])
		for _, cell := range row[1:] {
			b.add("<td>%s</td>", cell)
		}
		b.add("</tr>")
	}
	b.add("</tbody></table></section>")
}

// Write writes the page of a tank. It stands alone: pictures and style are in it, and nothing runs or is fetched.
func (p Page) Write(w io.Writer) error {
	var b pageOf
	r := p.Report
	b.begin(r.Tank.Name, p.headline())
	b.add(`<nav><a href="%s">All tanks</a></nav>`, FrontPage)
	if p.Team {
		b.list("What to do", p.openAlerts())
	}
	b.list("The tank", p.kept())
	if len(r.Findings) > 0 {
		b.add("<h2>Latest tests</h2>")
		b.table("Latest tests", p.latest())
	}
	if len(p.Charts) > 0 {
		if err := p.year(&b); err != nil {
			return err
		}
	}
	if p.Team {
		b.list("Chores", words.Of(r.Chores, func(c alerts.Chore) string {
			return c.Name + ": " + cmp.Or(words.With("next ", c.DueText(r.AsOf)), c.Text(r.AsOf))
		}))
		b.list("Stocks", words.Of(r.Stocks, func(s alerts.Stock) string { return s.Name + ": " + s.Text(r.AsOf) }))
	}
	return b.end(r, w)
}

// headline is what a page says first: to the team, how much needs them; to visitors, how many values are as they should
// be.
func (p Page) headline() string {
	if p.Team {
		if n := len(p.openAlerts()); n > 0 {
			return words.Plural(n, "open alert", "open alerts")
		}
		return "Nothing needs you now."
	}
	good, told := 0, 0
	for _, l := range p.Report.Findings {
		switch l.Tested() {
		case alerts.BandInside, alerts.BandNearLow, alerts.BandNearHigh:
			good, told = good+1, told+1
		case alerts.BandBelow, alerts.BandAbove:
			told++
		}
	}
	switch {
	case len(p.Charts) == 0:
		return "Nothing has been measured yet."
	case told == 0:
		return "The water is tested regularly."
	case good == told:
		return "All values that were tested are as they should be."
	}
	return fmt.Sprintf("%d of %d values are as they should be; the rest is being looked after.", good, told)
}

func (p Page) openAlerts() []string {
	return words.Of(alerts.OnlyOpen(p.Report.Joined(), p.Report.AsOf), func(a alerts.Alert) string {
		return a.Severity.String() + ": " + a.Headline
	})
}

// kept is what is kept in the tank, and where its values should lie.
func (p Page) kept() (lines []string) {
	t := p.Report.Tank
	if t.About != "" {
		lines = append(lines, t.About)
	}
	if t.VolumeL > 0 {
		lines = append(lines, words.Litres(t.VolumeL)+" of water")
	}
	if t.Since != "" {
		lines = append(lines, "since "+t.Since)
	}
	for _, l := range p.Report.Findings {
		if l.Band.Set() {
			lines = append(lines, l.Parameter.Name+" should be "+words.WithUnit(l.BandText(), words.Unit(l.Parameter)))
		}
	}
	return lines
}

// latest is the newest reading of every parameter, for visitors in plain words.
func (p Page) latest() [][]string {
	asOf := p.Report.AsOf
	rows := [][]string{{"parameter", "latest", "tested", "how it is"}}
	if p.Team {
		rows[0] = []string{"parameter", "latest", "tested", "band", "level (80 %)", "next test"}
	}
	for _, l := range p.Report.Findings {
		value, when, by := "none yet", "", ""
		if n := len(l.Readings); n > 0 {
			last := l.Readings[n-1]
			value, when, by = words.Shown(l.Parameter, last), words.Ago(last.Time, asOf), words.NotedBy(last)
		}
		state := map[alerts.BandState]string{
			alerts.BandInside: "as it should be", alerts.BandNearLow: "as it should be, on the low side",
			alerts.BandNearHigh: "as it should be, on the high side", alerts.BandBelow: "a bit low, being looked after",
			alerts.BandAbove: "a bit high, being looked after"}[l.Tested()]
		if l.DosedSince() > 0 {
			state = strings.TrimPrefix(state+"; dosed since, not tested", "; ")
		}
		row := []string{l.Parameter.Name, value, when, state}
		if p.Team {
			row = []string{l.Parameter.Name, value, when + by, l.BandWords(), l.LevelRange(), l.DueText(asOf)}
		}
		rows = append(rows, row)
	}
	return rows
}

// year draws the year, light and dark, and has its numbers in a table behind it.
func (p Page) year(b *pageOf) error {
	const months = 12
	from, to := p.Charts[0].From, p.Charts[0].Now
	span := words.Day(from) + " to " + words.Day(to)
	b.add(`<h2>The year</h2><figure><section class="wide" tabindex="0" aria-label="The year">`)
	for _, shade := range []string{"light", "dark"} {
		var drawn bytes.Buffer
		opt := PictureOptions{SVG: true, Dark: shade == "dark", Private: !p.Team, Summed: true}
		if err := Picture(&drawn, opt, p.Charts); err != nil {
			return err
		}
		_, tag, _ := strings.Cut(drawn.String(), "<svg ")
		_, rest, _ := strings.Cut(tag, ">")
		_, box, _ := strings.Cut(tag, `viewBox="`)
		box, _, _ = strings.Cut(box, `"`)
		b.add(`<svg class="%s" role="img" aria-label="All parameters, %s; the table below has the numbers" viewBox="%s">`,
			shade, span, box)
		b.WriteString(rest)
	}
	b.add(`</section><figcaption>%s</figcaption></figure>`, span)
	head := []string{"parameter", "tests", "in sum"}
	for i := range months {
		head = append(head, "to "+words.ShortDay(to.Add(-to.Sub(from)/months*time.Duration(months-1-i))))
	}
	rows := [][]string{head}
	for _, c := range p.Charts {
		l := c.Finding
		row := []string{nameOf(c), strconv.Itoa(c.Sum().N), c.Sum().Text(l.Parameter)}
		for _, r := range picture.Latest(c.Seen(), to, to.Sub(from).Hours()/24, months) {
			cell := "–"
			if r != nil {
				cell = words.Value(l.Parameter, *r)
			}
			row = append(row, cell)
		}
		rows = append(rows, row)
	}
	b.add("<details><summary>The year in numbers: the last test of each twelfth of it</summary>")
	b.table("The year in numbers", rows)
	b.add("</details>")
	return nil
}

// PageFiles are the names of the files of some pages: letters and digits of the tanks' names, and no two the same.
func PageFiles(pages []Page) []string {
	taken := map[string]bool{}
	return words.Of(pages, func(p Page) string {
		name := "tank-" + strings.Trim(strings.Map(func(r rune) rune {
			if strings.ContainsRune("abcdefghijklmnopqrstuvwxyz0123456789", r) {
				return r
			}
			return '-'
		}, strings.ToLower(p.Report.Tank.Name)), "-")
		file := name
		for n := 2; taken[file]; n++ {
			file = name + "-" + strconv.Itoa(n)
		}
		taken[file] = true
		return file + ".html"
	})
}

// WriteFrontPage writes the page that leads to the others, at least one.
func WriteFrontPage(w io.Writer, pages []Page) error {
	var b pageOf
	b.begin("The tanks", words.Plural(len(pages), "tank", "tanks"))
	files := PageFiles(pages)
	for i, p := range pages {
		b.add(`<h2><a href="%s">%s</a></h2><p>%s</p>`, files[i], p.Report.Tank.Name, p.headline())
	}
	return b.end(pages[0].Report, w)
}
