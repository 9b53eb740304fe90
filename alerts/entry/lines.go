package entry

import (
	"cmp"
	"errors"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Lines is how lines such as "alk 7.9  po4 8ppb  no3<2  @09:30" are read, as they stand in a note on a phone.
type Lines struct {
	File       string // for messages
	Tanks      []logbook.Tank
	Parameters []logbook.Parameter
	Tank       logbook.Tank // of lines that name none; without a name: each has to name one
	At         timeOf       // of lines that name none
	Now        time.Time

	refusals logbook.Refusals
}

// LineHint shows how a line is written.
const LineHint = "write alk 7.9 po4 8ppb no3<2 @09:30"

// timeOf is a moment as it was typed, in the zone of a tank.
type timeOf func(logbook.Tank) (time.Time, error)

// Line is what was read from one line: readings of one tank at one moment.
type Line struct {
	Number int // 1 is the first
	Tank   logbook.Tank
	At     time.Time
	Note   string // behind a #
	Tests  []Typed
	at     timeOf
}

// Typed is a reading as it was typed.
type Typed struct {
	Parameter logbook.Parameter
	Text      string // "<0.02", or "33 ppb P"
	Column    int    // of the character it begins with, 1 is the first
}

// word is a word of a line.
type word struct {
	text   string
	column int
}

// Read reads all lines. A tank, at the beginning and with a colon behind it where it may be, and a time behind an @
// hold for the readings of their line; on a line of their own, for the lines below. What was refused are
// logbook.Refusals.
func (l *Lines) Read(text string) (lines []Line, err error) {
	for i, row := range strings.Split(strings.TrimPrefix(text, "\ufeff"), "\n") {
		line := Line{Number: i + 1, Tank: l.Tank, at: l.At}
		row, line.Note, _ = strings.Cut(row, "#")
		line.Note = strings.TrimSpace(line.Note)
		refused := len(l.refusals)
		l.readLine(&line, wordsOf(row))
		switch {
		case len(l.refusals) > refused:
		case len(line.Tests) == 0:
			l.Tank, l.At = line.Tank, line.at
		case line.Tank.Name == "":
			l.Refuse(line.Number, line.Tests[0].Column, line.Tests[0].Parameter.Name,
				refuse("write "+l.Tanks[0].Name+": before it, or pass --tank NAME", "of which tank?"))
		default:
			if line.At, err = line.at(line.Tank); err != nil {
				l.refuse(line.Number, line.Tests[0].Column, "", err)
			}
			lines = append(lines, line)
		}
	}
	return lines, l.Refused()
}

// Refuse notes why something at a place was refused.
func (l *Lines) Refuse(line, column int, value string, r logbook.Refusal) {
	r.File, r.Line, r.Column, r.Field, r.Value = l.File, line, column, "", value
	l.refusals = append(l.refusals, r)
}

func (l *Lines) refuse(line, column int, value string, err error) {
	var r logbook.Refusal
	if !errors.As(err, &r) {
		r.Reason = err.Error()
	}
	l.Refuse(line, column, value, r)
}

// Refused is everything that was refused; nil where nothing was.
func (l *Lines) Refused() error {
	if len(l.refusals) == 0 {
		return nil
	}
	slices.SortStableFunc(l.refusals, func(a, b logbook.Refusal) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return l.refusals
}

// wordsOf parts a line at its blanks. A mark before the first word makes a list of lines, and one behind a word parts
// readings.
func wordsOf(row string) (out []word) {
	column := 0
	for row != "" {
		n := strings.IndexFunc(row, unicode.IsSpace)
		if n < 0 {
			n = len(row)
		}
		text := strings.TrimRight(row[:n], ",;")
		if len(out) == 0 {
			text = strings.TrimLeft(text, "-*•–")
		}
		if text != "" {
			out = append(out, word{text, column + 1})
		}
		_, size := utf8.DecodeRuneInString(row[n:])
		column += utf8.RuneCountInString(row[:n+size])
		row = row[n+size:]
	}
	return out
}

// joined is several words as one text.
func joined(ws []word) string {
	return strings.Join(words.Of(ws, func(w word) string { return w.text }), " ")
}

func (l *Lines) readLine(line *Line, ws []word) {
	for len(ws) > 0 {
		n := 0
		if len(line.Tests) == 0 {
			n = l.takeTank(line, ws)
		}
		p, text, size := l.test(ws)
		switch {
		case n > 0:
		case ws[0].text[0] == '@':
			n = l.takeTime(line, ws)
		case size == 0:
			l.refuseWord(line, ws[0])
			n = l.valueEnd(ws, 1)
		default:
			n = l.valueEnd(ws, size)
			line.Tests = append(line.Tests, Typed{p, strings.TrimSpace(text + " " + joined(ws[size:n])), ws[0].column})
		}
		ws = ws[n:]
	}
}

func (l *Lines) refuseWord(line *Line, w word) {
	name := strings.TrimRight(w.text, ":=")
	r := logbook.Refusal{Reason: "\"" + logbook.Clean(w.text) +
		"\" is neither a parameter with its value, nor a tank, nor a time with @ before it"}
	r.Hint = LineHint
	if _, known := logbook.FindParameter(l.Parameters, name); known {
		r.Reason = name + " has no value"
	} else {
		known := words.Of(l.Tanks, func(t logbook.Tank) string { return t.Name })
		for _, p := range l.Parameters {
			known = append(known, p.Name, p.Code)
		}
		r.Hint = logbook.DidYouMean(name, known, LineHint)
	}
	l.Refuse(line.Number, w.column, w.text, r)
}

// longestName is of how many words the name of a tank may be.
const longestName = 8

// takeTank takes the tank that a line begins with, and gives how many words its name has.
func (l *Lines) takeTank(line *Line, ws []word) int {
	for n := min(longestName, len(ws)); n > 0; n-- {
		name, colon := strings.CutSuffix(joined(ws[:n]), ":")
		tank, found := logbook.FindTank(l.Tanks, name)
		if _, parameter := logbook.FindParameter(l.Parameters, name); found && (colon || !parameter) {
			line.Tank = tank
			return n
		}
	}
	return 0
}

// longestTime is of how many words a time behind an @ may be: "26 oct 2026 9 pm".
const longestTime = 5

// takeTime takes the time that begins with an @, as long as it can be, and gives how many words it has.
func (l *Lines) takeTime(line *Line, ws []word) int {
	for n := min(longestTime, len(ws)); n > 0; n-- {
		text := strings.TrimSpace(joined(ws[:n])[1:])
		if _, _, err := moment(text, l.Now, false); err != nil && n > 1 {
			continue
		}
		line.at = func(t logbook.Tank) (time.Time, error) { return When(text, l.Now.In(t.Zone())) }
		_, err := line.at(line.Tank)
		if err == nil && text == "" {
			err = logbook.Refusal{Reason: "no time stands behind the @"}
		}
		if err != nil {
			l.refuse(line.Number, ws[0].column, text, err)
		}
		return n
	}
	return 1
}

// valueEnd is the first word from n on that is no part of the value before it.
func (l *Lines) valueEnd(ws []word, n int) int {
	for ; n < len(ws); n++ {
		if _, _, size := l.test(ws[n:]); size > 0 || ws[n].text[0] == '@' {
			break
		}
	}
	return n
}

// test is the parameter that words begin with, and what of its value stands in the last of its words; size 0 if it is
// none. A parameter without a number behind it is none: in "no3 5 ppm NO3" the second belongs to the unit.
func (l *Lines) test(ws []word) (p logbook.Parameter, text string, size int) {
	for n := min(3, len(ws)); n > 0; n-- {
		last, text := ws[n-1].text, ""
		if i := strings.IndexAny(last, "=:<>≤≥"); i >= 0 {
			last, text = last[:i], strings.TrimLeft(last[i:], "=:")
		}
		p, known := logbook.FindParameter(l.Parameters, joined(append(slices.Clone(ws[:n-1]), word{text: last})))
		if !known {
			continue
		}
		if text != "" || n < len(ws) && strings.ContainsRune("<>=≤≥~+-.,0123456789", []rune(ws[n].text)[0]) {
			return p, text, n
		}
	}
	return p, "", 0
}
