package share

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/testdata/server"
)

var histories = flag.Int("histories", 2, "how many random histories of a team are played")

// Whatever a team does, and whatever happens to its server, its stream and its files: once all are in step, all books
// are one, and nothing that was noted is missing.
func TestAnyHistoryEndsEqual(t *testing.T) {
	seeds := *histories
	if testing.Short() {
		seeds = 1
	}
	for seed := range uint64(seeds) {
		t.Run(fmt.Sprint(seed), func(t *testing.T) {
			h := &history{T: t, random: rand.New(rand.NewPCG(seed, 1)), server: server.New(t, "").Start(),
				noted: map[string]bool{},
				now:   time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)}
			h.play(60)
		})
	}
}

type history struct {
	*testing.T
	random  *rand.Rand
	server  *server.Server
	members []*member
	noted   map[string]bool // IDs
	backup  string          // of the server's streams; "": none
	told    []string        // what happened
	now     time.Time
}

func (h *history) play(steps int) {
	for i := range 3 {
		m := newMember(h, fmt.Sprint("member", i))
		h.members = append(h.members, m)
		wrong := time.Duration(h.random.IntN(10)-5) * 24 * time.Hour // its clock is
		m.book.NotedBy(func() time.Time {
			h.now = h.now.Add(time.Second)
			return h.now.Add(wrong)
		}, func() string { return m.name })
		m.note(logbook.Tank{Name: "forereef"})
		h.note(m)
		if i == 0 {
			m.create(h.server.URL())
		} else {
			m.join(h.server.URL())
		}
	}
	for range steps {
		h.step(h.members[h.random.IntN(len(h.members))])
	}
	for range 2 {
		for _, m := range h.members {
			m.sync()
		}
	}
	defer func() {
		if h.Failed() {
			h.Log(strings.Join(h.told, "\n"))
		}
	}()
	same(h, h.members...)
	all := h.members[0].export()
	for id := range h.noted {
		if !strings.Contains(all, id) {
			h.Errorf("%s was noted and is in no book", id)
		}
	}
	for _, m := range h.members {
		if n := m.waiting(); n > 0 {
			h.Errorf("%s has %d lines to send", m.name, n)
		}
		if found, err := logbook.Verify(m.book.Path()); err != nil || len(found.Problems) > 0 {
			h.Errorf("%s: %v %v", m.name, err, found.Problems)
		}
	}
}

func (h *history) tell(format string, args ...any) {
	h.told = append(h.told, fmt.Sprintf(format, args...))
}

func (h *history) note(m *member) {
	for _, id := range m.note(reading(h.random.IntN(30), float64(1+h.random.IntN(40)))) {
		h.noted[id.String()] = true
		h.tell("%s notes %s", m.name, id)
	}
}

// lines are the entries that a member has and that stand.
func (h *history) entry(m *member) (e logbook.Reading, found bool) {
	var all []logbook.Reading
	err := m.book.View(func(v *logbook.View) error {
		return v.EachReading(func(r logbook.Reading) error {
			all = append(all, r)
			return nil
		})
	})
	if err != nil {
		h.Fatal(err)
	}
	if len(all) == 0 {
		return e, false
	}
	return all[h.random.IntN(len(all))], true
}

func (h *history) step(m *member) {
	at := time.Date(2026, 4, 1, 0, h.random.IntN(1000), 0, 0, time.UTC)
	switch n := h.random.IntN(100); {
	case n < 30:
		h.note(m)
	case n < 40:
		if r, found := h.entry(m); found {
			var next logbook.Entry
			if n < 36 {
				changed := r
				changed.ID, changed.Text, changed.Value = logbook.ID{}, "9", 9
				next = changed
			}
			_, err := m.book.Strike(logbook.Strike{Target: r.ID, Time: at, Why: "a slip"}, next)
			h.tell("%s strikes %s (%v)", m.name, r.ID, err)
		}
	case n < 44:
		if s := m.book.Saved(); s.Number > 0 {
			u, err := m.book.Undo(s.Number, logbook.Strike{Time: at})
			h.tell("%s takes back %d: %d struck, %d stand again (%v)", m.name, s.Number, len(u.Struck), len(u.Back), err)
		}
	case n < 50:
		h.tell("%s changes the tank", m.name)
		low := float64(h.random.IntN(9))
		parameter := []string{"nitrate", "phosphate"}[h.random.IntN(2)]
		m.note(logbook.Tank{Name: "forereef", VolumeL: float64(100 + h.random.IntN(900)),
			Bands: map[string]logbook.Band{parameter: {Low: &low, Unit: "mg/L"}}})
	case n < 54:
		h.takeIn(m)
	case n < 56:
		h.tell("%s gives the tank another name", m.name)
		_, _ = m.book.RenameTank("forereef", []string{"reef", "front", "back"}[h.random.IntN(3)], h.now)
	case n < 75:
		h.tell("%s syncs", m.name)
		m.sync()
	case n < 85:
		h.tell("%s is cut off while it syncs", m.name)
		m.syncFor(time.Duration(h.random.IntN(30)) * time.Millisecond)
	case n < 88:
		h.tell("the stream is deleted")
		deleteStream(h, h.server)
	case n < 91:
		h.tell("messages come twice, with the right name and with another")
		h.again()
	case n < 94:
		h.restoreServer()
	case n < 97:
		h.tell("%s loses its file, and puts an old copy back", m.name)
		m.sync()
		for _, other := range h.members { // or the stream alone would have it, which may be lost as well
			other.sync()
		}
		if m.copy != "" {
			restore(h, m.copy, m.book.Path())
		}
	default:
		h.tell("%s makes a copy of its file", m.name)
		m.copy = filepath.Join(h.TempDir(), "copy.book")
		if err := m.book.Backup(m.copy); err != nil {
			h.Fatal(err)
		}
	}
}

// takeIn has a member import lines that tell no moment of their own, as an old export does: of a tank whose name may
// differ in capital letters alone, or be set apart, with what was set of it, and of a test that somebody else made.
func (h *history) takeIn(m *member) {
	name := []string{"forereef", "Forereef", "FOREREEF", "lagoon", "reef"}[h.random.IntN(5)]
	r := reading(h.random.IntN(30), float64(1+h.random.IntN(40)))
	r.Tank, r.Who = name, []string{"", "ann", "Ann", "ben"}[h.random.IntN(4)]
	var lines logbook.Batch
	var recs []logbook.Record
	switch h.random.IntN(4) {
	case 0:
		recs = []logbook.Record{logbook.Tank{Name: name, VolumeL: float64(100 + h.random.IntN(900))}}
	case 1:
		recs = []logbook.Record{logbook.Tank{Name: name, Was: []string{"sump"}}}
	case 2:
		recs = []logbook.Record{r, logbook.Tank{Name: name, Apart: true}}
	}
	for _, rec := range append(recs, r) {
		if err := lines.Add(rec); err != nil {
			h.Fatal(err)
		}
	}
	done, err := m.book.ImportBatch(&lines)
	h.tell("%s takes in %v: %d added (%v)", m.name, recs, done.Added, err)
}

// restoreServer puts an old copy of the server's streams back, or makes one.
func (h *history) restoreServer() {
	streams := filepath.Join(h.server.Folder, "streams")
	h.server.Stop()
	defer h.server.Start()
	if h.backup == "" {
		h.tell("the server is copied")
		h.backup = filepath.Join(h.TempDir(), "streams")
		if err := os.CopyFS(h.backup, os.DirFS(streams)); err != nil {
			h.Fatal(err)
		}
		return
	}
	h.tell("the server is put back to what it was")
	if err := os.RemoveAll(streams); err != nil {
		h.Fatal(err)
	}
	if err := os.CopyFS(streams, os.DirFS(h.backup)); err != nil {
		h.Fatal(err)
	}
}

// again publishes some messages of the stream once more, out of order.
func (h *history) again() {
	js := jetStream(h, h.server)
	stream, err := js.Stream(h.Context(), "leadline-reef")
	if err != nil {
		return // it was deleted
	}
	last := stream.CachedInfo().State.LastSeq
	for range 3 {
		if last == 0 {
			return
		}
		m, err := stream.GetMsg(h.Context(), 1+h.random.Uint64N(last))
		if err != nil {
			h.Fatal(err)
		}
		if _, err := js.Publish(h.Context(), m.Subject, m.Data); err != nil {
			h.Fatal(err)
		}
	}
}
