package tui

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// What the interface is started with, what can be made a file of, and what that is made of.
type (
	Options  = part.Options
	Export   = part.Export
	Exported = part.Exported
)

// Run shows the interface until the keeper leaves or ctx ends, which the caller makes of a signal. It needs a terminal
// at both ends.
func Run(ctx context.Context, opt Options) error {
	// Nothing may ask the terminal for its colours: one that does not answer would hold up the start.
	lipgloss.SetColorProfile(termenv.ANSI)
	lipgloss.SetHasDarkBackground(!opt.Light)
	a := newApp(opt)
	_, err := newProgram(ctx, a, opt).Run()
	if !errors.Is(err, tea.ErrProgramPanic) {
		a.keepPlace()
	}
	return err
}

func newProgram(ctx context.Context, m tea.Model, opt Options) *tea.Program {
	// Signals come as the end of ctx. The library's own handler beside it can wait for ever to hand on a signal to a loop
	// that ctx has already ended.
	options := []tea.ProgramOption{tea.WithContext(ctx), tea.WithAltScreen(), tea.WithoutSignalHandler()}
	if opt.In != nil && opt.In != io.Reader(os.Stdin) {
		options = append(options, tea.WithInput(opt.In))
	}
	if opt.Out != nil {
		options = append(options, tea.WithOutput(opt.Out))
	}
	if opt.Mouse {
		options = append(options, tea.WithMouseCellMotion())
	}
	return tea.NewProgram(m, options...)
}

// The least size that can be used, and how often the book is looked at.
const (
	leastWidth  = 40
	leastHeight = 10
	pollEvery   = time.Second
)

// app is the root model: size, global keys, which screen, what went wrong.
type app struct {
	env     *part.Env
	w, h    int
	home    *glance // the lowest screen
	stack   []part.Screen
	notice  string
	failure string
	lost    string // why the book cannot be looked at
	stamp   logbook.Stamp
	ahead   typeahead
	day     string // the date last examined; ages and due days change with it
	undo    undo
	again   bool // something could not be read because the book was busy: it is asked for again
}

func newApp(opt Options) *app {
	out := opt.Out
	if out == nil {
		out = os.Stdout
	}
	e := &part.Env{Options: opt, Theme: part.NewTheme(out, opt.NoColor, opt.Light, opt.ASCII), TestDay: testDayOf}
	a := &app{env: e}
	if a.undo.book = opt.Book; opt.Book != nil {
		a.undo.began = opt.Book.Saved().Number
	}
	a.day = e.Moment().Format(time.DateOnly)
	a.home = &glance{Page: part.Page{Env: e, Awaits: true}}
	a.stack = []part.Screen{a.home}
	return a
}

func (a *app) top() part.Screen { return a.stack[len(a.stack)-1] }

func (a *app) Init() tea.Cmd {
	return tea.Batch(a.top().Init(), part.TickEvery(pollEvery), a.look(), a.findPlace())
}

// doMsg is what the root model does with an answer to what it asked itself.
type doMsg func() tea.Cmd

// look reads the book's stamp.
func (a *app) look() tea.Cmd {
	book := a.env.Book
	return func() tea.Msg {
		s, err := book.Stamp()
		return doMsg(func() tea.Cmd { return a.looked(s, err) })
	}
}

func (a *app) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		a.w, a.h = msg.Width, msg.Height
		for _, s := range a.stack {
			a.size(s)
		}
		return a, nil
	case tea.KeyMsg:
		return a, a.typed(msg)
	case tea.MouseMsg:
		return a, a.mouse(msg)
	case part.NextKeyMsg:
		return a, a.nextKey()
	case tea.ResumeMsg:
		return a, a.readAnew()
	case part.TickMsg:
		return a, a.tick(msg)
	case doMsg:
		return a, msg()
	case part.NoticeMsg:
		a.notice, a.failure = msg.Text, ""
		return a, nil
	case part.FailedMsg:
		a.failure = part.Clean(msg.Err.Error())
		a.again = a.again || errors.Is(msg.Err, logbook.ErrBusy)
		for _, s := range a.stack {
			s.Base().Failed = a.failure
		}
		return a, part.GoOn // keys may wait for what does not come
	default:
		return a, a.moveOn(msg)
	}
}

// moveOn does what a screen wants of the others: to open one, or to be left.
func (a *app) moveOn(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case part.AnswerMsg: // of a screen that is open still
		if slices.ContainsFunc(a.stack, func(s part.Screen) bool { return s.Base() == msg.To }) {
			return msg.Take()
		}
		return nil
	case part.OpenMsg:
		return a.push(msg.Want(a.env))
	case part.ExportMsg:
		return a.palette("export")
	case part.BackMsg:
		return a.back()
	case part.DoneMsg:
		a.notice = msg.Notice
		a.leave(msg.S)
		if !msg.Changed {
			return nil
		}
		cmd := a.readAnew()
		if msg.Then != nil {
			cmd = tea.Batch(cmd, a.push(msg.Then(a.env)))
		}
		a.notice = a.undo.named(msg.Notice, a.w, a.top().About().Typing)
		return cmd
	}
	return a.all(msg)
}

// tick looks at the book, and has everything read anew on another day, or where the book was busy.
func (a *app) tick(msg part.TickMsg) tea.Cmd {
	cmds := []tea.Cmd{part.TickEvery(pollEvery), a.look(), a.all(msg)}
	if a.again {
		a.failure = "" // it comes again where the book is busy still
	}
	if day := a.env.Moment().Format(time.DateOnly); day != a.day || a.again {
		a.day, a.again = day, false
		cmds = append(cmds, a.readAnew())
	}
	return tea.Batch(cmds...)
}

func (a *app) looked(s logbook.Stamp, err error) tea.Cmd {
	a.lost = ""
	if err != nil {
		a.lost = part.Clean(err.Error())
		return nil
	}
	before := a.stamp
	a.stamp = s
	if before == (logbook.Stamp{}) || before == s {
		return nil
	}
	return a.readAnew()
}

// readAnew has every open screen ask the book again, which changed here or in another process.
func (a *app) readAnew() tea.Cmd {
	return tea.Batch(words.Of(a.stack, func(s part.Screen) tea.Cmd { return s.Init() })...)
}

// all hands a message to every open screen: an answer may be for one that is covered by another.
func (a *app) all(msg tea.Msg) tea.Cmd {
	return tea.Batch(words.Of(a.stack, func(s part.Screen) tea.Cmd { return s.Update(msg) })...)
}

// commands are the rows of the root model, for keys that the screen on top does not use itself.
func (a *app) commands() []part.Command {
	above, leave := len(a.stack) > 1, ""
	if slices.ContainsFunc(a.stack, func(s part.Screen) bool { return s.About().Unsaved }) {
		leave = "ctrl+c again leaves without keeping what you typed; ctrl+s saves it"
	}
	rows := []part.Command{part.On("f1", "help", a.help)}
	if !a.top().About().Typing {
		quit := part.On("q", "leave", a.quit).Foot(part.FootEnd)
		if above {
			quit = part.On("q", "leave", a.back)
		}
		rows = []part.Command{
			part.On("? f1", "help", a.help), part.On("esc", "back", a.back).When(above).Foot(part.FootEnd),
			part.On(":", "find a command", func() tea.Cmd { return a.palette("") }), quit,
			part.On("u", "undo", func() tea.Cmd { return a.undo.last(a.env) }).Also("take back"),
		}
	}
	return part.Under("always", append(rows, part.On("ctrl+z", "put aside; fg: back", part.Always(tea.Suspend)),
		part.On("ctrl+c", "leave at once", a.quit).Asking(leave))...)
}

func (a *app) typed(msg tea.KeyMsg) tea.Cmd {
	if (a.ahead.waiting || a.top().About().Waits) && msg.Type != tea.KeyCtrlC {
		a.ahead.wait(msg)
		return nil
	}
	a.ahead = typeahead{keys: []tea.KeyMsg{msg}}
	return a.nextKey()
}

func (a *app) nextKey() tea.Cmd {
	msg, ok := a.ahead.next(a.top().About().Typing)
	switch {
	case !ok:
		return nil
	case a.ahead.waiting:
		return tea.Sequence(a.press(msg), part.GoOn)
	}
	return a.press(msg)
}

func (a *app) press(msg tea.KeyMsg) tea.Cmd {
	top := a.top()
	a.notice, a.failure = "", ""
	if msg.Paste && !top.About().Typing {
		return nil
	}
	cmd, known := part.Press(top, msg, a.commands()...)
	if !known {
		a.notice = a.commands()[0].Shown() + " shows the keys"
	}
	return cmd
}

func (a *app) helping() bool {
	_, is := a.top().(*helpScreen)
	return is
}

func (a *app) help() tea.Cmd {
	if a.helping() {
		return a.back()
	}
	of, own := a.top(), a.commands()
	return a.push(&helpScreen{Page: part.Page{Env: a.env}, of: func() []part.Command {
		return append(of.Commands(), own...)
	}, on: of.About().Title, cautions: of.About().Cautions})
}

// palette opens the list of commands, at those that hold some words: what can be done on the screen on top, what can be
// exported of what is shown, and what is done in a shell.
func (a *app) palette(find string) tea.Cmd {
	if a.helping() {
		return nil
	}
	of, first := a.top(), len(a.stack) == 1
	return a.push(newPalette(a.env, find, func() []part.Command {
		rows := of.Commands()
		if l, chosen := a.home.chosen(); first && chosen {
			rows = append(rows, ofChosenLine(a.env, l)...)
		}
		var shown part.Exported
		for _, s := range a.stack {
			if shows := s.About().Shows; shows.Tank.Name != "" {
				shown = shows
			}
		}
		return slices.Concat(rows, exports(a.env.Exports, shown), inAShell())
	}))
}

// quit leaves; a screen with something typed puts it into the book first.
func (a *app) quit() tea.Cmd { return tea.Sequence(a.all(part.KeepMsg{}), tea.Quit) }

// size tells a screen how large it is: the body is what is left between the title and the help line.
func (a *app) size(s part.Screen) {
	p := s.Base()
	p.W, p.H = a.w, a.bodyHeight()
}

func (a *app) push(s part.Screen) tea.Cmd {
	a.size(s)
	a.stack = append(a.stack, s)
	return s.Init()
}

func (a *app) back() tea.Cmd {
	if len(a.stack) > 1 {
		a.stack = a.stack[:len(a.stack)-1]
	}
	a.size(a.top())
	return nil
}

// leave takes a screen away, wherever it stands: help may have been called over it, or it may have been left meanwhile.
func (a *app) leave(s part.Screen) {
	if i := slices.Index(a.stack, s); i > 0 {
		a.stack = slices.Delete(a.stack, i, i+1)
	}
	a.size(a.top())
}

func (a *app) bodyHeight() int { return max(0, a.h-2) }

// typeahead are keys that wait for what the key before them leads to: a form that it opens takes them as text. Where
// several keys come in one read, by a key held down or a fast hand, the later ones wait; and so does every key that
// comes while any waits, or it would overtake them. Keys typed before the first screen is there wait for it.
type typeahead struct {
	waiting bool
	keys    []tea.KeyMsg
}

func (t *typeahead) wait(msg tea.KeyMsg) { t.waiting, t.keys = true, append(t.keys, msg) }

// next takes the first key that waits. Where text is typed, what came in one read stays together.
func (t *typeahead) next(typing bool) (msg tea.KeyMsg, ok bool) {
	if len(t.keys) == 0 {
		return msg, false
	}
	msg, t.keys = t.keys[0], t.keys[1:]
	if first, rest, several := part.Parted(msg); several && !typing {
		msg, t.keys = first, append([]tea.KeyMsg{rest}, t.keys...)
	}
	t.waiting = len(t.keys) > 0
	return msg, true
}

// The mouse is a convenience for those who ask for it: the wheel moves through lists and time, a click chooses a line.
// All of it can be done by keys. Where it is on, text is marked with the terminal's own key for that, mostly shift.

const wheelLines = 3

func (a *app) mouse(msg tea.MouseMsg) tea.Cmd {
	row, top := msg.Y-1, a.top() // below the title
	if row < 0 || row >= a.bodyHeight() || a.ahead.waiting || msg.Action != tea.MouseActionPress {
		return nil
	}
	switch msg.Button {
	case tea.MouseButtonLeft:
		if !top.About().Typing {
			top.Click(row, msg.X)
		}
	case tea.MouseButtonWheelUp:
		return a.wheel(row, -1)
	case tea.MouseButtonWheelDown:
		return a.wheel(row, 1)
	}
	return nil
}

func (a *app) wheel(row, by int) tea.Cmd {
	if cmd, took := a.top().Wheel(row, by); took {
		return cmd
	}
	press, n := tea.KeyMsg{Type: tea.KeyDown}, wheelLines
	if by < 0 {
		press.Type = tea.KeyUp
	}
	if a.top().About().Typing {
		n = 1 // from field to field
	}
	var cmds []tea.Cmd
	for range n {
		cmds = append(cmds, a.press(press))
	}
	return tea.Batch(cmds...)
}
