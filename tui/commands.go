package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// commandsOfLine are what the screen of the chosen line does besides looking: the palette of the glance finds them too.
func (g *glance) commandsOfLine() []command {
	l, ok := g.chosen()
	if !ok {
		return nil
	}
	k := g.env.keys.Parameter
	var out []command
	for _, b := range []key.Binding{k.Demand, k.Why, k.WhatIf, k.Hindcast, k.Strike, k.Correct, k.Over, k.Log} {
		out = append(out, command{words: clean(l.Parameter.Name) + ": " + b.Help().Desc, group: alsoCalled(b.Help().Desc), run: func() tea.Msg {
			p := newParameterScreen(g.env, l.Tank, l.Parameter.Name)
			p.then = pressOf(b)
			return openMsg{p}
		}})
	}
	return out
}

// alsoCalled are other words by which a command is looked for.
func alsoCalled(words string) string {
	return map[string]string{
		"strike": "undo delete remove take back", "correct": "undo edit change", "take back": "undo", "demand": "consumption",
		"what if": "what-if forecast plan", "one dose": "add supplement", "daily dosing": "add supplement per day plan",
		"test day": "add readings measure", "chores and stock": "calendar reservoir reagent", "band and floor": "target limits",
		"hindcast": "past", "what changed?": "compare", "event": "note",
	}[words]
}

// inAShell are what is done outside of the screens, so that a search for it leads somewhere.
func inAShell() []command {
	var out []command
	for _, c := range [][2]string{
		{"plan", "how much to dose to hold a level or to bring it to a target"}, {"import", "read a table into the book"},
		{"merge", "take in what another book holds"}, {"calendar", "what is due as a calendar file"},
		{"export", "the readings as a table, or the whole book"}, {"backup", "a checked copy of the book"},
		{"salinity", "salinity from other measures"}, {"volume", "the net water volume from a known dose"},
	} {
		out = append(out, command{words: "in a shell, leadline " + c[0] + ": " + c[1], run: notice("leave with q and type leadline " + c[0] + " --help")})
	}
	return out
}
