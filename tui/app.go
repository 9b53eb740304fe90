package tui

import (
	"context"
	"errors"
	"io"
	"os"
	"slices"
	"time"

	"github.com/charmbracelet/bubbles/key"
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
	stack   []screen
	notice  string
	failure string
	leaving bool   // asked whether to leave what is typed
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
		theme: newTheme(out, opt.NoColor, opt.Light, opt.ASCII), keys: newKeys(),
	}
	a := &app{env: e, placeFile: opt.PlaceFile, tank: opt.Tank, usualTank: opt.UsualTank}
	a.day = e.moment().Format(time.DateOnly)
	a.stack = []screen{newGlance(e)}
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
			s.SetSize(a.w, a.bodyHeight())
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
		cmds := []tea.Cmd{tickEvery(pollEvery), a.look(), a.all(msg)}
		if a.again {
			a.failure = "" // it comes again where the book is busy still
		}
		if day := a.env.moment().Format(time.DateOnly); day != a.day || a.again {
			a.day, a.again = day, false
			cmds = append(cmds, a.all(changedMsg{}))
		}
		return a, tea.Batch(cmds...)
	case stampMsg:
		if msg.err != nil {
			a.lost = clean(msg.err.Error())
			return a, nil
		}
		a.lost = ""
		known := a.stamp != logbook.Stamp{}
		changed := msg.stamp != a.stamp
		a.stamp = msg.stamp
		if known && changed {
			return a, a.all(changedMsg{})
		}
		return a, nil
	case placeMsg:
		if len(a.stack) > 1 {
			return a, nil // the keeper was quicker
		}
		return a, a.all(msg)
	case openMsg:
		return a, a.push(msg.s)
	case exportMsg:
		return a, a.palette("export")
	case replaceMsg:
		a.leave(msg.old)
		changed := a.all(changedMsg{})
		return a, tea.Batch(changed, a.push(msg.s))
	case backMsg:
		a.notice = msg.notice
		return a, a.back()
	case doneMsg:
		a.notice = msg.notice
		a.leave(msg.s)
		if !msg.changed {
			return a, nil
		}
		return a, a.all(changedMsg{})
	case answeredMsg:
		a.notice = msg.notice
		if msg.screen != nil {
			a.leave(msg.screen)
		}
		return a, tea.Batch(a.all(msg), a.all(changedMsg{}))
	case noticeMsg:
		a.notice, a.failure = msg.text, ""
		return a, nil
	case failedMsg:
		a.failure = clean(msg.err.Error())
		a.again = a.again || errors.Is(msg.err, logbook.ErrBusy)
		for _, s := range a.stack {
			if s, is := s.(interface{ fail(why string) }); is {
				s.fail(a.failure)
			}
		}
		return a, goOn // keys may wait for what does not come
	default:
		return a, a.all(msg)
	}
}

// all hands a message to every open screen: an answer may be for one that is covered by another.
func (a *app) all(msg tea.Msg) tea.Cmd {
	var cmds []tea.Cmd
	for _, s := range a.stack {
		cmds = append(cmds, s.Update(msg))
	}
	return tea.Batch(cmds...)
}

func (a *app) press(msg tea.KeyMsg) tea.Cmd {
	k, top := a.env.keys.All, a.top()
	leaving := a.leaving
	a.notice, a.failure, a.leaving = "", "", false
	switch {
	case msg.Paste:
		return top.Update(msg)
	case key.Matches(msg, k.Leave):
		if a.unkept() && !leaving {
			a.leaving = true
			a.notice = "ctrl+c again leaves without keeping what you typed; ctrl+s saves it"
			return nil
		}
		return a.quit()
	case key.Matches(msg, k.Suspend):
		return tea.Suspend
	case key.Matches(msg, k.HelpTyping):
		return a.help()
	}
	if top.CapturesText() {
		return top.Update(msg)
	}
	switch {
	case key.Matches(msg, k.Help):
		return a.help()
	case key.Matches(msg, k.Palette):
		return a.palette("")
	case key.Matches(msg, k.Quit):
		if len(a.stack) == 1 {
			return a.quit()
		}
		return a.back()
	case key.Matches(msg, k.Back):
		if c, ok := top.(closer); ok && c.Close() {
			return nil
		}
		if len(a.stack) > 1 {
			return a.back()
		}
		return nil
	case !a.means(top, msg):
		a.notice = k.Help.Help().Key + " shows the keys"
		return nil
	}
	return top.Update(msg)
}

// means reports whether a key has a meaning on a screen.
func (a *app) means(s screen, msg tea.KeyMsg) bool {
	k := a.env.keys.All
	if key.Matches(msg, k.Up, k.Down, k.PageUp, k.PageDown, k.First, k.Last) || key.Matches(msg, s.Keys()...) {
		return true
	}
	return slices.ContainsFunc(s.Groups(), func(g group) bool { return key.Matches(msg, g.keys...) })
}

func (a *app) help() tea.Cmd {
	if _, ok := a.top().(*helpScreen); ok {
		return a.back()
	}
	return a.push(newHelp(a.env, a.top()))
}

// quit leaves; a screen with something typed puts it into the book first.
func (a *app) quit() tea.Cmd {
	for _, s := range a.stack {
		if k, ok := s.(keeper); ok && s.HasUnsaved() {
			return tea.Sequence(k.Keep(), tea.Quit)
		}
	}
	return tea.Quit
}

// unkept reports whether something is typed that quit would lose.
func (a *app) unkept() bool {
	return slices.ContainsFunc(a.stack, func(s screen) bool {
		_, keeps := s.(keeper)
		return s.HasUnsaved() && !keeps
	})
}

func (a *app) push(s screen) tea.Cmd {
	s.SetSize(a.w, a.bodyHeight())
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
	a.top().SetSize(a.w, a.bodyHeight())
	return nil
}

// leave takes a screen away, wherever it stands: help may have been called over it, or it may have been left meanwhile.
func (a *app) leave(s screen) {
	if i := slices.Index(a.stack, s); i > 0 {
		a.stack = slices.Delete(a.stack, i, i+1)
	}
	a.top().SetSize(a.w, a.bodyHeight())
}

// bodyHeight is what is left between the title and the help line.
func (a *app) bodyHeight() int { return max(0, a.h-2) }
