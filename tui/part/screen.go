// Package part is what screens and forms are made of: how they are told to the frame, their table of keys, what they
// ask of each other, lists and fields, styles and layout. It knows no screen.
package part

import (
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Screen is one page of the interface. The root model gives it the body between the title and the help line.
type Screen interface {
	Init() tea.Cmd          // asks the book for what it shows: when it is opened, and when the book has changed
	Update(tea.Msg) tea.Cmd // what comes from elsewhere; keys and the mouse come by the methods below
	View() string
	Base() *Page
	About() About
	Commands() []Command                     // its table, as things are now
	Typed(msg tea.KeyMsg) tea.Cmd            // a key of no command, or pasted text, where text is typed
	Click(row, column int)                   // within the body
	Wheel(row, by int) (cmd tea.Cmd, _ bool) // false: the wheel does what the keys up and down do
}

// About is what the root model has to know of a screen as it stands.
type About struct {
	Title   string
	Zone    *time.Location // of the clock in the title; nil: that of the screen beneath
	Typing  bool           // letters are text now, not commands
	Unsaved bool           // something typed is nowhere else yet
	Waits   bool           // there is nothing yet that a key could be about
	Place   Place          // where it is, to be opened again; without a tank: that of the screen beneath
	Shows   Exported       // what of it can be exported; without a tank: nothing

	Cautions []string // in full, what it warns of in short; the help has them
}

// Page is what all screens have.
type Page struct {
	*Env
	W, H    int
	Awaits  bool   // nothing is shown before the first answer of the book
	Loaded  bool   // the first answer of the book has come
	Failed  string // why it has not come; mostly what cannot be read once cannot be read for another screen either
	Message string // what the last key led to, until the next one
	Asked   string // the command that asked a question at the last key
	asked   int    // questions to the book so far: an answer carries its number, and a late one is dropped
}

func (p *Page) Base() *Page                  { return p }
func (*Page) Init() tea.Cmd                  { return nil }
func (*Page) Update(tea.Msg) tea.Cmd         { return nil }
func (*Page) Typed(tea.KeyMsg) tea.Cmd       { return nil }
func (*Page) Click(int, int)                 {}
func (*Page) Wheel(int, int) (tea.Cmd, bool) { return nil, false }

// Shown is what a screen shows: of one that awaits the first answer of the book, that it is on its way, or why not.
func Shown(s Screen) string {
	switch p := s.Base(); {
	case p.Loaded || !p.Awaits:
		return s.View()
	case p.Failed == "":
		return "\n  " + p.Dim.Render("reading the book…")
	default:
		return "\n" + strings.Join(Hang("! "+p.Failed, p.Bad, 2, p.W, 0), "\n")
	}
}

// Messages between screens and the root model.
type (
	OpenMsg   struct{ Want Want }    // show this on top
	BackMsg   struct{}               // leave the screen on top
	ExportMsg struct{}               // list what the screen can export
	NoticeMsg struct{ Text string }  // something to tell in passing
	FailedMsg struct{ Err error }    // a command failed
	KeepMsg   struct{}               // the program ends: put what is half typed into the book
	TickMsg   struct{ At time.Time } // a second has gone by
	AnswerMsg struct {               // what the screen of a page asked for; nothing where it was left meanwhile
		To   *Page
		Take func() tea.Cmd
	}
	DoneMsg struct { // a screen has done what it was for: leave it and say so
		S       Screen // nil: none is to be left
		Notice  string
		Changed bool // the book
		Then    Want // nil: no screen takes its place
	}
)

// Commands of the library that send a message; Opens gives a row of a table one.
func Open(w Want) tea.Cmd         { return func() tea.Msg { return OpenMsg{w} } }
func Opens(w Want) func() tea.Cmd { return Always(Open(w)) }
func Back() tea.Msg               { return BackMsg{} }
func AskExport() tea.Msg          { return ExportMsg{} }
func Notice(text string) tea.Cmd  { return func() tea.Msg { return NoticeMsg{text} } }
func TickEvery(d time.Duration) tea.Cmd {
	return tea.Tick(d, func(t time.Time) tea.Msg { return TickMsg{t} })
}

// NextKeyMsg says that what the key before leads to is there.
type NextKeyMsg struct{}

// GoOn lets the keys go on that wait.
func GoOn() tea.Msg { return NextKeyMsg{} }

// Want makes a screen that another one asks for, once it is to be shown.
type Want func(e *Env) Screen

// Of wants a screen that is built of one thing.
func Of[S Screen, W any](build func(*Env, W) S, with W) Want {
	return func(e *Env) Screen { return build(e, with) }
}

// OfTank wants a screen of a tank that is built with one thing more.
func OfTank[S Screen, W any](build func(*Env, logbook.Tank, W) S, t logbook.Tank, with W) Want {
	return func(e *Env) Screen { return build(e, t, with) }
}

// Lines are lines of a tank's book of one moment: one, or the readings of a test day.
type Lines struct {
	Tank    logbook.Tank
	Entries []logbook.Entry
	What    string // in words
}

// LinesOf are lines; what says of one what it is.
func LinesOf(t logbook.Tank, what string, es ...logbook.Entry) Lines {
	if len(es) > 1 {
		what = "the test day (" + words.Plural(len(es), "reading", "readings") + ")"
	}
	return Lines{t, es, Clean(what)}
}

// Place is where the keeper was when the interface was left: what to open again. Forms and test days are not among it;
// what is half typed has its draft.
type Place struct {
	Tank      string    `json:"tank"`
	Parameter string    `json:"parameter,omitempty"`
	Screen    string    `json:"screen,omitempty"` // "" is the glance
	Days      float64   `json:"days,omitempty"`   // of past on the chart
	Log       bool      `json:"log,omitempty"`
	Over      string    `json:"over,omitempty"`      // the parameter laid over
	OverTank  string    `json:"over_tank,omitempty"` // of another tank
	Left      time.Time `json:"left"`
}

// The names of screens in a place.
const (
	OnChart   = "chart"
	OnAlerts  = "alerts"
	OnJournal = "journal"
	OnUpkeep  = "upkeep"
	OnChanges = "changes"
	OnYear    = "year"
	OnTable   = "table"
)

// Export is one thing that can leave the program as a file. What it holds and how it is written is the business of
// whoever starts the interface; here it is chosen, and its file named.
type Export struct {
	Name     string // for the list of commands, such as "post for a forum, Markdown"
	Stem     string // for the name of the file; "" means the parameter's
	Suffix   string // of the file's name, such as ".md"
	OfSeries bool   // it is about one parameter
	Write    func(of Exported, path string, replace bool) error
}

// Exported is what is exported: what the keeper was looking at.
type Exported struct {
	Tank      logbook.Tank
	Parameter string    // "" on a screen that is about none
	From      time.Time // the left end of the chart; zero where there is none
	AsOf      time.Time
}
