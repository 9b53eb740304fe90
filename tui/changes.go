package tui

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
	"leadline/tui/part"
)

// changes answers "what changed?" around a date: every parameter before and after, and everything that was done.
type changes struct {
	ofTank
	part.List
	around time.Time
	weeks  int // of each side
	found  alerts.Changed
	rows   []record
	date   dateLine
}

func newChanges(e *part.Env, t logbook.Tank, around time.Time) *changes {
	return &changes{ofTank: newOfTank(e, t), around: around, weeks: 4, date: dateLine{find: part.NewField(e, 20)}}
}

// whatChanged wants what changed around the day four weeks ago.
func whatChanged(t logbook.Tank) part.Want {
	return func(e *part.Env) part.Screen { return newChanges(e, t, e.Moment().AddDate(0, 0, -28)) }
}

func (c *changes) Init() tea.Cmd {
	tank, around, days := c.tank.Name, c.around, float64(7*c.weeks)
	return part.AskAnew(&c.Page, func(v *logbook.View) (alerts.Changed, error) {
		return alerts.WhatChanged(v, tank, around, days)
	}, c.fill)
}

func (c *changes) fill(found alerts.Changed) tea.Cmd {
	c.Loaded, c.found = true, found
	c.rows = words.Of(found.Done, func(e logbook.Entry) record { return newRecord(e, found.Known, true) })
	newestFirst(c.rows)
	c.Clamp(len(c.rows))
	return nil
}

func (c *changes) Commands() []part.Command {
	if c.date.typing {
		return c.date.commands("what changed?", &c.Page, c.now(), c.goTo)
	}
	sides := func(weeks int) func() tea.Cmd {
		return func() tea.Cmd {
			c.weeks = max(2, min(weeks, 52))
			return c.Init()
		}
	}
	return slices.Concat(
		part.Under("what changed?",
			part.On("h left", "a week earlier", func() tea.Cmd { return c.move(-7) }).Foot(1),
			part.On("l right", "a week later", func() tea.Cmd { return c.move(7) }).Foot(2),
			part.On("-", "wider", sides(c.weeks*2)).Foot(3),
			part.On("+ =", "closer", sides(c.weeks/2)).Foot(4),
			part.On("/", "pick a date", part.Just(c.date.ask)).Foot(5),
			part.On("enter", "around this line", func() tea.Cmd {
				return c.goTo(c.rows[c.At].entry.When())
			}).Foot(6).When(c.At < len(c.rows))),
		c.Moves("what changed?", len(c.rows), 7))
}

func (c *changes) move(days int) tea.Cmd {
	to := c.around.AddDate(0, 0, days)
	if to.After(c.Moment()) {
		return part.Notice("that lies ahead of now")
	}
	return c.goTo(to)
}

func (c *changes) goTo(at time.Time) tea.Cmd {
	c.around = at
	return c.Init()
}

func (c *changes) Typed(msg tea.KeyMsg) tea.Cmd { return c.date.typed(msg) }

func (c *changes) About() part.About {
	return part.About{Title: part.Clean(c.tank.Name) + " · what changed?", Zone: c.tank.Zone(), Typing: c.date.typing,
		Place: part.Place{Screen: part.OnChanges, Tank: c.tank.Name}}
}

func (c *changes) View() string {
	head := fmt.Sprintf("  %s, %d weeks before and after", c.around.In(c.tank.Zone()).Format("Mon 2 Jan 2006"), c.weeks)
	out := []string{c.Title.Render(part.Cut(head, c.W))}
	switch {
	case c.Message != "":
		out = append(out, "  "+c.Bad.Render(part.Cut("! "+c.Message, c.W-2)))
	case c.date.typing:
		out = append(out, "  around which date? "+strings.TrimRight(c.date.find.View(), " "))
	}
	for _, b := range c.found.Breaks[:min(len(c.found.Breaks), max(1, c.H/10))] {
		out = append(out, part.Hang(part.Clean(b.Text(c.found.Known)), c.Warn, 2, c.W, 2)...)
	}
	shifts := c.table()
	if most := max(2, (c.H-len(out))*3/5); len(shifts) > most {
		shifts = shifts[:most]
	}
	out = append(out, shifts...)
	if c.H >= 18 {
		out = append(out, "", c.Head.Render("  done and seen in that time"))
	}
	room := max(1, c.H-len(out))
	if len(c.rows) == 0 {
		return strings.Join(append(out, c.Dim.Render("  nothing was written down")), "\n")
	}
	return strings.Join(append(out, drawRecords(&c.List, c.rows, len(out), room, c.W, c.tank.Zone(), c.Theme)...), "\n")
}

type dateLine struct {
	find   textinput.Model
	typing bool
}

func (d *dateLine) ask() {
	d.typing = true
	d.find.SetValue("")
	part.FocusField(&d.find)
}

func (d *dateLine) typed(msg tea.KeyMsg) tea.Cmd {
	part.EditField(&d.find, msg)
	return nil
}

func (d *dateLine) commands(group string, p *part.Page, now time.Time, goTo func(time.Time) tea.Cmd) []part.Command {
	return part.Under(group,
		part.On("enter", "accept", func() tea.Cmd {
			at, err := entry.When(d.find.Value(), now)
			if err != nil {
				p.Message = part.RefusalText(err)
				return nil
			}
			d.typing = false
			return goTo(at)
		}).Foot(1),
		part.On("esc", "leave it", part.Just(func() { d.typing = false })).Foot(2))
}

type shiftRow struct {
	name, before, after, shift, word string
	style                            part.Ink
}

// shifts are the rows of the table, the head first.
func (c *changes) shifts(wide bool) []shiftRow {
	rows := []shiftRow{{"parameter", "before", "after", "shift", "", c.Plain}}
	if wide {
		rows[0].shift = "shift (80 % range)"
	}
	for _, x := range c.found.Parameters {
		p, k := x.Parameter, x.Comparison
		side := func(v float64, n int) string {
			if n == 0 {
				return "none"
			}
			return fmt.Sprintf("%s (%d)", words.Number(p, v), n)
		}
		name := strings.TrimSpace(part.Pad(part.Clean(p.Name), 11) + " " + words.Unit(p))
		word, style := shiftWord(k, c.Theme)
		rows = append(rows, shiftRow{name, side(x.Before, k.NBefore), side(x.After, k.NAfter), x.ShiftShort(wide), word,
			style})
	}
	return rows
}

// table sets the medians of both sides beside each other.
func (c *changes) table() []string {
	t, wide := c.Theme, c.W >= 70
	rows := c.shifts(wide)
	// A column is as wide as what stands in it: a number that is cut is another number.
	beforeW, afterW, shiftW, wordW := 9, 9, 7, 0
	if wide {
		shiftW = 25
	}
	for _, r := range rows {
		beforeW, afterW = max(beforeW, part.Width(r.before)), max(afterW, part.Width(r.after))
		shiftW, wordW = max(shiftW, part.Width(r.shift)), max(wordW, part.Width(r.word))
	}
	short := !wide || 2+16+1+beforeW+1+afterW+1+shiftW+1+wordW > c.W
	var out []string
	for i, r := range rows {
		if short && r.word == "no clear change" {
			r.word = "not clear"
		}
		row := "  " + part.Pad(r.name, 16) + " "
		if wide {
			row += part.PadLeft(r.before, beforeW) + " " + part.PadLeft(r.after, afterW) + " " + part.Pad(r.shift, shiftW)
		} else {
			row += part.PadLeft(r.shift, shiftW)
		}
		if row = strings.TrimRight(row+" "+r.style.Render(r.word), " "); i == 0 {
			row = t.Head.Render(row)
		}
		out = append(out, part.Cut(row, c.W))
	}
	if c.H >= 20 {
		out = append(out, c.footnotes()...)
	}
	return out
}

// footnotes say what the numbers of the table are, and of which parameters some readings are only bounds.
func (c *changes) footnotes() (out []string) {
	bounds := words.Those(c.found.Parameters, func(x alerts.ParameterChange) bool { return x.Comparison.Limits > 0 })
	note := func(text string) { out = append(out, c.Dim.Render(part.Cut(text, c.W))) }
	if len(c.found.Parameters) > 0 {
		note("  before, after: medians; shift: the median of all differences between the two")
	}
	if len(bounds) > 0 {
		names := words.List(bounds, func(x alerts.ParameterChange) string { return part.Clean(x.Parameter.Name) })
		note("  some readings are only < or >: " + names)
	}
	return out
}

// shiftWord says what a shift amounts to. "No clear change" is not "no change".
func shiftWord(k trend.Comparison, t *part.Theme) (string, part.Ink) {
	switch lo, hi := k.Interval.Lo, k.Interval.Hi; {
	case math.IsNaN(k.Shift) || math.IsInf(lo, 0) || math.IsInf(hi, 0) || k.Few:
		return "cannot tell", t.Dim
	case lo > 0:
		return part.SignUp + " higher", t.Warn
	case hi < 0:
		return part.SignDown + " lower", t.Warn
	default:
		return "no clear change", t.Plain
	}
}
