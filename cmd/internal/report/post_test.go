package report

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode"

	"github.com/charmbracelet/x/ansi"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

var markups = []Markup{BBCode, Markdown, Text}

// TestPostOfDemo: numbers that the demo's story fixes, in every markup, and every part of the sheet in a code block as
// it is. The README shows the whole.
func TestPostOfDemo(t *testing.T) {
	s := sheetOf(t, demoBook(t), "forereef", demoEvening(t))
	for _, m := range markups {
		post := s.Post(PostOptions{Markup: m})
		for _, want := range []string{"450 L of water", "since 2021", "photometer-p", "steps of 1 ppb P", "3.0–12.0",
			"soda ash",
			"alkalinity: the tank takes", "new kind of media", "plating colony 2"} {
			if !strings.Contains(post, want) {
				t.Errorf("%s does not tell %q", m, want)
			}
		}
		for _, part := range [][]string{s.latest(), s.weeks(), s.methods(), s.seen(), s.dosing(), s.done(false)} {
			open, shut := "[code]\n", "\n[/code]"
			if m == Markdown {
				open, shut = "```\n", "\n```"
			}
			if m != Text && !strings.Contains(post, open+strings.Join(part, "\n")+shut) {
				t.Errorf("%s: not in a code block as it is: %q", m, part)
			}
		}
	}
}

// TestPostInReadme holds the guide to what the program says.
func TestPostInReadme(t *testing.T) {
	const path, begins, ends = "../../leadline/GUIDE.md", "```text\n", "```\n"
	page, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, found := strings.Cut(string(page), begins)
	shown, after, ended := strings.Cut(rest, ends)
	if !found || !ended {
		t.Fatal("the guide shows no post")
	}
	post := sheetOf(t, demoBook(t), "forereef", demoEvening(t)).Post(PostOptions{Markup: Text})
	if *update {
		if err := os.WriteFile(path, []byte(before+begins+post+ends+after), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if shown != post {
		t.Error("the post in the guide is not the program's (-update rewrites it)")
	}
}

// TestPostsAreWellFormed parses the posts of an ordinary and of a hostile tank.
func TestPostsAreWellFormed(t *testing.T) {
	hostile := bookOf(t, hostileLog(t))
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	for name, s := range map[string]Sheet{"demo": sheetOf(t, demoBook(t), "lagoon", demoEvening(t)),
		"hostile": sheetOf(t, hostile, hostileTank, asOf)} {
		for _, private := range []bool{false, true} {
			if err := checkBBCode(s.Post(PostOptions{Markup: BBCode, Private: private})); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if err := checkMarkdown(s.Post(PostOptions{Markup: Markdown, Private: private})); err != nil {
				t.Errorf("%s: %v", name, err)
			}
			for _, m := range markups {
				post := s.Post(PostOptions{Markup: m, Private: private})
				for _, r := range post {
					if unicode.IsControl(r) && r != '\n' || r == '\u202e' {
						t.Errorf("%s: %s holds %U", name, m, r)
					}
				}
				if n := strings.Count(post, "\n"); n > 100 {
					t.Errorf("%s: %s is %d lines long", name, m, n)
				}
			}
		}
	}
}

// TestCheckers shows that the checkers of this test refuse what they are there to refuse.
func TestCheckers(t *testing.T) {
	for _, bad := range []string{"[b]x", "x[/b]", "[b]x[/i]", "[url=a]x[/url]", "[b][code]\nx[/b]\n[/code]",
		"[code]\n[b]\n[/code]", "a [ b"} {
		if checkBBCode(bad) == nil {
			t.Errorf("BBCode %q passes", bad)
		}
	}
	for _, bad := range []string{"```\nx", "# other\n", "a *b* c", "<b>", "1. x", "- x", "[x](y)", "```\nx\n```\n```\n"} {
		if checkMarkdown("## t\n\n"+bad) == nil {
			t.Errorf("Markdown %q passes", bad)
		}
	}
}

// checkBBCode accepts exactly: the tags b and code, properly nested, nothing inside code, and no other square bracket.
func checkBBCode(s string) error {
	var open []string
	for s != "" {
		i := strings.IndexAny(s, "[]")
		if i < 0 {
			break
		}
		s = s[i:]
		tag, rest, ok := strings.Cut(s, "]")
		if s[0] == ']' || !ok {
			return fmt.Errorf("a lone bracket before %.40q", s)
		}
		s = rest
		name, closing := strings.CutPrefix(strings.TrimPrefix(tag, "["), "/")
		top := ""
		if len(open) > 0 {
			top = open[len(open)-1]
		}
		switch {
		case name != "b" && name != "code":
			return fmt.Errorf("tag %q", tag)
		case closing && top != name:
			return fmt.Errorf("%q closes %q", tag, top)
		case closing:
			open = open[:len(open)-1]
		case top == "code":
			return fmt.Errorf("%q inside code", tag)
		default:
			open = append(open, name)
		}
	}
	if len(open) > 0 {
		return fmt.Errorf("%v left open", open)
	}
	return nil
}

// checkMarkdown accepts exactly: one heading at the beginning, bold headings that fill a line, fenced code blocks that
// close, and paragraphs in which every mark is escaped (CommonMark 0.31.2).
func checkMarkdown(s string) error {
	marks := regexp.MustCompile("(^|[^\\\\])[`*_{}\\[\\]<>#|~]|^[-+=]|^[0-9]+[.)]|^    ")
	fence := ""
	for i, line := range strings.Split(s, "\n") {
		switch {
		case fence != "" && line == fence:
			fence = ""
		case fence != "" && strings.HasPrefix(line, fence):
			return fmt.Errorf("line %d would close the block: %q", i+1, line)
		case fence != "":
		case strings.HasPrefix(line, "```"):
			if strings.Trim(line, "`") != "" {
				return fmt.Errorf("line %d: fence %q", i+1, line)
			}
			fence = line
		case i == 0:
			head, ok := strings.CutPrefix(line, "## ")
			if !ok || marks.MatchString(strings.ReplaceAll(head, `\\`, "")) {
				return fmt.Errorf("heading %q", line)
			}
		default:
			text := line
			if inner, ok := strings.CutPrefix(line, "**"); ok {
				text = strings.TrimSuffix(inner, "**")
			}
			if marks.MatchString(strings.ReplaceAll(text, `\\`, "")) {
				return fmt.Errorf("line %d: %q", i+1, line)
			}
		}
	}
	if fence != "" {
		return fmt.Errorf("a block is left open")
	}
	return nil
}

// TestMarkdownReadsBack parses Markdown posts by another's parser: what comes out is the words that went in, a heading,
// bold headings and code blocks, and nothing else.
func TestMarkdownReadsBack(t *testing.T) {
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	for _, s := range []Sheet{sheetOf(t, demoBook(t), "forereef", demoEvening(t)),
		sheetOf(t, bookOf(t, hostileLog(t)), hostileTank, asOf)} {
		post := s.Post(PostOptions{Markup: Markdown})
		var words, title, blocks strings.Builder
		source := []byte(post)
		parser := goldmark.New(goldmark.WithExtensions(extension.GFM)).Parser()
		_ = ast.Walk(parser.Parse(text.NewReader(source)), func(n ast.Node, entering bool) (ast.WalkStatus, error) {
			if !entering {
				return ast.WalkContinue, nil
			}
			switch n := n.(type) {
			case *ast.Document, *ast.Paragraph, *ast.Emphasis, *ast.Heading:
			case *ast.Text:
				to := &words
				if n.Parent().Kind() == ast.KindHeading {
					to = &title
				}
				to.Write(util.UnescapePunctuations(n.Segment.Value(source)))
				if n.SoftLineBreak() {
					to.WriteByte('\n')
				}
			case *ast.FencedCodeBlock:
				blocks.Write(n.Lines().Value(source))
			default:
				t.Errorf("the post holds a %v", n.Kind())
			}
			return ast.WalkContinue, nil
		})
		if got := title.String(); got != s.title(false) {
			t.Errorf("title %q, want %q", got, s.title(false))
		}
		if !strings.HasPrefix(words.String(), s.about()) {
			t.Errorf("words %q, want %q first", words.String(), s.about())
		}
		for _, part := range [][]string{s.latest(), s.weeks(), s.methods(), s.seen(), s.dosing(), s.done(false)} {
			if !strings.Contains(blocks.String(), strings.Join(part, "\n")) {
				t.Errorf("not in a code block as it is: %q", part)
			}
		}
	}
}

func TestPostPrivate(t *testing.T) {
	s := sheetOf(t, bookOf(t, hostileLog(t)), hostileTank, time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC))
	for _, m := range markups {
		open, private := s.Post(PostOptions{Markup: m}), s.Post(PostOptions{Markup: m, Private: true})
		for _, secret := range []string{"reef", "secret event", "secret chore"} {
			if strings.Contains(private, secret) {
				t.Errorf("the private post (%s) tells %q", m, secret)
			}
			if !strings.Contains(open, secret) {
				t.Errorf("the open post (%s) does not tell %q", m, secret)
			}
		}
		if strings.Contains(open, "secret note") {
			t.Errorf("%s holds a reading's note", m)
		}
		if !strings.Contains(private, "event: coral") {
			t.Errorf("the private post (%s) does not say that there was an event", m)
		}
	}
}

// TestPostIsShort: however much was done, and however many parameters there are, a post stays short enough to paste.
func TestPostIsShort(t *testing.T) {
	log := strings.Builder{}
	asOf := time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC)
	log.WriteString(`{"kind":"tank","tank":"reef","about":"` + strings.Repeat("long ", 30) + `"}` + "\n")
	for i := range 30 {
		fmt.Fprintf(&log, `{"kind":"parameter","parameter":"parameter number %d","code":"p%d","unit":"mg/L","digits":2}`+"\n",
			i, i)
		for d := range 10 {
			at := asOf.AddDate(0, 0, -d*5).Add(-time.Hour).Format(time.RFC3339)
			fmt.Fprintf(&log,
				`{"kind":"reading","time":"%s","tank":"reef","parameter":"parameter number %d","value":"%d.25","unit":"mg/L","method":"m%d"}`+"\n", at, i, 5+d%3, i)
			fmt.Fprintf(&log, `{"kind":"event","time":"%s","tank":"reef","text":"event %d of %d %s"}`+"\n", at, d, i,
				strings.Repeat("and more ", 20))
			fmt.Fprintf(&log,
				`{"kind":"dosing","time":"%s","tank":"reef","parameter":"parameter number %d","per_day":0.1,"unit":"mg/L","supplement":"s%d"}`+"\n", at, i, d)
		}
	}
	s := sheetOf(t, bookOf(t, []byte(log.String())), "reef", asOf)
	post := s.Post(PostOptions{Markup: BBCode})
	if n := strings.Count(post, "\n"); n > 100 {
		t.Errorf("%d lines", n)
	}
	if len(post) > 12000 {
		t.Errorf("%d bytes", len(post))
	}
	if !regexp.MustCompile(`… and \d+ more`).MatchString(post) {
		t.Error("does not say that something was left out")
	}
	inCode := false
	for _, line := range strings.Split(post, "\n") {
		switch line {
		case "[code]":
			inCode = true
		case "[/code]":
			inCode = false
		}
		if w := ansi.StringWidth(line); inCode && w > 110 {
			t.Errorf("%d columns: %s", w, line)
		}
	}
}

func TestPostOfEmptyTank(t *testing.T) {
	s := sheetOf(t, bookOf(t, []byte(`{"kind":"tank","tank":"new"}`+"\n")), "new",
		time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC))
	if got := s.Post(PostOptions{Markup: Text}); got != "new, 7 Mar 2026\n" {
		t.Errorf("got %q", got)
	}
}
