package tui

import (
	"strings"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/tui/part"
)

// testColumns are the widths of a test day's table; 0 leaves a column out.
type testColumns struct{ name, input, unit, last, age, expects int }

func (d *testDay) columns() testColumns {
	c := testColumns{name: 9, input: 9, unit: 4, last: 4, age: 5, expects: 8}
	longest, word := 0, 16
	for _, f := range d.fields {
		c.name = max(c.name, min(16, part.Width(part.Clean(f.Parameter.Name))))
		c.unit = max(c.unit, min(10, part.Width(part.Clean(f.Unit))))
		c.last = max(c.last, part.Width(f.lastText()))
		c.expects = max(c.expects, part.Width(f.ExpectedText()))
		longest = max(longest, part.Width(f.input.Value())+1)
	}
	total := func() int {
		w := 2 + c.name + 1 + c.input
		for _, x := range []int{c.unit, c.last, c.age, c.expects} {
			if x > 0 {
				w += 1 + x
			}
		}
		return w + 2 + word
	}
	for _, drop := range []*int{&c.expects, &c.age, &c.last} {
		if total() <= d.W {
			// A long value is seen whole where there is room.
			c.input += max(0, min(longest+1-c.input, d.W-total()))
			return c
		}
		*drop = 0
	}
	word = 9 // the unit stays: a number without one can be anything
	c.name = max(8, min(c.name, c.name+d.W-total()))
	return c
}

func (d *testDay) View() string {
	switch {
	case len(d.fields) == 0:
		return strings.Join(append([]string{""}, words.Wrap("  This tank measures nothing yet: every parameter with a band "+
			"has its line here. esc, and then b, sets the bands.", d.W, 4)...), "\n")
	}
	c := d.columns()
	below := d.below()
	head := "  " + c.join(d.Plain, part.Pad("parameter", c.name), part.Pad("reading", c.input), "", "last", "age",
		"expected")
	out := []string{part.Beside(d.Head.Render(strings.TrimRight(head, " ")), d.Warn.Render(d.timer.text(d.Now())),
		d.W)}
	rows := max(1, d.H-len(out)-len(below))
	d.top = part.Window(d.top, d.at, len(d.fields)+1, rows)
	for i := d.top; i < min(len(d.fields)+1, d.top+rows); i++ {
		out = append(out, d.row(i, c))
	}
	return strings.Join(append(out, below...), "\n")
}

// join sets the cells of a row into the columns there are. The first two are as wide as theirs already; beside the last
// value stands what is quiet.
func (c testColumns) join(quiet part.Ink, name, input, unit, last, age, expects string) string {
	row := name + " " + input
	add := func(w int, style part.Ink, cell string) {
		if w > 0 {
			row += " " + style.Render(cell)
		}
	}
	add(c.unit, quiet, part.Pad(unit, c.unit))
	add(c.last, part.Ink{}, part.PadLeft(last, c.last))
	add(c.age, quiet, part.PadLeft(age, c.age))
	add(c.expects, quiet, part.Pad(expects, c.expects))
	return row
}

func (d *testDay) row(i int, c testColumns) string {
	if i == len(d.fields) {
		return d.timeRow(c)
	}
	t, f, at := d.Theme, d.fields[i], d.testTime()
	name := part.Pad(part.Clean(f.Parameter.Name), c.name)
	if i != d.at && !f.OnTestDay(at) && f.text() == "" {
		name = t.Dim.Render(name)
	}
	lead, name := t.Marked(i == d.at, name)
	age := ""
	if n := len(f.Readings); n > 0 {
		age = words.Age(f.Readings[n-1].Time, at)
	}
	row := c.join(t.Dim, name, d.input(i, c.input), part.Clean(f.Unit), f.lastText(), age, f.ExpectedText())
	return part.Cut(lead+row+"  "+d.verdict(f), d.W)
}

// timeRow is the row of the time of the test.
func (d *testDay) timeRow(c testColumns) string {
	lead, _ := d.Marked(d.at == len(d.fields), "")
	body := d.when.Value()
	switch {
	case d.at == len(d.fields):
		body = d.when.View()
	case body == "":
		body = d.Dim.Render("now")
	}
	by := d.Dim.Render(words.With("  by ", d.Who))
	return part.Cut(lead+part.Pad("time", c.name)+" "+strings.TrimRight(body, " ")+by, d.W)
}

// input is the value of a field in w cells, at rest or being typed.
func (d *testDay) input(i, w int) string {
	f := d.fields[i]
	f.input.Width = w - 1
	switch {
	case i == d.at && !d.note:
		return part.Pad(f.input.View(), w)
	case f.input.Value() == "":
		return d.Dim.Render(part.Pad("·", w))
	}
	return part.Pad(part.Clean(f.input.Value()), w)
}

// verdict ends a row: what is thought of the value, or while nothing is typed when it is due.
func (d *testDay) verdict(f *testField) string {
	t, at := d.Theme, d.testTime()
	word, style := f.word(t)
	if word == "" {
		word, style = f.DueText(at), t.Dim
		if len(f.Readings) > 0 && f.OnTestDay(at) {
			word, style = "due "+word, t.Plain
		}
	}
	if f.note.Value() != "" {
		word += " +note"
	}
	return style.Render(word)
}

// below is what there is to say about the field being typed: three rows, so that nothing jumps, and more only for what
// has to be answered.
func (d *testDay) below() []string {
	rows := d.aboutTime()
	if d.at < len(d.fields) {
		rows = d.about(d.fields[d.at])
	}
	switch {
	case d.Message != "":
		rows = append(rows, "  "+d.Warn.Render(part.Cut(d.Message, d.W-2)))
	case d.unkept != "":
		rows = append(rows, "  "+d.Bad.Render(part.Cut("the draft could not be kept: "+d.unkept, d.W-2)))
	}
	rows = append(rows, make([]string, max(0, 3-len(rows)))...)
	for i := range rows {
		rows[i] = part.Cut(rows[i], d.W)
	}
	if d.H >= 10 {
		rows = append([]string{""}, rows...)
	}
	return rows
}

func (d *testDay) aboutTime() []string {
	said, err := part.WhenText(entry.When, d.when.Value(), d.now())
	if err != nil {
		return part.Hang("! "+part.RefusalText(err), d.Bad, 2, d.W, 2)
	}
	return part.Hang(said, d.Dim, 2, d.W, 2)
}

// about says of a field what has to be answered; where nothing has, what the field is, and how its value is read.
func (d *testDay) about(f *testField) (rows []string) {
	understood := "  " + d.Dim.Render(d.understood(f))
	why, meant := f.question()
	switch {
	case d.note:
		f.note.Width = max(8, d.W-9)
		return []string{"  note " + strings.TrimRight(f.note.View(), " "), d.Dim.Render("  enter goes back to the value")}
	case f.refused != "":
		return part.Hang("! "+f.refused, d.Bad, 2, d.W, 2)
	case why != "":
		return append(part.Hang("? "+why, d.Warn, 2, d.W, 3), part.Hang(f.ways(meant), d.Accent, 2, d.W-2, 2)...)
	case f.result.UnitNote != "":
		return append([]string{understood}, part.Hang(part.Clean(f.result.UnitNote), d.Warn, 2, d.W, 3)...)
	}
	if rows = part.Hang(d.inShort(f), d.Dim, 2, d.W, 2); len(rows) == 1 && f.read {
		rows = append(rows, understood)
	}
	return rows
}

// inShort is the method, the last reading and what is expected of a field, in a sentence.
func (d *testDay) inShort(f *testField) string {
	var parts []string
	switch n := len(f.methods); {
	case f.Method != "" && f.methods[n-1] == f.Method:
		parts = append(parts, "by "+part.Clean(f.Method)+" (ctrl+o: none)")
	case f.Method != "":
		parts = append(parts, "by "+part.Clean(f.Method)+" (ctrl+o: another)")
	case n > 0:
		parts = append(parts, "no method (ctrl+o: "+part.Clean(f.methods[0])+")")
	}
	if n := len(f.Readings); n > 0 {
		r := f.Readings[n-1]
		parts = append(parts, "last "+words.WithUnit(f.lastText(), f.Unit)+" on "+words.ShortDay(r.Time.In(d.tank.Zone())))
	} else {
		parts = append(parts, "no reading yet")
	}
	if e := f.ExpectedText(); e != "" {
		parts = append(parts, "expected "+e)
	}
	return strings.Join(parts, "; ")
}

// understood is the typed value as it will stand in the book.
func (d *testDay) understood(f *testField) string {
	as := words.Reading(f.Parameter, f.result.Reading)
	if f.result.Repeats != "" {
		as += ", " + f.result.Repeats
	}
	if f.kept == f.text() {
		as += ", kept as typed"
	}
	return as
}
