package form

import (
	"strings"

	"leadline/tui/part"
)

func (f *Form) View() string {
	t := f.env.Theme
	var rows []string
	below := f.answer()
	h := f.H - len(below)
	if f.intro != "" && (len(below) == 0 || f.H >= 16) {
		rows = part.Hang(f.intro, t.Plain, 2, f.W-2, 4)
	}
	labelW := 0
	for _, x := range f.Fields {
		labelW = max(labelW, part.Width(x.label))
	}
	if h >= len(rows)+2*len(f.Fields)+3 {
		rows = append([]string{""}, rows...)
		rows = append(rows, "")
	}
	fieldW := max(8, min(44, f.W-labelW-6))
	top := part.Window(0, f.At, len(f.Fields), max(1, h-len(rows)-min(3, h/3)))
	for i := top; i < len(f.Fields); i++ {
		x := f.Fields[i]
		x.Input.Width = fieldW
		x.Input.SetCursor(x.Input.Position()) // what is shown of it follows the width
		lead := "  "
		label := part.Pad(x.label, labelW)
		if i == f.At {
			lead = t.Accent.Render(t.Signs.Chosen) + " "
			label = t.Accent.Render(label)
		}
		body := fieldView(x, i == f.At, t)
		row := lead + label + "  " + body
		say, err := f.judge(x)
		style := t.Dim
		if say = part.Clean(say); err != nil && x.Input.Value() != "" {
			say, style = "! "+part.Clean(err.Error()), t.Bad
		}
		if i != f.At && x.Input.Value() == "" {
			say = ""
		}
		if say != "" && i != f.At && part.Width(row)+2+part.Width(say) <= f.W {
			row += "  " + style.Render(say)
			say = ""
		}
		rows = append(rows, part.Cut(row, f.W))
		if say != "" { // no room beside it, or what is typed now
			least, most := 1, 3
			if i == f.At {
				least, most = 2, 4
			}
			most = max(least, min(most, h-len(rows)-(len(f.Fields)-i)))
			rows = append(rows, part.Hang(say, style, labelW+4, f.W, most)...)
		}
		if i == f.At && len(x.choices) > 0 {
			choices := part.Cut("choices: "+part.Clean(strings.Join(x.choices, ", ")), f.W-labelW-4)
			rows = append(rows, strings.Repeat(" ", labelW+4)+t.Dim.Render(choices))
		}
	}
	if f.Cautions != nil {
		for _, text := range f.Cautions(f) {
			lines := part.Hang("caution: "+part.Clean(text), t.Warn, 2, f.W-2, 3)
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
func (f *Form) answer() []string {
	t := f.env.Theme
	switch {
	case f.Message != "":
		return part.Hang(f.Message, t.Bad, 2, f.W-2, 3)
	case f.Question() != "":
		return append(part.Hang("? "+f.Question(), t.Warn, 2, f.W-2, 4), "  "+t.Accent.Render(part.Cut("ctrl+s again saves it as typed", f.W-4)))
	}
	return nil
}

// fieldView is a field at rest or being typed in.
func fieldView(x *formField, at bool, t *part.Theme) string {
	text := part.Clean(x.Input.Value())
	switch {
	case at && text == "" && x.hint != "":
		return strings.TrimRight(x.Input.View(), " ") + " " + t.Dim.Render("("+x.hint+")")
	case at:
		return strings.TrimRight(x.Input.View(), " ")
	case text == "" && x.hint != "":
		return t.Dim.Render(x.hint)
	default:
		return part.Cut(text, x.Input.Width)
	}
}
