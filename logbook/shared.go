package logbook

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"slices"
	"time"

	bolt "go.etcd.io/bbolt"
)

// Shared says with whom a book is shared, and how far it knows their stream of lines. It lies in the file, and in no
// export.
//
// What a shared book holds stands in the stream up to Seq, or in the outbox: each commit puts there, in its own
// transaction, what it wrote, and what came back from the stream is taken out. Where that may not be so, Doubts is
// more than Settled, and the whole stream is read and compared with the whole book.
type Shared struct {
	Servers  string // addresses, with commas between
	Name     string // of the book, for all members
	Member   string // who this book is among them
	Creds    string // files of what the server is told and believed by; "": none
	Login    string
	CA       string
	Replicas int  // on how many servers the stream lies
	Probes   bool // dense days are shared whole

	Stream string // the identity of the stream that was read,
	Seq    uint64 // its last message that was taken in; 0: none,
	Mark   string // what tells that message from another one in its place,
	Gaps   uint64 // and how many messages were missing then

	Doubts, Settled uint64

	Members map[string]Sent // what came of each
}

// Sent is what came of one member.
type Sent struct {
	Last    time.Time // the server's time of its last message
	Hour    time.Time // the hour that is counted, of the server's time:
	Lines   int       // lines that came in it,
	Refused int       // and those of them that contradict the book
	Skipped int       // lines that were not taken, ever
	Why     string    // what was wrong with the last of them
	Waiting []string  // those of them that are tried again with what comes next
}

const (
	sharedName = "shared" // its one key, state → Shared as JSON
	outboxName = "outbox" // key of a line (see LineKey) → the line; nothing, of an entry
)

// ErrRefused is what TakeIn says of lines that contradict the book.
var ErrRefused = errors.New("not taken in")

// LineKey is what tells a line of JSON Lines from all others: the ID of an entry, else a hash of the line.
func LineKey(rec Record, line []byte) ID {
	if e, is := rec.(Entry); is {
		return e.EntryID()
	}
	sum := sha256.Sum256(line)
	return ID(sum[:len(ID{})])
}

// Shared gives with whom the book is shared; its Name is empty where it is not.
func (v *View) Shared() (Shared, error) { return ask(v, v.shared) }

func (v *View) shared() (s Shared) {
	if v.tx.Bucket([]byte(sharedName)) == nil {
		return s
	}
	key := []byte("state")
	if json.Unmarshal(mustUnseal(key, v.get(sharedName, key), "the checksum of what is shared does not fit"), &s) != nil {
		fail(damaged("what is shared cannot be read"))
	}
	return s
}

// Share changes with whom the book is shared, or how far it is. A Name that becomes empty ends it: nothing of it stays
// in the file.
func (b *Book) Share(change func(*Shared)) error {
	return b.update(task{}, func(w *writer) bool {
		w.share(change)
		return true
	})
}

func (w *writer) share(change func(*Shared)) {
	s := w.shared()
	if change(&s); s.Name != "" {
		value, _ := json.Marshal(s) // it always encodes
		put(w.bucket(sharedName), []byte("state"), value)
		w.bucket(outboxName)
		return
	}
	for _, name := range []string{sharedName, outboxName} {
		for k, _ := w.bucket(name).Cursor().First(); k != nil; k, _ = w.bucket(name).Cursor().First() {
			remove(w.bucket(name), bytes.Clone(k))
		}
		fail(w.tx.DeleteBucket([]byte(name)))
	}
}

// bucket gives a bucket that most books lack, and makes it first.
func (w *writer) bucket(name string) *bolt.Bucket {
	bucket, err := w.tx.CreateBucketIfNotExists([]byte(name))
	fail(err)
	return bucket
}

// outgoing is what a writing put into a shared book, to be sent.
type outgoing struct {
	key  ID
	line []byte // of what is no entry
}

// toSend notes of an entry, by its ID, or of another record that the others are to get it.
func (w *writer) toSend(id ID, rec Record) {
	if !w.sends || w.arriving || len(w.out) > manyRecords {
		return
	}
	o := outgoing{key: id}
	if rec != nil {
		o.line = RecordJSON(rec)
		o.key = LineKey(rec, o.line)
	}
	w.out = append(w.out, o)
}

// keepOutgoing puts what is to be sent into the outbox. Of a large import it notes only that there is something.
func (w *writer) keepOutgoing() {
	if len(w.out) > manyRecords {
		w.share(func(s *Shared) { s.Doubts++ })
		return
	}
	slices.SortFunc(w.out, func(a, b outgoing) int { return bytes.Compare(a.key[:], b.key[:]) })
	for _, o := range w.out {
		_ = w.get(outboxName, o.key[:])
		put(w.bucket(outboxName), o.key[:], o.line)
	}
}

// TakeIn takes in lines that came from others, as ImportBatch does, but as nothing that could be undone here, and takes
// what came back of the book's own out of the outbox, by its keys; then says how far that is. Strikes of what is not
// here are left out, see Batch.Missing. All of it is one transaction. ErrRefused if one of the lines contradicts the
// book; nothing is kept then.
func (b *Book) TakeIn(bt *Batch, came []ID, then func(*Shared)) (done Imported, err error) {
	im := importer{batch: bt, ofLog: true, done: Imported{ByKind: map[Kind]int{}}}
	err = b.update(task{records: bt.Len()}, func(w *writer) bool {
		w.arriving, im.writer = true, w
		if err := attempt(im.takeIn); errors.Is(err, ErrDamaged) {
			fail(err)
		} else if err != nil {
			fail(&namedError{err.Error(), ErrRefused})
		}
		if outbox := w.bucket(outboxName); keyCount(outbox) > 0 {
			for _, key := range came {
				_ = w.get(outboxName, key[:])
				remove(outbox, key[:])
			}
		}
		w.share(then)
		w.save = Save{}
		return true
	})
	return im.done, err
}

// Outgoing is what is sent as one: a line, or a strike with the lines that it names before it, so that whoever takes it
// in lacks nothing. Text is empty where it is not to be sent, being left out of the thinned course.
type Outgoing struct {
	Key   ID
	Text  []byte // lines
	Alone bool   // it says the same whatever came before it
}

// Unsent gives the first things in the outbox, at most so many, and how many there are.
func (v *View) Unsent(most int) (out []Outgoing, all int, err error) {
	err = v.guarded(func() {
		if v.tx.Bucket([]byte(outboxName)) == nil {
			return
		}
		all = keyCount(v.tx.Bucket([]byte(outboxName)))
		f := forwarder{View: v, probes: v.shared().Probes}
		c := v.cursor(outboxName)
		for k, sealed := c.First(); k != nil && len(out) < most; k, sealed = c.Next() {
			id := ID(k)
			line := mustUnseal(k, sealed, "the checksum of a line to be sent does not fit")
			if len(line) > 0 {
				out = append(out, Outgoing{id, f.withEntries(bytes.Clone(line)), !isStrike(line)})
			} else {
				out = append(out, f.entry(v.kept(id)))
			}
		}
	})
	return out, all, err
}

// Held gives what the book holds, to be sent, from a place on, at most so much of it, and the place behind it; nil at
// the end. The place to begin at is empty.
func (v *View) Held(place []byte, most int) (out []Outgoing, next []byte, err error) {
	err = v.guarded(func() {
		f := forwarder{View: v, probes: v.shared().Probes}
		buckets := append(gather(EntryKinds(), func(k Kind) string { return string(k) }), "struck")
		if len(place) == 0 {
			out = f.definitions()
			place = []byte{0}
		}
		for stage := int(place[0]); stage < len(buckets); stage++ {
			c, after := v.cursor(buckets[stage]), place[1:]
			for k, sealed := c.Seek(after); k != nil; k, sealed = c.Next() {
				if len(out) >= most {
					next = slices.Concat([]byte{byte(stage)}, k)
					return
				}
				if kind := Kind(buckets[stage]); kind != "struck" {
					out = append(out, f.entry(v.entry(kind, k, sealed)))
					continue
				}
				line := RecordJSON(readSealedStruck(ID(k), sealed).strike)
				out = append(out, Outgoing{Key: LineKey(Strike{}, line), Text: f.withEntries(line)})
			}
			place = []byte{0}
		}
	})
	return out, next, err
}

// forwarder makes lines of what a book holds.
type forwarder struct {
	*View
	probes bool
	line   jsonLine
	day    seriesKey // the series and day that were last looked at,
	dense  bool      // and whether it has more readings than are shared whole
}

// OwnParameters gives the lines of the parameters that the book defines itself, without which others' books could not
// read those that name them.
func (v *View) OwnParameters() (lines []byte, err error) {
	err = v.guarded(func() {
		for _, c := range v.changesByName() {
			if c.Kind() == KindParameter {
				lines = append(append(lines, RecordJSON(c)...), '\n')
			}
		}
	})
	return lines, err
}

func (f *forwarder) definitions() (out []Outgoing) {
	for _, c := range f.changesByName() {
		line := RecordJSON(c)
		out = append(out, Outgoing{LineKey(c, line), append(line, '\n'), true})
	}
	return out
}

func (f *forwarder) entry(e Entry) Outgoing {
	if r, is := e.(Reading); is && !f.inCourse(r) {
		return Outgoing{Key: r.ID}
	}
	return Outgoing{e.EntryID(), bytes.Clone(f.line.of(e)), true}
}

func isStrike(line []byte) bool { return bytes.HasPrefix(line, []byte(`{"kind":"strike"`)) }

// withEntries puts before the line of a strike the entries that it names.
func (f *forwarder) withEntries(line []byte) (text []byte) {
	if isStrike(line) {
		fail(EachJSONL(bytes.NewReader(line), JSONLOptions{}, func(rec Record) error {
			s := rec.(Strike)
			for _, id := range []ID{s.Target, s.Successor} {
				if e := f.kept(id); e != nil {
					text = append(text, f.line.of(e)...)
				}
			}
			return nil
		}))
	}
	return append(append(text, line...), '\n')
}

// A day of more readings of one parameter than denseDay is shared thinned: the first of each courseStep.
const (
	denseDay   = 12
	courseStep = 2 * time.Hour
)

// inCourse reports whether a reading belongs to what is shared of its day.
func (f *forwarder) inCourse(r Reading) bool {
	if f.probes {
		return true
	}
	tank, known := f.names.find(r.Tank)
	subject, knows := f.names.find(r.Parameter)
	if !known || !knows {
		return true
	}
	of, nanos := series{tank, subject}, r.Time.UnixNano()
	start := nanos - nanos%int64(24*time.Hour)
	if day := newSeriesKey(tank, subject, start, ID{}); day != f.day {
		f.day = day
		f.dense = f.entryCursor(KindReading).count(of, start, start+int64(24*time.Hour)-1, denseDay) > denseDay
	}
	if !f.dense {
		return true
	}
	for key := range f.eachIn(KindReading, of, nanos-nanos%int64(courseStep), nanos) {
		return key.id() == r.ID
	}
	return true // a struck one
}
