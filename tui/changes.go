package tui

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/trend"
)

// changes answers "what changed?" around a date: every parameter before and after, and everything that was done.
type changes struct {
	page
	list
	env    *env
	tank   logbook.Tank
	around time.Time
	weeks  int // of each side
	asked  int
	found  alerts.Changed
	rows   []record
	find   textinput.Model
	typing bool
}

type changesMsg struct {
	asked int
	found alerts.Changed
	rows  []record
}

func newChanges(e *env, t logbook.Tank, around time.Time) *changes {
	c := &changes{env: e, tank: t, around: around, weeks: 4, find: newField(e, 20)}
	return c
}

func (c *changes) Init() tea.Cmd {
	c.asked = c.env.ask()
	asked, tank, around, days := c.asked, c.tank.Name, c.around, float64(7*c.weeks)
	return c.env.read(func(v *logbook.View) (tea.Msg, error) {
		found, err := alerts.WhatChanged(v, tank, around, days)
		if err != nil {
			return nil, err
		}
		rows := words.Of(found.Done, func(e logbook.Entry) record { return newRecord(e, found.Known, true) })
		newestFirst(rows)
		return changesMsg{asked, found, rows}, err
	})
}

func (c *changes) Update(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case changedMsg:
		return c.Init()
	case changesMsg:
		if msg.asked == c.asked {
			c.loaded, c.found, c.rows = true, msg.found, msg.rows
			c.clamp(len(c.rows))
		}
	}
	return nil
}

func (c *changes) commands() []command {
	if c.typing {
		return under("what changed?", on("enter", "accept", c.accept).foot(1), on("esc", "leave it", just(func() { c.typing = false })).foot(2))
	}
	sides := func(weeks int) func() tea.Cmd {
		return func() tea.Cmd {
			c.weeks = max(2, min(weeks, 52))
			return c.Init()
		}
	}
	return slices.Concat(
		under("what changed?",
			on("h left", "a week earlier", func() tea.Cmd { return c.move(-7) }).foot(1),
			on("l right", "a week later", func() tea.Cmd { return c.move(7) }).foot(2),
			on("-", "wider", sides(c.weeks*2)).foot(3),
			on("+ =", "closer", sides(c.weeks/2)).foot(4),
			on("/", "pick a date", just(c.ask)).foot(5),
			on("enter", "around this line", c.here).foot(6).when(c.at < len(c.rows))),
		c.moves("what changed?", len(c.rows), 7))
}

func (c *changes) move(days int) tea.Cmd {
	to := c.around.AddDate(0, 0, days)
	if to.After(c.env.moment()) {
		return notice("that lies ahead of now")
	}
	c.around = to
	return c.Init()
}

func (c *changes) here() tea.Cmd {
	c.around = c.rows[c.at].entry.When()
	return c.Init()
}

func (c *changes) ask() {
	c.typing = true
	c.find.SetValue("")
	focusField(&c.find)
}

func (c *changes) typed(msg tea.KeyMsg) tea.Cmd {
	editField(&c.find, msg)
	return nil
}

func (c *changes) accept() tea.Cmd {
	at, doubt, err := parseWhen(c.find.Value(), c.env.moment().In(c.zone()))
	if doubt != "" { // nothing is known of it yet
		err = errors.New("that lies ahead of now")
	}
	if err != nil {
		c.message = clean(err.Error())
		return nil
	}
	c.typing, c.around = false, at
	return c.Init()
}

func (c *changes) about() about {
	return about{title: clean(c.tank.Name) + " · what changed?", zone: c.zone(), typing: c.typing, place: place{Screen: onChanges, Tank: c.tank.Name}}
}

func (c *changes) zone() *time.Location { return c.tank.Zone() }

func (c *changes) View() string {
	t := c.env.theme
	if !c.loaded {
		return c.reading(t)
	}
	head := fmt.Sprintf("  %s, %d weeks before and after", c.around.In(c.zone()).Format("Mon 2 Jan 2006"), c.weeks)
	out := []string{t.Title.Render(cut(head, c.w))}
	switch {
	case c.message != "":
		out = append(out, "  "+t.Bad.Render(cut("! "+c.message, c.w-2)))
	case c.typing:
		out = append(out, "  around which date? "+strings.TrimRight(c.find.View(), " "))
	}
	shifts := c.table()
	if most := max(2, (c.h-len(out))*3/5); len(shifts) > most {
		shifts = shifts[:most]
	}
	out = append(out, shifts...)
	if c.h >= 18 {
		out = append(out, "", t.Head.Render("  done and seen in that time"))
	}
	room := max(1, c.h-len(out))
	if len(c.rows) == 0 {
		return strings.Join(append(out, t.Dim.Render("  nothing was written down")), "\n")
	}
	return strings.Join(append(out, c.records(c.rows, len(out), room, c.w, c.zone(), t)...), "\n")
}

// table sets the medians of both sides beside each other.
func (c *changes) table() []string {
	t := c.env.theme
	wide := c.w >= 70
	type cells struct {
		name, before, after, shift, word string
		style                            ink
	}
	rows := []cells{{name: "parameter", before: "before", after: "after", shift: "shift", style: t.Plain}}
	if wide {
		rows[0].shift = "shift (80 % range)"
	}
	var bounds []string // of which some readings are only bounds
	for _, x := range c.found.Parameters {
		p, k := x.Parameter, x.Comparison
		side := func(v float64, n int) string {
			if n == 0 {
				return "none"
			}
			return fmt.Sprintf("%s (%d)", words.Number(p, v), n)
		}
		if k.Limits > 0 {
			bounds = append(bounds, clean(p.Name))
		}
		r := cells{name: strings.TrimSpace(pad(clean(p.Name), 11) + " " + clean(p.Unit)), before: side(x.Before, k.NBefore), after: side(x.After, k.NAfter),
			shift: shiftText(p, k, wide)}
		r.word, r.style = shiftWord(k, t)
		rows = append(rows, r)
	}
	// A column is as wide as what stands in it: a number that is cut is another number.
	beforeW, afterW, shiftW, wordW := 9, 9, 7, 0
	if wide {
		shiftW = 25
	}
	for _, r := range rows {
		beforeW, afterW, shiftW, wordW = max(beforeW, width(r.before)), max(afterW, width(r.after)), max(shiftW, width(r.shift)), max(wordW, width(r.word))
	}
	short := !wide || 2+16+1+beforeW+1+afterW+1+shiftW+1+wordW > c.w
	var out []string
	for i, r := range rows {
		if short && r.word == "no clear change" {
			r.word = "not clear"
		}
		row := "  " + pad(r.name, 16) + " "
		if wide {
			row += padLeft(r.before, beforeW) + " " + padLeft(r.after, afterW) + " " + pad(r.shift, shiftW)
		} else {
			row += padLeft(r.shift, shiftW)
		}
		if row = strings.TrimRight(row+" "+r.style.Render(r.word), " "); i == 0 {
			row = t.Head.Render(row)
		}
		out = append(out, cut(row, c.w))
	}
	if c.h >= 20 && len(c.found.Parameters) > 0 {
		out = append(out, t.Dim.Render(cut("  before, after: medians; shift: the median of all differences between the two", c.w)))
	}
	if c.h >= 20 && len(bounds) > 0 {
		out = append(out, t.Dim.Render(cut("  some readings are only < or >: "+strings.Join(bounds, ", "), c.w)))
	}
	return out
}

func shiftText(p logbook.Parameter, k trend.Comparison, wide bool) string {
	signed := func(v float64) string {
		text := words.Number(p, v)
		if v > 0 {
			text = "+" + text
		}
		return text
	}
	switch {
	case math.IsNaN(k.Shift):
		return "—"
	case !wide:
		return signed(k.Shift)
	case math.IsInf(k.Interval.Lo, 0) || math.IsInf(k.Interval.Hi, 0):
		return signed(k.Shift) + " (too few to say)"
	default:
		return fmt.Sprintf("%s (%s to %s)", signed(k.Shift), signed(k.Interval.Lo), signed(k.Interval.Hi))
	}
}

// shiftWord says what a shift amounts to. "No clear change" is not "no change".
func shiftWord(k trend.Comparison, t *theme) (string, ink) {
	switch lo, hi := k.Interval.Lo, k.Interval.Hi; {
	case math.IsNaN(k.Shift) || math.IsInf(lo, 0) || math.IsInf(hi, 0) || k.Few:
		return "cannot tell", t.Dim
	case lo > 0:
		return t.Signs.Up + " higher", t.Warn
	case hi < 0:
		return t.Signs.Down + " lower", t.Warn
	default:
		return "no clear change", t.Plain
	}
}
