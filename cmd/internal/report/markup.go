package report

import (
	"fmt"
	"strings"
)

// Markup is how a forum wants its posts.
type Markup string

const (
	BBCode   Markup = "bbcode"
	Markdown Markup = "markdown"
	Text     Markup = "text"
)

func ParseMarkup(text string) (Markup, error) {
	switch m := Markup(text); m {
	case BBCode, Markdown, Text:
		return m, nil
	default:
		return "", fmt.Errorf("unknown format %q", text)
	}
}

// words makes running text safe. BBCode has no escape: its brackets become round ones.
func (m Markup) words(s string) string {
	switch m {
	case BBCode:
		return unbracketed(s)
	case Markdown:
		return escaped(s)
	default:
		return s
	}
}

func (m Markup) title(s string) string {
	s = m.words(s)
	switch m {
	case BBCode:
		return "[b]" + s + "[/b]\n"
	case Markdown:
		return "## " + s + "\n\n"
	default:
		return s + "\n"
	}
}

func (m Markup) paragraph(s string) string {
	if s == "" {
		return ""
	}
	if m == Markdown {
		return m.words(s) + "\n\n"
	}
	return m.words(s) + "\n"
}

// block is a heading and lines that stand as they are.
func (m Markup) block(head string, lines []string) string {
	text := strings.Join(lines, "\n")
	switch m {
	case BBCode:
		return "\n[b]" + m.words(head) + "[/b]\n[code]\n" + unbracketed(text) + "\n[/code]\n"
	case Markdown:
		fence := "```"
		for strings.Contains(text, fence) {
			fence += "`"
		}
		return "**" + m.words(head) + "**\n\n" + fence + "\n" + text + "\n" + fence + "\n\n"
	default:
		return "\n" + head + "\n  " + strings.Join(lines, "\n  ") + "\n"
	}
}

func unbracketed(s string) string { return strings.NewReplacer("[", "(", "]", ")").Replace(s) }

// escaped puts a backslash before every mark that Markdown gives a meaning, and before one that would begin a list or a
// rule; CommonMark allows one before any ASCII punctuation (https://spec.commonmark.org/0.31.2/#backslash-escapes).
func escaped(s string) string {
	const anywhere, first = "\\`*_{}[]<>#|~&!:", "-+="
	digits := len(s) - len(strings.TrimLeft(s, "0123456789"))
	var b strings.Builder
	for i, r := range s {
		switch {
		case strings.ContainsRune(anywhere, r), i == 0 && strings.ContainsRune(first, r), i == digits && i > 0 &&
			(r == '.' || r == ')'):
			b.WriteByte('\\')
		}
		b.WriteRune(r)
	}
	return b.String()
}
