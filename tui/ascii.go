package tui

import (
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// InASCII writes a text for a terminal that takes nothing else: every sign of ours gets a sign as wide, so that columns
// and pictures keep their places. Whatever others wrote beyond ASCII becomes question marks, as many as it is wide: sent as
// it is, such a terminal would show several wrong characters for each.
func InASCII(text string) string {
	text = ownSigns().Replace(text)
	if isASCII(text) {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if r < 0x80 {
			b.WriteRune(r)
		} else {
			b.WriteString(strings.Repeat("?", ansi.StringWidth(string(r))))
		}
	}
	return b.String()
}

func isASCII(text string) bool {
	return strings.IndexFunc(text, func(r rune) bool { return r >= 0x80 }) < 0
}

// ownSigns are the characters beyond ASCII in our words, charts and tables. The signs of the screens have theirs in the
// theme as well; these are for what is drawn elsewhere and shown here.
func ownSigns() *strings.Replacer {
	return strings.NewReplacer(
		"–", "-", "—", "-", "−", "-", "…", "~", "·", "-", "°", "o", "µ", "u", "μ", "u", "×", "x", "±", "~", "≈", "~", "≤", "<", "≥", ">",
		"↑", "^", "↓", "v", "←", "<", "→", "-", "↗", "/", "↘", "\\", "³", "3", "²", "2",
		"●", "o", "▽", "v", "△", "^", "◂", "<", "▸", ">", "⊥", "_",
		"─", "-", "━", "=", "═", "=", "┄", ".", "╌", "-", "░", ":", "│", "|", "┃", "|",
		"├", "[", "┤", "]", "└", "+", "┴", "+", "┬", "+", "┼", "+", "╭", ".", "╮", ".", "╰", "'", "╯", "'",
		"▁", "_", "▂", ".", "▃", "-", "▄", "~", "▅", "=", "▆", "+", "▇", "*", "█", "#",
	)
}
