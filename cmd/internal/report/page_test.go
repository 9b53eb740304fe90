package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/alerts/picture"
	"leadline/logbook"
)

func pagesOf(t *testing.T, book *logbook.Book, asOf time.Time, team bool) (pages []Page) {
	t.Helper()
	err := book.View(func(v *logbook.View) error {
		tanks, err := v.Tanks()
		if err != nil {
			return err
		}
		for _, tank := range tanks {
			r, err := alerts.Examine(v, tank.Name, asOf)
			if err != nil {
				return err
			}
			course, err := picture.Course(v, []logbook.Tank{tank}, nil, logbook.Order{}, asOf.AddDate(-1, 0, 0), asOf)
			if err != nil {
				return err
			}
			pages = append(pages, Page{r, course[0], team})
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return pages
}

// written is a page as text, read as strictly as XML is: every element is closed, headings leave out no level, every
// picture has words and a table behind it, and nothing is run or fetched.
func written(t *testing.T, write func(io.Writer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	d := xml.NewDecoder(strings.NewReader(regexp.MustCompile(`(<meta [^>]*)>`).ReplaceAllString(text, "$1/>")))
	count, level := map[string]int{}, 0
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		e, is := token.(xml.StartElement)
		if !is {
			continue
		}
		name := e.Name.Local
		count[name]++
		attr := map[string]string{}
		for _, a := range e.Attr {
			attr[a.Name.Local] = a.Value
		}
		switch {
		case name == "html" && attr["lang"] == "", name == "svg" && (attr["role"] != "img" || attr["aria-label"] == ""):
			t.Errorf("<%s> has %v", name, attr)
		case slices.Contains([]string{"script", "link", "img", "iframe", "object", "form", "image", "use"}, name):
			t.Errorf("there is a <%s>", name)
		case len(name) == 2 && name[0] == 'h' && name[1] >= '1' && name[1] <= '6':
			if next := int(name[1] - '0'); next > level+1 {
				t.Errorf("<%s> below level %d", name, level)
			} else {
				level = next
			}
		}
		for a := range attr {
			if strings.HasPrefix(a, "on") || a == "src" {
				t.Errorf("<%s> has %s", name, a)
			}
		}
	}
	if count["h1"] != 1 || count["title"] != 1 || count["main"] != 1 || count["figure"] != count["details"] ||
		count["svg"] != 2*count["figure"] {
		t.Errorf("the page has %v", count)
	}
	if found := regexp.MustCompile(`https?:|url\(|@import|[\x00-\x08\x0b-\x1f]`).FindString(text); found != "" {
		t.Errorf("the page has %q", found)
	}
	return text
}

func TestPages(t *testing.T) {
	asOf := demoEvening(t)
	book := demoBook(t)
	visitors := written(t, pagesOf(t, book, asOf, false)[0].Write)
	for _, want := range []string{"450 L of water", "nitrate should be 3.0–12.0 mg/L", "as it should be",
		"6 of 7 values are as they should be; the rest is being looked after."} {
		if !strings.Contains(visitors, want) {
			t.Errorf("visitors are not told %q", want)
		}
	}
	for _, not := range []string{"warning", "notice", "alert", "feed or dose", "reagent", "plating colony", "too low"} {
		if strings.Contains(visitors, not) {
			t.Errorf("visitors are told %q", not)
		}
	}
	team := written(t, pagesOf(t, book, asOf, true)[0].Write)
	for _, want := range []string{"3 open alerts", "warning: phosphate 0.021, at floor about", "phosphate media: next",
		"phosphate reagent: 11 tests left", "plating colony"} {
		if !strings.Contains(team, want) {
			t.Errorf("the team is not told %q", want)
		}
	}
	pages := pagesOf(t, book, asOf, false)
	front := written(t, func(w io.Writer) error { return WriteFrontPage(w, pages) })
	for i, file := range PageFiles(pages) {
		if !strings.Contains(front, `<a href="`+file+`">`+pages[i].Report.Tank.Name+"</a>") {
			t.Errorf("the front page does not lead to %s", file)
		}
	}
}

// TestPageOfHostileTexts gives a page names that would break out of it, and what visitors are not shown.
func TestPageOfHostileTexts(t *testing.T) {
	const log = `{"kind":"tank","tank":"<script>alert(1)</script>\"'&\u001b[2J\u202e","about":"<img src=x onerror=y>","since":"</li>"}
{"kind":"tank","tank":"  SCRIPT-alert-1---script"}
{"kind":"reading","time":"2026-03-01T09:00:00Z","tank":"<script>alert(1)</script>\"'&\u001b[2J\u202e","parameter":"nitrate","value":"4","unit":"mg/L","note":"a secret note","who":"<b>somebody"}
{"kind":"event","time":"2026-03-01T09:00:00Z","tank":"<script>alert(1)</script>\"'&\u001b[2J\u202e","tags":["coral"],"text":"</svg><script>a secret event"}
{"kind":"chore_done","time":"2026-03-01T09:00:00Z","tank":"<script>alert(1)</script>\"'&\u001b[2J\u202e","chore":"<i>a secret chore"}
`
	book := bookOf(t, []byte(log))
	asOf := time.Date(2026, 3, 7, 20, 0, 0, 0, time.UTC)
	for _, team := range []bool{false, true} {
		pages := pagesOf(t, book, asOf, team)
		all := written(t, func(w io.Writer) error { return WriteFrontPage(w, pages) })
		for _, p := range pages {
			all += written(t, p.Write)
		}
		if strings.Contains(all, "\u202e") {
			t.Error("a mark turns the text around")
		}
		for _, private := range []string{"a secret event", "a secret chore", "somebody"} {
			if strings.Contains(all, private) != team {
				t.Errorf("for the team %v: is %q said? %v", team, private, !team)
			}
		}
		if strings.Contains(all, "a secret note") {
			t.Error("the note of a reading is told")
		}
		files := PageFiles(pages)
		if slices.Sort(files); len(slices.Compact(slices.Clone(files))) != len(pages) {
			t.Errorf("the files are %s", files)
		}
		for _, file := range files {
			if !regexp.MustCompile(`^tank-[a-z0-9-]*\.html$`).MatchString(file) {
				t.Errorf("a file is named %q", file)
			}
		}
	}
}

// Visitors see a number: it is that number of which the page says how it is, and not a level reckoned from a dose.
func TestPageJudgesWhatItShows(t *testing.T) {
	const log = `{"kind":"tank","tank":"reef","bands":{"nitrate":{"low":3,"high":12,"floor":1,"unit":"mg/L"}}}
{"kind":"reading","time":"2026-03-01T09:00:00Z","tank":"reef","parameter":"nitrate","value":"2","unit":"mg/L"}
{"kind":"reading","time":"2026-03-06T09:00:00Z","tank":"reef","parameter":"nitrate","value":"1","unit":"mg/L"}
{"kind":"dose","time":"2026-03-07T09:00:00Z","tank":"reef","parameter":"nitrate","amount":5,"unit":"mg/L"}
`
	pages := pagesOf(t, bookOf(t, []byte(log)), time.Date(2026, 3, 7, 20, 0, 0, 0, time.UTC), false)
	text := written(t, pages[0].Write)
	for _, want := range []string{"0 of 1 values are as they should be; the rest is being looked after.",
		"a bit low, being looked after; dosed since, not tested"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}
