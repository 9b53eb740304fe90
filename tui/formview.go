package tui

import (
	"strings"
)

func (f *form) View() string {
	t := f.env.theme
	var rows []string
	below := f.answer()
	h := f.h - len(below)
	if f.intro != "" && (len(below) == 0 || f.h >= 16) {
		rows = hang(f.intro, t.Plain, 2, f.w-2, 4)
	}
	labelW := 0
	for _, x := range f.fields {
		labelW = max(labelW, width(x.label))
	}
	if h >= len(rows)+2*len(f.fields)+3 {
		rows = append([]string{""}, rows...)
		rows = append(rows, "")
	}
	fieldW := max(8, min(44, f.w-labelW-6))
	top := window(0, f.at, len(f.fields), max(1, h-len(rows)-min(3, h/3)))
	for i := top; i < len(f.fields); i++ {
		x := f.fields[i]
		x.input.Width = fieldW
		x.input.SetCursor(x.input.Position()) // what is shown of it follows the width
		lead := "  "
		label := pad(x.label, labelW)
		if i == f.at {
			lead = t.Accent.Render(t.Signs.Chosen) + " "
			label = t.Accent.Render(label)
		}
		body := fieldView(x, i == f.at, t)
		row := lead + label + "  " + body
		say, err := f.judge(x)
		style := t.Dim
		if say = clean(say); err != nil && x.input.Value() != "" {
			say, style = "! "+clean(err.Error()), t.Bad
		}
		if i != f.at && x.input.Value() == "" {
			say = ""
		}
		if say != "" && i != f.at && width(row)+2+width(say) <= f.w {
			row += "  " + style.Render(say)
			say = ""
		}
		rows = append(rows, cut(row, f.w))
		if say != "" { // no room beside it, or what is typed now
			least, most := 1, 3
			if i == f.at {
				least, most = 2, 4
			}
			most = max(least, min(most, h-len(rows)-(len(f.fields)-i)))
			rows = append(rows, hang(say, style, labelW+4, f.w, most)...)
		}
		if i == f.at && len(x.choices) > 0 {
			choices := cut("choices: "+clean(strings.Join(x.choices, ", ")), f.w-labelW-4)
			rows = append(rows, strings.Repeat(" ", labelW+4)+t.Dim.Render(choices))
		}
	}
	if f.cautions != nil {
		for _, text := range f.cautions(f) {
			lines := hang("caution: "+clean(text), t.Warn, 2, f.w-2, 3)
			if len(rows)+len(lines) > h {
				break
			}
			rows = append(rows, lines...)
		}
	}
	rows = rows[:max(0, min(len(rows), h))]
	if len(below) > 0 && len(rows) < h {
		rows = append(rows, "")
	}
	return strings.Join(append(rows, below...), "\n")
}

// answer is what the last press to save led to: a refusal, or a question.
func (f *form) answer() []string {
	t := f.env.theme
	switch {
	case f.message != "":
		return hang(f.message, t.Bad, 2, f.w-2, 3)
	case f.question() != "":
		return append(hang("? "+f.question(), t.Warn, 2, f.w-2, 4), "  "+t.Accent.Render(cut("ctrl+s again saves it as typed", f.w-4)))
	}
	return nil
}

// fieldView is a field at rest or being typed in.
func fieldView(x *formField, at bool, t *theme) string {
	text := clean(x.input.Value())
	switch {
	case at && text == "" && x.hint != "":
		return strings.TrimRight(x.input.View(), " ") + " " + t.Dim.Render("("+x.hint+")")
	case at:
		return strings.TrimRight(x.input.View(), " ")
	case text == "" && x.hint != "":
		return t.Dim.Render(x.hint)
	default:
		return cut(text, x.input.Width)
	}
}
