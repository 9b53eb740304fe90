package share

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
	"leadline/testdata/server"
)

func TestMain(m *testing.M) {
	server.BeOne()
	beMember()
	os.Exit(m.Run())
}

// member is a book of a team.
type member struct {
	t    testing.TB
	name string
	book *logbook.Book
	said []string

	replicas int
	probes   bool
	login    string
	copy     string // of the book, made at some time
}

func newMember(t testing.TB, name string) *member {
	t.Helper()
	book, err := logbook.Create(filepath.Join(t.TempDir(), name+".book"))
	if err != nil {
		t.Fatal(err)
	}
	return &member{t: t, name: name, book: book, replicas: 1}
}

func (m *member) opt() Options {
	return Options{Tell: func(text string) { m.said = append(m.said, text) }}
}

func (m *member) create(url string) { m.begin(url, true) }
func (m *member) join(url string)   { m.begin(url, false) }

func (m *member) begin(url string, isNew bool) {
	m.t.Helper()
	m.begun(url, isNew)
	m.sync()
}

// begun becomes a member, and syncs nothing yet.
func (m *member) begun(url string, isNew bool) {
	m.t.Helper()
	if err := m.try(url, isNew); err != nil {
		m.t.Fatal(err)
	}
}

func (m *member) try(url string, isNew bool) error {
	with := logbook.Shared{Servers: url, Name: "reef", Member: m.name, Replicas: m.replicas, Probes: m.probes,
		Login: m.login}
	open := func() (*logbook.Book, error) { return m.book, nil }
	_, _, err := Begin(m.t.Context(), open, with, isNew, m.opt())
	return err
}

// syncFor syncs and is cut off after a while.
func (m *member) syncFor(d time.Duration) {
	ctx, cancel := context.WithTimeout(context.Background(), d)
	defer cancel()
	_, _ = Sync(ctx, m.book, m.opt())
}

// jetStream is a connection to a server, as one has who may do anything there.
func jetStream(t testing.TB, s *server.Server) jetstream.JetStream {
	t.Helper()
	nc, err := nats.Connect(s.URL())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(nc.Close)
	js, err := jetstream.New(nc)
	if err != nil {
		t.Fatal(err)
	}
	return js
}

func deleteStream(t testing.TB, s *server.Server) {
	t.Helper()
	if err := jetStream(t, s).DeleteStream(t.Context(), "leadline-reef"); err != nil &&
		!errors.Is(err, jetstream.ErrStreamNotFound) {
		t.Fatal(err)
	}
}

// restore puts a copy of a book in its place.
func restore(t testing.TB, from, to string) {
	t.Helper()
	if _, err := logbook.Restore(from, to); err != nil {
		t.Fatal(err)
	}
}

func (m *member) sync() Done {
	m.t.Helper()
	done, err := Sync(context.Background(), m.book, m.opt())
	if err != nil {
		m.t.Fatal(m.name, err)
	}
	return done
}

func (m *member) note(recs ...logbook.Record) []logbook.ID {
	m.t.Helper()
	ids, err := m.book.Append(recs...)
	if err != nil {
		m.t.Fatal(err)
	}
	return ids
}

func (m *member) export() string {
	m.t.Helper()
	var b bytes.Buffer
	if err := m.book.View(func(v *logbook.View) error {
		return logbook.WriteJSONL(&b, v, logbook.ExportOptions{})
	}); err != nil {
		m.t.Fatal(err)
	}
	return b.String()
}

func (m *member) waiting() int {
	n, err := Waiting(m.book)
	if err != nil {
		m.t.Fatal(err)
	}
	return n
}

func reading(n int, value float64) logbook.Reading {
	return logbook.Reading{Tank: "forereef", Parameter: "nitrate", Time: time.Date(2026, 3, 1, 9+6*n, 0, 0, 0, time.UTC),
		Text: fmt.Sprint(value), Value: value, Unit: "mg/L"}
}

func same(t testing.TB, members ...*member) {
	t.Helper()
	for _, m := range members[1:] {
		if a, b := members[0].export(), m.export(); a != b {
			t.Fatalf("%s holds\n%s\nand %s\n%s", members[0].name, a, m.name, b)
		}
	}
}

func TestTwoBooksBecomeOne(t *testing.T) {
	server := server.New(t, "").Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef", VolumeL: 450}, reading(0, 4))
	ben.note(logbook.Tank{Name: "lagoon"}, logbook.Tank{Name: "forereef"}, reading(1, 5))
	ann.create(server.URL())
	ben.join(server.URL())
	ann.sync()
	same(t, ann, ben)
	id := ben.note(reading(2, 6))[0]
	ben.sync()
	if _, err := ann.book.Strike(logbook.Strike{Target: ann.note(reading(3, 7))[0], Why: "slip", Time: time.Unix(1e9, 0)},
		nil); err != nil {
		t.Fatal(err)
	}
	ann.sync()
	if _, err := ann.book.Strike(logbook.Strike{Target: id, Time: time.Unix(1e9, 0)}, reading(2, 6.5)); err != nil {
		t.Fatal(err)
	}
	ann.sync()
	ben.sync()
	same(t, ann, ben)
	if ann.waiting()+ben.waiting() > 0 {
		t.Error("something waits to be sent")
	}
	t.Log(ann.export())
}

// What is noted while lines are sent is no sign that they do not come back.
func TestNotedWhileSending(t *testing.T) {
	server := server.New(t, "").Start()
	ann := newMember(t, "ann")
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(server.URL())
	ann.sync()
	ann.note(reading(0, 4))
	n, opt := 0, ann.opt()
	opt.Progress = func(string) {
		if n++; n < 4 {
			ann.note(reading(n, 4))
		}
	}
	if done, err := Sync(t.Context(), ann.book, opt); err != nil || done.Sent != 4 {
		t.Errorf("%+v were sent (%v), want 4 readings", done, err)
	}
}
