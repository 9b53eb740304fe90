package form

import (
	"strings"

	"leadline/logbook/water"
	"leadline/tui/part"
)

func (f *Form) View() string {
	below := f.answer()
	h := f.H - len(below)
	var rows []string
	if f.intro != "" && (len(below) == 0 || f.H >= 16) {
		rows = part.Hang(f.intro, f.Plain, 2, f.W-2, 4)
	}
	if h >= len(rows)+2*len(f.Fields)+3 {
		rows = append([]string{""}, rows...)
		rows = append(rows, "")
	}
	rows = f.fieldRows(rows, h)
	rows = append(rows, f.cautions(h-len(rows))...)
	rows = rows[:max(0, min(len(rows), h))]
	if len(below) > 0 && len(rows) < h {
		rows = append(rows, "")
	}
	return strings.Join(append(rows, below...), "\n")
}

// fieldRows puts the fields below some rows, of h in all.
func (f *Form) fieldRows(rows []string, h int) []string {
	labelW := 0
	for _, x := range f.Fields {
		labelW = max(labelW, part.Width(x.label))
	}
	top := part.Window(0, f.At, len(f.Fields), max(1, h-len(rows)-min(3, h/3)))
	for i := top; i < len(f.Fields); i++ {
		rows = append(rows, f.row(i, labelW, h-len(rows)-1-(len(f.Fields)-i))...)
	}
	return rows
}

// row is a field behind its label, and in at most so many rows below it what its check says without room beside it.
func (f *Form) row(i, labelW, most int) []string {
	t, x, at := f.Theme, f.Fields[i], i == f.At
	x.Input.Width = max(8, min(44, f.W-labelW-6))
	x.Input.SetCursor(x.Input.Position()) // what is shown of it follows the width
	lead, label := t.Marked(at, part.Pad(x.label, labelW))
	row := lead + label + "  " + fieldView(x, at, t)
	say, style := f.verdict(x, at)
	if say != "" && !at && part.Width(row)+2+part.Width(say) <= f.W {
		row, say = row+"  "+style.Render(say), ""
	}
	rows := []string{part.Cut(row, f.W)}
	switch { // of what is typed now there may be more to say
	case say != "" && at:
		rows = append(rows, part.Hang(say, style, labelW+4, f.W, max(2, min(4, most)))...)
	case say != "":
		rows = append(rows, part.Hang(say, style, labelW+4, f.W, max(1, min(3, most)))...)
	}
	if at && len(x.choices) > 0 {
		choices := part.Cut("choices: "+part.Clean(strings.Join(x.choices, ", ")), f.W-labelW-4)
		rows = append(rows, strings.Repeat(" ", labelW+4)+t.Dim.Render(choices))
	}
	return rows
}

// aDoubt begins what a check says of a text that may be a slip.
const aDoubt = "? "

// verdict is what the check of a field says; of an empty field only where the cursor is, and then no refusal.
func (f *Form) verdict(x *formField, at bool) (string, part.Ink) {
	t, empty := f.Theme, x.Input.Value() == ""
	say, err := f.judge(x)
	switch {
	case err != nil && !empty:
		return "! " + part.RefusalText(err), t.Bad
	case empty && !at:
		return "", t.Dim
	case strings.HasPrefix(say, aDoubt):
		return part.Clean(say), t.Warn
	}
	return part.Clean(say), t.Dim
}

// cautions are what to beware of, each whole, as far as there is room.
func (f *Form) cautions(room int) (rows []string) {
	for _, text := range water.Briefs(f.Cautions()) {
		lines := f.caution(text)
		if len(rows)+len(lines) > room {
			break
		}
		rows = append(rows, lines...)
	}
	return rows
}

func (f *Form) caution(text string) []string {
	return part.Hang("caution: "+part.Clean(text), f.Warn, 2, f.W-2, 3)
}

// answer is what the last press to save led to: a refusal, or a question.
func (f *Form) answer() []string {
	switch {
	case f.Message != "":
		return part.Hang(f.Message, f.Bad, 2, f.W-2, 3)
	case f.Question() != "":
		return append(part.Hang("? "+f.Question(), f.Warn, 2, f.W-2, 4),
			"  "+f.Accent.Render(part.Cut("ctrl+s again saves it as typed", f.W-4)))
	}
	return nil
}

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
