package share

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// A message holds at most so many bytes of lines. A server takes 1 MiB unless it is told otherwise.
const (
	mostBytes    = 1 << 20
	packBytes    = 1 << 18
	packLines    = 1000
	identityName = "leadline" // of the stream's identity in its metadata
)

func streamName(s logbook.Shared) string { return "leadline-" + s.Name }
func subjectOf(s logbook.Shared) string  { return "leadline." + s.Name + "." + s.Member }

// LongestName is how long the name of a shared book or of a member may be.
const LongestName = 40

var isName = regexp.MustCompile(`^[A-Za-z0-9_-]+$`)

// CheckName refuses names that cannot be part of the name of a stream.
func CheckName(what, name string) error {
	if name == "" {
		return wrong(nil, "--name BOOK says which", "the name of the %s is missing", what)
	}
	if !isName.MatchString(name) || len(name) > LongestName {
		return wrong(nil, "letters a to z, digits, - and _, at most 40 of them", "%q is no name for a %s", name, what)
	}
	return nil
}

// session is one connection of a book with its stream.
type session struct {
	book  *logbook.Book
	opt   Options
	nc    *nats.Conn
	js    jetstream.JetStream
	state logbook.Shared // as of our last transaction

	stream jetstream.Stream
	it     jetstream.MessagesContext // nil until something is read

	at    uint64                    // the last message that was read
	taken uint64                    // how many were, which shows those that the connection lost
	last  uint64                    // the last message of the stream, as far as is known
	sent  uint64                    // the last message that we sent
	own   map[[16]byte][]logbook.ID // by its digest, what a message of ours holds that need not be read again
	Done
	seen   map[logbook.ID]struct{} // what the stream holds; nil where nobody asks
	doubts uint64                  // that are settled once it is compared
}

func (s *session) close() {
	if s.it != nil {
		s.it.Stop()
	}
	s.nc.Close()
}

// dial connects.
func dial(book *logbook.Book, state logbook.Shared, opt Options) (*session, error) {
	nc, err := connect(state, opt.within())
	if err != nil {
		return nil, err
	}
	s := &session{book: book, opt: opt, nc: nc, state: state, own: map[[16]byte][]logbook.ID{}}
	s.js, err = jetstream.New(nc, jetstream.WithPublishAsyncMaxPending(mostInFlight),
		jetstream.WithPublishAsyncTimeout(answerWithin))
	return s, err
}

// begin connects, and finds out where in the stream the book stands.
func begin(ctx context.Context, book *logbook.Book, opt Options) (*session, error) {
	state, err := shared(book)
	if err != nil {
		return nil, err
	}
	s, err := dial(book, state, opt)
	if err != nil {
		return nil, err
	}
	if err := s.find(ctx); err != nil {
		s.close()
		return nil, inWords(state, err)
	}
	return s, nil
}

// find finds the stream, makes it anew where it is gone, and begins to read behind the last message that was taken in;
// or from the first on, where the stream is not the one that the book knows.
func (s *session) find(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, s.opt.within())
	defer cancel()
	stream, err := s.js.Stream(ctx, streamName(s.state))
	if errors.Is(err, jetstream.ErrStreamNotFound) {
		tell(s.opt.Tell, "the server has no book %s any more: it is made anew there from this one", s.state.Name)
		stream, err = s.create(ctx)
	}
	if err != nil {
		return err
	}
	info := stream.CachedInfo()
	s.last = info.State.LastSeq
	identity, gaps := info.Config.Metadata[identityName], info.State.LastSeq-info.State.Msgs
	fits, err := s.fits(ctx, stream, identity, gaps)
	if err != nil {
		return err
	}
	if !fits {
		if s.state.Stream != "" {
			tell(s.opt.Tell, "the stream of %s is not as this book knows it: all of it is read, and gets what it lacks",
				s.state.Name)
		}
		err := s.share(func(sh *logbook.Shared) {
			sh.Stream, sh.Gaps, sh.Seq, sh.Mark, sh.Members = identity, gaps, 0, "", nil
			if s.state.Stream != "" { // of a new member Begin has said it
				sh.Doubts++
			}
		})
		if err != nil {
			return err
		}
	}
	s.at = s.state.Seq
	if s.state.Doubts > s.state.Settled {
		s.at, s.seen, s.doubts = 0, map[logbook.ID]struct{}{}, s.state.Doubts
	}
	s.stream = stream
	return nil
}

// listen begins to read behind the message that was read last.
func (s *session) listen(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, s.opt.within())
	defer cancel()
	consumer, err := s.stream.CreateConsumer(ctx, jetstream.ConsumerConfig{
		DeliverPolicy: jetstream.DeliverByStartSequencePolicy, OptStartSeq: s.at + 1,
		AckPolicy: jetstream.AckNonePolicy, MemoryStorage: true, Replicas: 1, InactiveThreshold: time.Minute,
	})
	if err == nil {
		s.it, err = consumer.Messages(jetstream.PullMaxBytes(4 * mostBytes))
	}
	return err
}

// fits reports whether a stream holds what the book took from it.
func (s *session) fits(ctx context.Context, stream jetstream.Stream, identity string, gaps uint64) (bool, error) {
	switch {
	case identity != s.state.Stream, s.last < s.state.Seq, gaps > s.state.Gaps:
		return false, nil
	case s.state.Seq == 0:
		return true, nil
	}
	m, err := stream.GetMsg(ctx, s.state.Seq)
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return false, nil
	}
	return err == nil && markOf(m.Time, digest(m.Data)) == s.state.Mark, err
}

// digest is what tells the text of a message from others, and markOf what tells a message from another one in its
// place.
func digest(data []byte) [16]byte {
	sum := sha256.Sum256(data)
	return [16]byte(sum[:])
}

func markOf(at time.Time, digest [16]byte) string {
	return fmt.Sprintf("%d-%x", at.UnixNano(), digest[:8])
}

// create makes the stream. Where another member was quicker, that one's is it.
func (s *session) create(ctx context.Context) (jetstream.Stream, error) {
	stream, err := s.js.CreateStream(ctx, jetstream.StreamConfig{
		Name: streamName(s.state), Subjects: []string{"leadline." + s.state.Name + ".*"},
		Description: "a shared book of leadline",
		Metadata:    map[string]string{identityName: rand.Text()}, Replicas: s.state.Replicas, Storage: jetstream.FileStorage,
		Compression: jetstream.S2Compression, MaxMsgSize: mostBytes, DenyDelete: true, DenyPurge: true,
		Discard: jetstream.DiscardNew,
	})
	if errors.Is(err, jetstream.ErrStreamNameAlreadyInUse) {
		return s.js.Stream(ctx, streamName(s.state))
	}
	return stream, err
}

// share changes what the book knows of the stream.
func (s *session) share(change func(*logbook.Shared)) error {
	return s.book.Share(func(sh *logbook.Shared) {
		change(sh)
		s.state = *sh
	})
}

// memberOf is the member that a message came from: the last word of its subject, which the server can hold it to.
func memberOf(subject string) string { return subject[strings.LastIndexByte(subject, '.')+1:] }
