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

	"leadline/logbook"
)

// Options is what the interface is started with.
type Options struct {
	Book      *logbook.Book
	Now       func() time.Time
	AsOf      *time.Time // nil: now
	In        io.Reader
	Out       io.Writer
	NoColor   bool
	Light     bool // the terminal's background is light
	ASCII     bool // the locale is not UTF-8
	Demo      bool
	Mouse     bool              // the wheel scrolls and a click chooses; marking text then takes a key
	Exports   []Export          // what can be made a file of
	Tank      string            // the tank to begin with, whatever was open; "": that of the place
	UsualTank string            // the tank to begin with where no place is kept
	PlaceFile string            // where it is kept what was open, to open it again; "": nowhere
	Order     []string          // the usual order of parameters, by name or code, for tanks that have none of their own
	Units     map[string]string // of bare numbers on a test day, by parameter, where no method says it
}

// Run shows the interface until the keeper leaves or ctx ends, which the caller makes of a signal. It needs a terminal at
// both ends.
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
	env     *env
	w, h    int
	home    *glance // the lowest screen
	stack   []screen
	notice  string
	failure string
	lost    string // why the book cannot be looked at
	stamp   logbook.Stamp
	ahead   typeahead
	day     string // the date last examined; ages and due days change with it
	again   bool   // something could not be read because the book was busy: it is asked for again

	placeFile string // where it is kept what to open again; "": nowhere
	tank      string // the tank to begin with; "": that of the place
	usualTank string // the tank to begin with where no place is kept
}

func newApp(opt Options) *app {
	out := opt.Out
	if out == nil {
		out = os.Stdout
	}
	e := &env{
		book: opt.Book, now: opt.Now, asOf: opt.AsOf, demo: opt.Demo, order: opt.Order, exports: opt.Exports, bell: opt.Out, units: opt.Units,
		theme: newTheme(out, opt.NoColor, opt.Light, opt.ASCII),
	}
	a := &app{env: e, placeFile: opt.PlaceFile, tank: opt.Tank, usualTank: opt.UsualTank}
	a.day = e.moment().Format(time.DateOnly)
	a.home = newGlance(e)
	a.stack = []screen{a.home}
	return a
}

func (a *app) top() screen { return a.stack[len(a.stack)-1] }

func (a *app) Init() tea.Cmd {
	return tea.Batch(a.top().Init(), tickEvery(pollEvery), a.look(), a.findPlace())
}

// look reads the book's stamp.
func (a *app) look() tea.Cmd {
	book := a.env.book
	return func() tea.Msg {
		s, err := book.Stamp()
		return stampMsg{s, err}
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
	case nextKeyMsg:
		return a, a.nextKey()
	case tea.ResumeMsg:
		return a, a.all(changedMsg{})
	case tickMsg:
		return a, a.tick(msg)
	case stampMsg:
		return a, a.looked(msg)
	case noticeMsg:
		a.notice, a.failure = msg.text, ""
		return a, nil
	case failedMsg:
		a.failure = clean(msg.err.Error())
		a.again = a.again || errors.Is(msg.err, logbook.ErrBusy)
		for _, s := range a.stack {
			s.base().failed = a.failure
		}
		return a, goOn // keys may wait for what does not come
	default:
		return a, a.moveOn(msg)
	}
}

// moveOn does what a screen wants of the others: to open one, or to be left.
func (a *app) moveOn(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case placeMsg:
		if len(a.stack) > 1 {
			return nil // the keeper was quicker
		}
	case openMsg:
		return a.push(a.build(msg.want))
	case exportMsg:
		return a.palette("export")
	case replaceMsg:
		a.leave(msg.old)
		return tea.Batch(a.all(changedMsg{}), a.push(a.build(msg.want)))
	case backMsg:
		a.notice = msg.notice
		return a.back()
	case doneMsg:
		a.notice = msg.notice
		a.leave(msg.s)
		if !msg.changed {
			return nil
		}
		return a.all(changedMsg{})
	case answeredMsg:
		a.notice = msg.notice
		if msg.screen != nil {
			a.leave(msg.screen)
		}
		return tea.Batch(a.all(msg), a.all(changedMsg{}))
	}
	return a.all(msg)
}

// tick looks at the book, and has everything read anew on another day, or where the book was busy.
func (a *app) tick(msg tickMsg) tea.Cmd {
	cmds := []tea.Cmd{tickEvery(pollEvery), a.look(), a.all(msg)}
	if a.again {
		a.failure = "" // it comes again where the book is busy still
	}
	if day := a.env.moment().Format(time.DateOnly); day != a.day || a.again {
		a.day, a.again = day, false
		cmds = append(cmds, a.all(changedMsg{}))
	}
	return tea.Batch(cmds...)
}

// looked takes in what the book's stamp is now.
func (a *app) looked(msg stampMsg) tea.Cmd {
	a.lost = ""
	if msg.err != nil {
		a.lost = clean(msg.err.Error())
		return nil
	}
	before := a.stamp
	a.stamp = msg.stamp
	if before == (logbook.Stamp{}) || before == msg.stamp {
		return nil
	}
	return a.all(changedMsg{})
}

// all hands a message to every open screen: an answer may be for one that is covered by another.
func (a *app) all(msg tea.Msg) tea.Cmd {
	var cmds []tea.Cmd
	for _, s := range a.stack {
		cmds = append(cmds, s.Update(msg))
	}
	return tea.Batch(cmds...)
}

// commands are the rows of the root model, for keys that the screen on top does not use itself.
func (a *app) commands() []command {
	above, leave := len(a.stack) > 1, ""
	if slices.ContainsFunc(a.stack, func(s screen) bool { return s.about().unsaved }) {
		leave = "ctrl+c again leaves without keeping what you typed; ctrl+s saves it"
	}
	rows := []command{on("f1", "help", a.help)}
	if !a.top().about().typing {
		quit := on("q", "leave", a.quit).foot(footEnd)
		if above {
			quit = on("q", "leave", a.back)
		}
		rows = []command{
			on("? f1", "help", a.help), on("esc", "back", a.back).when(above).foot(footEnd),
			on(":", "find a command", func() tea.Cmd { return a.palette("") }), quit,
		}
	}
	return under("always", append(rows, on("ctrl+z", "put aside; fg: back", always(tea.Suspend)), on("ctrl+c", "leave at once", a.quit).asking(leave))...)
}

func (a *app) press(msg tea.KeyMsg) tea.Cmd {
	top := a.top()
	a.notice, a.failure = "", ""
	if msg.Paste && !top.about().typing {
		return nil
	}
	cmd, known := press(top, msg, a.commands()...)
	if !known {
		a.notice = a.commands()[0].shown() + " shows the keys"
	}
	return cmd
}

// helping reports whether help is on top.
func (a *app) helping() bool {
	_, is := a.top().(*helpScreen)
	return is
}

// help calls help for the screen on top, or leaves it.
func (a *app) help() tea.Cmd {
	if a.helping() {
		return a.back()
	}
	of, own := a.top(), a.commands()
	return a.push(&helpScreen{env: a.env, of: func() []command { return append(of.commands(), own...) }, on: of.about().title})
}

// quit leaves; a screen with something typed puts it into the book first.
func (a *app) quit() tea.Cmd { return tea.Sequence(a.all(keepMsg{}), tea.Quit) }

// size tells a screen how large it is: the body is what is left between the title and the help line.
func (a *app) size(s screen) {
	p := s.base()
	p.w, p.h = a.w, a.bodyHeight()
}

func (a *app) push(s screen) tea.Cmd {
	a.size(s)
	a.stack = append(a.stack, s)
	return s.Init()
}

func (a *app) pop() {
	if len(a.stack) > 1 {
		a.stack = a.stack[:len(a.stack)-1]
	}
}

func (a *app) back() tea.Cmd {
	a.pop()
	a.size(a.top())
	return nil
}

// leave takes a screen away, wherever it stands: help may have been called over it, or it may have been left meanwhile.
func (a *app) leave(s screen) {
	if i := slices.Index(a.stack, s); i > 0 {
		a.stack = slices.Delete(a.stack, i, i+1)
	}
	a.size(a.top())
}

func (a *app) bodyHeight() int { return max(0, a.h-2) }
