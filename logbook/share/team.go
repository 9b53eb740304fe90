package share

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// Begin shares a book, as one that is new on the server, or as one that another member made. The book is opened once
// the server has answered; Sync then brings it in step. A member whose name is taken gets a number behind it.
func Begin(ctx context.Context, open func() (*logbook.Book, error), with logbook.Shared, isNew bool,
	opt Options) (*logbook.Book, logbook.Shared, error) {
	s, err := dial(nil, with, opt)
	if err != nil {
		return nil, with, notShared(err)
	}
	defer s.close()
	err = s.begin(ctx, open, isNew)
	return s.book, s.state, notShared(inWords(with, err))
}

// NotYet is nil of a book that is shared with nobody yet; logbook.ErrExists says as what it is shared, and where.
func NotYet(book *logbook.Book) error {
	state, err := shared(book)
	if errors.Is(err, ErrNotShared) {
		return nil
	}
	return cmp.Or(err, wrong(logbook.ErrExists, "leadline share leave ends that",
		"the book is shared as %s already, at %s", state.Name, state.Servers))
}

// notShared is the error of a book that is not shared yet, from which nothing goes over later.
func notShared(err error) error {
	if known, is := errors.AsType[*Error](err); is && known.hint == laterHint {
		return &Error{known.text, "nothing is shared yet: see to the server and its address, then do it again", known.cause}
	}
	return err
}

func (s *session) begin(ctx context.Context, open func() (*logbook.Book, error), isNew bool) error {
	stream, err := s.js.Stream(ctx, streamName(s.state))
	is, known := err == nil, err == nil || errors.Is(err, jetstream.ErrStreamNotFound)
	switch name := s.state.Name; {
	case !known:
		return err
	case is && isNew:
		return wrong(logbook.ErrExists, "leadline share join URL --name "+name, "a book %s is shared there already", name)
	case !is && !isNew:
		return wrong(logbook.ErrNotFound, "leadline share create URL --name "+name, "no book %s is shared there", name)
	case is:
		s.state.Replicas = stream.CachedInfo().Config.Replicas
	}
	if s.book, err = open(); err != nil {
		return &Error{err.Error(), "", err}
	}
	if err := NotYet(s.book); err != nil {
		return err
	}
	if isNew {
		if _, err := s.create(ctx); err != nil {
			return err
		}
	}
	kv, err := s.members(ctx)
	if err != nil {
		return err
	}
	for n := 2; ; n++ {
		name := s.state.Member
		if _, err = kv.Create(ctx, name, []byte("{}")); err == nil {
			break
		} else if !errors.Is(err, jetstream.ErrKeyExists) {
			return err
		}
		s.state.Member = fmt.Sprintf("%s-%d", strings.TrimSuffix(name, fmt.Sprintf("-%d", n-1)), n)
	}
	err = s.book.View(func(v *logbook.View) error {
		held, _, err := v.Held(nil, 1)
		s.state.Doubts = uint64(min(len(held), 1)) // an empty book has nothing that the stream could lack
		return err
	})
	if err != nil {
		return err
	}
	return s.book.Share(func(sh *logbook.Shared) { *sh = s.state })
}

// Leave ends that a book is shared. What it took in stays in it.
func Leave(ctx context.Context, book *logbook.Book, opt Options) (logbook.Shared, error) {
	state, err := shared(book)
	if err != nil {
		return state, err
	}
	if s, err := dial(book, state, opt); err == nil { // the others may know it, if they can
		if kv, err := s.members(ctx); err == nil {
			_ = kv.Delete(ctx, state.Member)
		}
		s.close()
	}
	return state, book.Share(func(sh *logbook.Shared) { *sh = logbook.Shared{} })
}

// Standing is how far a member is, as it told last.
type Standing struct {
	Seq     uint64 // the last message that it took in
	Waiting int    // what it has to send yet
}

// Member is a member of a team, as the server tells it.
type Member struct {
	Name string
	Standing
	Behind uint64    // messages that it did not take in
	Seen   time.Time // when it was last in step, by the server's clock
}

// Status is how a team stands.
type Status struct {
	logbook.Shared
	Waiting int      // what this book has to send yet
	Members []Member // by name; none where the server cannot be asked
}

// StatusOf says how the team of a book stands. Where the server cannot be asked, the error says why, and the rest is
// what the book knows.
func StatusOf(ctx context.Context, book *logbook.Book, opt Options) (st Status, err error) {
	if st.Shared, err = shared(book); err != nil {
		return st, err
	}
	if st.Waiting, err = Waiting(book); err != nil {
		return st, err
	}
	s, err := dial(book, st.Shared, opt)
	if err != nil {
		return st, err
	}
	defer s.close()
	err = s.standings(ctx, &st)
	return st, inWords(st.Shared, err)
}

func (s *session) standings(ctx context.Context, st *Status) error {
	ctx, cancel := context.WithTimeout(ctx, s.opt.within())
	defer cancel()
	stream, err := s.js.Stream(ctx, streamName(s.state))
	if err != nil {
		return err
	}
	last := stream.CachedInfo().State.LastSeq
	kv, err := s.members(ctx)
	if err != nil {
		return err
	}
	names, err := kv.Keys(ctx)
	if err != nil && !errors.Is(err, jetstream.ErrNoKeysFound) {
		return err
	}
	for _, name := range names {
		e, err := kv.Get(ctx, name)
		if err != nil {
			return err
		}
		m := Member{Name: name, Seen: e.Created()}
		_ = json.Unmarshal(e.Value(), &m.Standing) // nonsense is one that has nothing
		if m.Behind = last - min(last, m.Seq); name == s.state.Member {
			m.Waiting = st.Waiting // as of now, and not of the last sync
		}
		st.Members = append(st.Members, m)
	}
	return nil
}

// tell tells the others how far this book is.
func (s *session) tell(ctx context.Context) error {
	standing := Standing{Seq: s.state.Seq}
	var err error
	if standing.Waiting, err = Waiting(s.book); err != nil {
		return err
	}
	kv, err := s.members(ctx)
	if err != nil {
		return err
	}
	value, _ := json.Marshal(standing) // it always encodes
	_, err = kv.Put(ctx, s.state.Member, value)
	return err
}

// Waiting is how many lines of a book are to be sent.
func Waiting(book *logbook.Book) (n int, err error) {
	err = book.View(func(v *logbook.View) (err error) {
		_, n, err = v.Unsent(0)
		return err
	})
	return n, err
}

// members is where each member says how far it is.
func (s *session) members(ctx context.Context) (jetstream.KeyValue, error) {
	kv, err := s.js.KeyValue(ctx, streamName(s.state))
	if errors.Is(err, jetstream.ErrBucketNotFound) {
		return s.js.CreateKeyValue(ctx, jetstream.KeyValueConfig{Bucket: streamName(s.state), Replicas: s.state.Replicas})
	}
	return kv, err
}
