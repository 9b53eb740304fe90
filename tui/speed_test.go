package tui

import (
	"math/rand/v2"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/logbook"
)

// millionReadings is the size of the books that speed is measured on.
const millionReadings = 1_000_000

// millionBook holds a million readings of eight parameters, shared out among tanks, evenly spaced up to noon; each
// series wanders about the level it begins at.
func millionBook(b *testing.B, tanks ...string) *logbook.Book {
	b.Helper()
	book, err := logbook.Create(filepath.Join(b.TempDir(), "million.book"))
	if err != nil {
		b.Fatal(err)
	}
	levels := map[string]float64{"alkalinity": 8.1, "calcium": 420, "magnesium": 1300, "nitrate": 6, "phosphate": 0.05,
		"salinity":    35,
		"temperature": 25.3, "pH": 8.15}
	random := rand.New(rand.NewPCG(1, 2))
	var batch logbook.Batch
	each := millionReadings / len(tanks) / len(levels)
	for _, tank := range tanks {
		for name, level := range levels {
			p, x := parameter(b, name), level
			for i := range each {
				x += 0.02*(level-x) + 0.003*level*random.NormFloat64()
				text := strconv.FormatFloat(x, 'f', p.Digits, 64)
				value, _ := strconv.ParseFloat(text, 64)
				r := logbook.Reading{Time: noon.Add(-time.Duration(i) * 160 * time.Minute), Tank: tank, Parameter: p.Name,
					Text: text, Unit: p.Unit, Value: value}
				if err := batch.Add(&r); err != nil {
					b.Fatal(err)
				}
			}
		}
	}
	if _, err := book.ImportBatch(&batch); err != nil {
		b.Fatal(err)
	}
	return book
}

func fiveTanks() []string { return []string{"forereef", "lagoon", "backreef", "nursery", "frags"} }

// BenchmarkStart measures from the making of the interface to the first frame that shows the latest readings, and to
// that on which every line is examined. Commands run side by side, as in the event loop. The start of the process comes
// on top.
func BenchmarkStart(b *testing.B) {
	for _, tanks := range [][]string{{"forereef"}, fiveTanks()} {
		book := millionBook(b, tanks...)
		b.Run(strconv.Itoa(len(tanks))+"-tanks", func(b *testing.B) {
			var first, whole time.Duration
			for b.Loop() {
				begin := time.Now()
				a := newApp(Options{Book: book, Now: clock, NoColor: true})
				resize(a, 120, 40)
				answers := make(chan tea.Msg)
				start := func(cmd tea.Cmd) {
					if cmd != nil {
						go func() { answers <- cmd() }()
					}
				}
				start(a.top().Init())
				g := a.top().(*glance)
				shown := false
				for !g.Loaded || g.left > 0 {
					switch msg := (<-answers).(type) {
					case nil:
					case tea.BatchMsg:
						for _, c := range msg {
							start(c)
						}
					default:
						_, cmd := a.Update(msg)
						start(cmd)
						if frame := a.View(); !shown && strings.Contains(frame, "dKH") {
							shown = true
							first += time.Since(begin)
						}
					}
				}
				_ = a.View()
				whole += time.Since(begin)
			}
			b.ReportMetric(float64(first.Microseconds())/1000/float64(b.N), "first-ms")
			b.ReportMetric(float64(whole.Microseconds())/1000/float64(b.N), "complete-ms")
		})
	}
}

// frames counts how long each Update with the View after it takes; the commands between them do not count.
type frameTimes struct {
	a     *app
	times []time.Duration
	worst map[time.Duration]string
}

func (f *frameTimes) step(what string, msg tea.Msg) {
	begin := time.Now()
	_, cmd := f.a.Update(msg)
	_ = f.a.View()
	took := time.Since(begin)
	f.times = append(f.times, took)
	f.worst[took] = what
	f.follow(what, cmd)
}

// follow runs a command and steps through its answers, leaving the clock aside.
func (f *frameTimes) follow(what string, cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	msg := cmd()
	if msg == nil {
		return
	}
	if several := reflect.ValueOf(msg); several.Type().ConvertibleTo(reflect.TypeFor[[]tea.Cmd]()) {
		for _, c := range several.Convert(reflect.TypeFor[[]tea.Cmd]()).Interface().([]tea.Cmd) {
			f.follow(what, c)
		}
		return
	}
	f.step(what+" answered", msg)
}

// aLongSitting is what a keeper may press in a long sitting, on every kind of screen.
func aLongSitting() []string {
	var keys []string
	press := func(names ...string) { keys = append(keys, names...) }
	times := func(n int, name string) {
		for range n {
			press(name)
		}
	}
	write := func(text string) { press(strings.Split(text, "")...) }
	times(12, "j")
	times(6, "k")
	press("tab", "shift+tab", "g", "j", "enter")
	for range 3 { // a chart, close and over twenty years
		press("+")
		times(7, "-")
		times(4, "h")
		times(2, "l")
		press("v")
		times(15, "h")
		times(10, "l")
		press("v", "L", "L", "o", "o", "O", "O", "W", "j", "k", "esc", "U", "esc")
		times(10, "j")
		press("pgdown", "G", "g", "0", "tab")
	}
	press("esc", "J")
	times(20, "j")
	press("pgdown", "pgdown", "f", "f", "f", "f", "/")
	write("8.1")
	press("enter", "G", "g", "esc", "esc", "t")
	for _, value := range []string{"8.2", "425", "1290", "5.5"} {
		write(value)
		press("enter")
	}
	press("ctrl+n")
	write("after the change of water")
	press("enter", "ctrl+x", "ctrl+x", "X")
	times(4, "h")
	press("l", "-", "+", "j", "j", "enter", "esc", ":")
	write("dose")
	press("esc", "a", "j", "k", "esc", "s", "esc", "?", "j", "k", "esc")
	return keys
}

// BenchmarkFrames measures every frame of a long sitting at a book of a million readings: the 50th and 99th of a
// hundred, and the worst, of one Update with the View after it.
func BenchmarkFrames(b *testing.B) {
	book := millionBook(b, fiveTanks()...)
	a := newApp(Options{Book: book, Now: clock, NoColor: true})
	resize(a, 120, 40)
	f := &frameTimes{a: a, worst: map[time.Duration]string{}}
	for b.Loop() {
		f.follow("start", a.top().Init())
		for _, k := range aLongSitting() {
			runtime.Gosched()
			f.step(k+" on "+a.top().About().Title, keyNamed(k))
		}
		if len(a.stack) != 1 {
			b.Fatalf("the sitting ends on %s", a.top().About().Title)
		}
	}
	slices.Sort(f.times)
	at := func(share float64) time.Duration { return f.times[int(share*float64(len(f.times)-1))] }
	for name, d := range map[string]time.Duration{"p50-ms": at(0.5), "p99-ms": at(0.99), "worst-ms": at(1)} {
		b.ReportMetric(float64(d.Microseconds())/1000, name)
	}
	for _, d := range f.times[max(0, len(f.times)-5):] {
		b.Logf("%v: %s", d, f.worst[d])
	}
}
