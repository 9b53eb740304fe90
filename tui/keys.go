package tui

import "github.com/charmbracelet/bubbles/key"

// keys are all bindings, grouped by screen. Help lines are made from them, so that they cannot drift.
type keys struct {
	All       allKeys
	Glance    glanceKeys
	TestDay   testDayKeys
	Parameter parameterKeys
	Alerts    alertKeys
	Form      formKeys
	Prompt    promptKeys
	Bands     bandKeys
	Journal   journalKeys
	Palette   paletteKeys
	Changes   changesKeys
	Upkeep    upkeepKeys
	WhatIf    whatIfKeys
}

// allKeys work on every screen; those that are letters, where no text is being typed.
type allKeys struct {
	Up, Down, PageUp, PageDown, First, Last key.Binding
	Help, HelpTyping, Back, Leave, Suspend  key.Binding
	Quit, Palette                           key.Binding
}

type glanceKeys struct {
	Open, NextTank, PrevTank, TestDay, Alerts         key.Binding
	Dose, Dosing, WaterChange, Event, Chore, NewChore key.Binding
	Band, NewTank, Journal, Changes, Upkeep           key.Binding
	Method, Tank, LineUp, LineDown, Export            key.Binding
	Supplement                                        key.Binding
}

type testDayKeys struct {
	Next, Prev, Save, Method, Note, When, Discard, Undo, Timer, Instead key.Binding
}

type parameterKeys struct {
	Closer, Wider, Earlier, Later, Now, Log    key.Binding
	Strike, Correct, Why, NextOne, PrevOne     key.Binding
	WhatIf, Cursor, Over, Hindcast, Band, Test key.Binding
	Demand, Dose, Dosing, OverTank, Export     key.Binding
}

type alertKeys struct{ Open, Acknowledge, Snooze, TakeBack key.Binding }

type formKeys struct{ Next, Prev, Save, Finish, Other, OtherBack, Describe key.Binding }

type upkeepKeys struct{ Done, New, NewStock key.Binding }

type whatIfKeys struct{ More, Less key.Binding }

type promptKeys struct{ Accept, Leave key.Binding }

type bandKeys struct{ Toggle, Accept key.Binding }

type journalKeys struct{ Search, Kind, Strike, Open key.Binding }

type paletteKeys struct{ Run, Next, Prev, Leave key.Binding }

type changesKeys struct{ Earlier, Later, Wider, Closer, When, Here key.Binding }

func bind(help string, show string, on ...string) key.Binding {
	return key.NewBinding(key.WithKeys(on...), key.WithHelp(show, help))
}

func newKeys() *keys {
	return &keys{
		All: allKeys{
			Up:         bind("up", "k", "k", "up"),
			Down:       bind("down", "j", "j", "down"),
			PageUp:     bind("page up", "pgup", "pgup", "ctrl+b"),
			PageDown:   bind("page down", "pgdn", "pgdown", "ctrl+f"),
			First:      bind("first", "g", "g", "home"),
			Last:       bind("last", "G", "G", "end"),
			Help:       bind("help", "?", "?", "f1"),
			HelpTyping: bind("help", "F1", "f1"),
			Back:       bind("back", "esc", "esc"),
			Leave:      bind("leave at once", "ctrl+c", "ctrl+c"),
			Suspend:    bind("put aside; fg: back", "ctrl+z", "ctrl+z"),
			Quit:       bind("leave", "q", "q"),
			Palette:    bind("find a command", ":", ":"),
		},
		Glance: glanceKeys{
			Open:        bind("open", "enter", "enter", "l"),
			NextTank:    bind("next tank", "tab", "tab", "right"),
			PrevTank:    bind("previous tank", "shift+tab", "shift+tab", "left", "h"),
			TestDay:     bind("test day", "t", "t"),
			Alerts:      bind("alerts", "a", "a"),
			Dose:        bind("one dose", "d", "d"),
			Dosing:      bind("daily dosing", "D", "D"),
			WaterChange: bind("water change", "w", "w"),
			Event:       bind("event", "e", "e"),
			Chore:       bind("chore done", "c", "c"),
			NewChore:    bind("new chore", "C", "C"),
			Band:        bind("band and floor", "b", "b"),
			Method:      bind("describe a method", "m", "m"),
			Supplement:  bind("describe a supplement", "S", "S"),
			Tank:        bind("this tank", "T", "T"),
			NewTank:     bind("new tank", "n", "n"),
			Journal:     bind("journal", "J", "J"),
			Changes:     bind("what changed?", "x", "x"),
			Upkeep:      bind("chores and stock", "s", "s"),
			Export:      bind("export", "E", "E"),
			LineUp:      bind("move line up", "<", "<", "shift+up"),
			LineDown:    bind("move line down", ">", ">", "shift+down"),
		},
		TestDay: testDayKeys{
			Next:    bind("next", "enter", "enter", "tab", "down"),
			Prev:    bind("previous", "↑", "shift+tab", "up"),
			Save:    bind("save", "ctrl+s", "ctrl+s"),
			Method:  bind("other method", "ctrl+o", "ctrl+o"),
			Note:    bind("note", "ctrl+n", "ctrl+n"),
			When:    bind("time of test", "ctrl+t", "ctrl+t"),
			Undo:    bind("undo", "ctrl+y", "ctrl+y"),
			Timer:   bind("timer", "ctrl+r", "ctrl+r"),
			Instead: bind("take what is offered", "ctrl+g", "ctrl+g"),
			Discard: bind("throw all away", "ctrl+x", "ctrl+x"),
		},
		Parameter: parameterKeys{
			Closer:   bind("closer", "+", "+", "="),
			Wider:    bind("wider", "-", "-"),
			Earlier:  bind("earlier", "h", "h", "left"),
			Later:    bind("later", "l", "l", "right"),
			Now:      bind("to now", "0", "0"),
			Log:      bind("log scale", "L", "L"),
			Strike:   bind("strike", "x", "x"),
			Correct:  bind("correct", "c", "c"),
			Why:      bind("why", "w", "w"),
			NextOne:  bind("next parameter", "n", "n", "tab"),
			PrevOne:  bind("previous parameter", "p", "p", "shift+tab"),
			Demand:   bind("demand", "u", "u"),
			Dose:     bind("one dose", "d", "d"),
			Dosing:   bind("daily dosing", "D", "D"),
			WhatIf:   bind("what if", "i", "i"),
			Cursor:   bind("cursor", "v", "v"),
			Over:     bind("lay another over", "o", "o"),
			Export:   bind("export", "E", "E"),
			OverTank: bind("lay another tank over", "O", "O"),
			Hindcast: bind("hindcast", "H", "H"),
			Band:     bind("band and floor", "b", "b"),
			Test:     bind("test day", "t", "t"),
		},
		Alerts: alertKeys{
			Open:        bind("open", "enter", "enter", "l"),
			Acknowledge: bind("seen", "m", "m"), // not the key that opens this screen: twice by mistake must not silence
			Snooze:      bind("snooze", "s", "s"),
			TakeBack:    bind("take back", "u", "u"),
		},
		Form: formKeys{
			Next:      bind("next", "enter", "enter", "tab", "down"),
			Prev:      bind("previous", "↑", "shift+tab", "up"),
			Save:      bind("save", "ctrl+s", "ctrl+s"),
			Finish:    bind("save", "enter", "enter"), // in the last field
			Other:     bind("other choice", "ctrl+o", "ctrl+o"),
			OtherBack: bind("choice before", "ctrl+l", "ctrl+l"),
			Describe:  bind("describe a supplement", "ctrl+n", "ctrl+n"),
		},
		WhatIf: whatIfKeys{
			More: bind("more", "+", "+", "="),
			Less: bind("less", "-", "-"),
		},
		Prompt: promptKeys{
			Accept: bind("accept", "enter", "enter"),
			Leave:  bind("leave it", "esc", "esc"),
		},
		Bands: bandKeys{
			Toggle: bind("take or leave", "space", " ", "x"),
			Accept: bind("go on with these", "enter", "enter", "ctrl+s"),
		},
		Journal: journalKeys{
			Search: bind("search", "/", "/"),
			Kind:   bind("kind", "f", "f"),
			Strike: bind("strike", "x", "x"),
			Open:   bind("open", "enter", "enter"),
		},
		Upkeep: upkeepKeys{
			Done:     bind("done, or refilled", "enter", "enter", "c"),
			New:      bind("new chore", "n", "n", "C"),
			NewStock: bind("new stock", "N", "N"),
		},
		Palette: paletteKeys{
			Run:   bind("run", "enter", "enter"),
			Next:  bind("next", "↓", "tab", "down"),
			Prev:  bind("previous", "↑", "shift+tab", "up"),
			Leave: bind("leave it", "esc", "esc"),
		},
		Changes: changesKeys{
			Earlier: bind("a week earlier", "h", "h", "left"),
			Later:   bind("a week later", "l", "l", "right"),
			Wider:   bind("wider", "-", "-"),
			Closer:  bind("closer", "+", "+", "="),
			When:    bind("pick a date", "/", "/"),
			Here:    bind("around this line", "enter", "enter"),
		},
	}
}

// group is a titled set of bindings, for help.
type group struct {
	title string
	keys  []key.Binding
}
