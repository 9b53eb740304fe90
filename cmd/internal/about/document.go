package about

import (
	"regexp"
	"strings"

	"leadline/cmd/internal/shape"
)

// Document is a text in Markdown that becomes a page of section 7 of the manual.
type Document struct{ Name, Text string }

// Marks of Markdown within a paragraph.
var (
	strong   = regexp.MustCompile("`([^`]+)`|\\*\\*([^*]+)\\*\\*")
	emphasis = regexp.MustCompile(`\*([^*\s][^*]*)\*`)
	link     = regexp.MustCompile(`!?\[([^]]*)\]\([^)]*\)`)
)

// documentPage is a document as a page. Pictures, and the texts that stand for them, are left out.
func documentPage(d Document, v shape.Version) string {
	var m manual
	title, text, _ := strings.Cut(strings.TrimPrefix(d.Text, "# "), "\n")
	m.head(d.Name, "7", title, v)
	m.section("DESCRIPTION")
	var paragraph, code []string
	inCode, hidden := false, false
	end := func() {
		if len(paragraph) > 0 {
			m.line(marked(strings.Join(paragraph, " ")))
		}
		paragraph = nil
	}
	for line := range strings.SplitSeq(text, "\n") {
		switch {
		case strings.HasPrefix(strings.TrimSpace(line), "<") && !inCode:
			hidden = strings.HasPrefix(line, "<details") || hidden && !strings.HasPrefix(line, "</details")
		case hidden:
		case strings.HasPrefix(line, "```"):
			end()
			if inCode = !inCode; !inCode {
				m.code(strings.Join(code, "\n"))
				code = nil
			}
		case inCode:
			code = append(code, "  "+line)
		case strings.HasPrefix(line, "## "):
			m.section(`"` + roff(strings.ToUpper(line[3:])) + `"`)
		case strings.HasPrefix(line, "### "):
			m.line(`.SS "` + roff(line[4:]) + `"`)
		case strings.HasPrefix(line, "- "):
			end()
			m.line(`.IP \(bu 2`)
			paragraph = []string{line[2:]}
		case line == "":
			end()
			m.line(".PP")
		case !strings.HasPrefix(line, "!["):
			paragraph = append(paragraph, strings.TrimSpace(line))
		}
	}
	end()
	m.section("SEE ALSO")
	m.line(`\fBleadline\fP(1), \fBleadline\-guide\fP(7), \fBleadline\-tutorial\fP(7)`)
	return m.String()
}

// marked is a paragraph with its strong words bold and its stressed ones in italics.
func marked(text string) string {
	const bold, italic, plain = "\x01", "\x02", "\x03"
	text = strong.ReplaceAllString(link.ReplaceAllString(text, "$1"), bold+"$1$2"+plain)
	text = roff(emphasis.ReplaceAllString(text, italic+"$1"+plain))
	return strings.NewReplacer(bold, `\fB`, italic, `\fI`, plain, `\fP`).Replace(text)
}
