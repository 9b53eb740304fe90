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
		for _, l := range wrap(f.intro, f.w-4, 4) {
			rows = append(rows, "  "+l)
		}
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
		if i != f.at && say != "" { // no room beside it
			most := max(1, min(3, h-len(rows)-(len(f.fields)-i)))
			for _, l := range wrap(say, f.w-labelW-4, most) {
				rows = append(rows, strings.Repeat(" ", labelW+4)+style.Render(l))
			}
		}
		if i == f.at {
			if say != "" {
				most := max(2, min(4, h-len(rows)-(len(f.fields)-i)))
				for _, l := range wrap(say, f.w-labelW-4, most) {
					rows = append(rows, strings.Repeat(" ", labelW+4)+style.Render(l))
				}
			}
			if n := len(x.choices); n > 0 {
				rows = append(rows, strings.Repeat(" ", labelW+4)+t.Dim.Render(cut("choices: "+clean(strings.Join(x.choices, ", ")), f.w-labelW-4)))
			}
		}
	}
	if f.cautions != nil {
		for _, text := range f.cautions(f) {
			lines := wrap("caution: "+text, f.w-4, 3)
			if len(rows)+len(lines) > h {
				break
			}
			for _, l := range lines {
				rows = append(rows, "  "+t.Warn.Render(clean(l)))
			}
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
	var rows []string
	switch {
	case f.message != "":
		for _, l := range wrap(f.message, f.w-4, 3) {
			rows = append(rows, "  "+t.Bad.Render(l))
		}
	case f.question() != "":
		for _, l := range wrap("? "+f.question(), f.w-4, 4) {
			rows = append(rows, "  "+t.Warn.Render(l))
		}
		rows = append(rows, "  "+t.Accent.Render(cut("ctrl+s again saves it as typed", f.w-4)))
	}
	return rows
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
