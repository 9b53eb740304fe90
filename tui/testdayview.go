package tui

import (
	"strings"

	"leadline/alerts/words"
	"leadline/tui/part"
)

// testColumns are the widths of a test day's table; 0 leaves a column out.
type testColumns struct{ name, input, unit, last, age, expects int }

func (d *testDay) columns() testColumns {
	c := testColumns{name: 9, input: 9, unit: 4, last: 4, age: 5, expects: 8}
	for _, f := range d.fields {
		c.name = max(c.name, min(16, part.Width(part.Clean(f.Parameter.Name))))
		c.unit = max(c.unit, min(10, part.Width(part.Clean(f.Unit))))
		c.last = max(c.last, part.Width(f.lastText()))
		c.expects = max(c.expects, part.Width(f.ExpectedText()))
	}
	longest := 0
	for _, f := range d.fields {
		longest = max(longest, part.Width(f.input.Value())+1)
	}
	word := 16
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
	t := d.env.Theme
	switch {
	case !d.Loaded:
		return d.Reading(t)
	case len(d.fields) == 0:
		return strings.Join(append([]string{""}, words.Wrap("  This tank measures nothing yet: every parameter with a band has its line here. esc, and then b, sets the bands.", d.W, 4)...), "\n")
	}
	c := d.columns()
	below := d.below()
	out := []string{d.head(c)}
	rows := max(1, d.H-len(out)-len(below))
	d.top = part.Window(d.top, d.at, len(d.fields)+1, rows)
	for i := d.top; i < min(len(d.fields)+1, d.top+rows); i++ {
		out = append(out, d.row(i, c))
	}
	return strings.Join(append(out, below...), "\n")
}

func (d *testDay) head(c testColumns) string {
	t := d.env.Theme
	cells := []string{" ", part.Pad("parameter", c.name), part.Pad("reading", c.input)}
	add := func(w int, head string, right bool) {
		switch {
		case w == 0:
		case right:
			cells = append(cells, part.PadLeft(head, w))
		default:
			cells = append(cells, part.Pad(head, w))
		}
	}
	add(c.unit, "", false)
	add(c.last, "last", true)
	add(c.age, "age", true)
	add(c.expects, "expected", false)
	return part.Beside(t.Head.Render(strings.TrimRight(strings.Join(cells, " "), " ")), t.Warn.Render(d.timer.text(d.env.Now())), d.W)
}

func (d *testDay) row(i int, c testColumns) string {
	t := d.env.Theme
	lead := " "
	if i == d.at {
		lead = t.Accent.Render(t.Signs.Chosen)
	}
	if i == len(d.fields) {
		label := part.Pad("time", c.name)
		body := d.when.View()
		if d.at != i {
			body = d.when.Value()
			if body == "" {
				body = t.Dim.Render("now")
			}
		}
		return part.Cut(lead+" "+label+" "+strings.TrimRight(body, " "), d.W)
	}
	f := d.fields[i]
	name := part.Pad(part.Clean(f.Parameter.Name), c.name)
	if i == d.at {
		name = t.Accent.Render(name)
	} else if !f.OnTestDay(d.testTime()) && f.text() == "" {
		name = t.Dim.Render(name)
	}
	f.input.Width = c.input - 1
	body := part.Pad(part.Clean(f.input.Value()), c.input)
	switch {
	case i == d.at && !d.note:
		body = part.Pad(f.input.View(), c.input)
	case f.input.Value() == "":
		body = t.Dim.Render(part.Pad("·", c.input))
	}
	cells := []string{lead, name, body}
	if c.unit > 0 {
		cells = append(cells, t.Dim.Render(part.Pad(part.Clean(f.Unit), c.unit)))
	}
	if c.last > 0 {
		cells = append(cells, part.PadLeft(f.lastText(), c.last))
	}
	if c.age > 0 {
		age := ""
		if n := len(f.Readings); n > 0 {
			age = words.Age(f.Readings[n-1].Time, d.testTime())
		}
		cells = append(cells, t.Dim.Render(part.PadLeft(age, c.age)))
	}
	if c.expects > 0 {
		cells = append(cells, t.Dim.Render(part.Pad(f.ExpectedText(), c.expects)))
	}
	word, style := f.word(t)
	if word == "" {
		word, style = f.DueText(d.testTime()), t.Dim
		if len(f.Readings) > 0 && f.OnTestDay(d.testTime()) {
			word, style = "due "+word, t.Plain
		}
	}
	if f.note.Value() != "" {
		word += " +note"
	}
	return part.Cut(strings.Join(cells, " ")+"  "+style.Render(word), d.W)
}

// below is what there is to say about the field being typed: three rows, so that nothing jumps, and more only for what
// has to be answered.
func (d *testDay) below() []string {
	t := d.env.Theme
	var rows []string
	say := func(s string) { rows = append(rows, s) }
	if d.at < len(d.fields) {
		f := d.fields[d.at]
		why, meant := f.question()
		switch {
		case d.note:
			f.note.Width = max(8, d.W-9)
			say("  note " + strings.TrimRight(f.note.View(), " "))
			say(t.Dim.Render("  enter goes back to the value"))
		case f.refused != "":
			rows = part.Hang("! "+f.refused, t.Bad, 2, d.W, 2)
		case why != "":
			rows = part.Hang("? "+why, t.Warn, 2, d.W, 3)
			ways := "enter twice keeps it as typed"
			if f.asked == f.text() {
				ways = "enter or ctrl+s keeps it as typed"
			}
			if meant != "" {
				ways = insteadKey + " takes " + meant + "; " + ways
			}
			rows = append(rows, part.Hang(ways, t.Accent, 2, d.W-2, 2)...)
		case f.result.UnitNote != "":
			say("  " + t.Dim.Render(d.understood(f)))
			rows = append(rows, part.Hang(part.Clean(f.result.UnitNote), t.Warn, 2, d.W, 3)...)
		default:
			rows = part.Hang(d.inShort(f), t.Dim, 2, d.W, 2)
		}
		if len(rows) == 1 && f.read && !d.note && f.result.UnitNote == "" {
			say("  " + t.Dim.Render(d.understood(f)))
		}
	} else {
		said, err := part.WhenText(d.when.Value(), d.now())
		style := t.Dim
		if err != nil {
			said, style = "! "+part.Clean(err.Error()), t.Bad
		}
		rows = part.Hang(said, style, 2, d.W, 2)
	}
	switch {
	case d.Message != "":
		say("  " + t.Warn.Render(part.Cut(d.Message, d.W-2)))
	case d.unkept != "":
		say("  " + t.Bad.Render(part.Cut("the draft could not be kept: "+d.unkept, d.W-2)))
	}
	for len(rows) < 3 {
		rows = append(rows, "")
	}
	for i := range rows {
		rows[i] = part.Cut(rows[i], d.W)
	}
	if d.H >= 10 {
		rows = append([]string{""}, rows...)
	}
	return rows
}

// inShort is the method, the last reading and what is expected of a field, in a sentence.
func (d *testDay) inShort(f *testField) string {
	parts := []string{}
	if f.Method != "" {
		m := "by " + part.Clean(f.Method)
		if f.methods[len(f.methods)-1] == f.Method {
			m += " (ctrl+o: none)"
		} else {
			m += " (ctrl+o: another)"
		}
		parts = append(parts, m)
	} else if len(f.methods) > 0 {
		parts = append(parts, "no method (ctrl+o: "+part.Clean(f.methods[0])+")")
	}
	if n := len(f.Readings); n > 0 {
		r := f.Readings[n-1]
		parts = append(parts, "last "+words.Typed(r)+" on "+words.ShortDay(r.Time.In(d.tank.Zone())))
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
