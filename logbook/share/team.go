package share

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// Create makes a shared book on a server, empty as yet, and Join finds one that another member made; then the book is theirs,
// and Sync brings it in step. Of a member whose name is taken, the name gets a number.
func Create(ctx context.Context, book *logbook.Book, with logbook.Shared, opt Options) (logbook.Shared, error) {
	return begun(ctx, book, with, opt, func(s *session) error {
		_, err := s.js.Stream(ctx, streamName(with))
		switch {
		case err == nil:
			return wrong(logbook.ErrExists, "leadline share join URL --name "+with.Name, "a book %s is shared there already", with.Name)
		case !errors.Is(err, jetstream.ErrStreamNotFound):
			return err
		}
		_, err = s.create(ctx)
		return err
	})
}

// Join is described at Create.
func Join(ctx context.Context, book *logbook.Book, with logbook.Shared, opt Options) (logbook.Shared, error) {
	return begun(ctx, book, with, opt, func(s *session) error {
		stream, err := s.js.Stream(ctx, streamName(with))
		if errors.Is(err, jetstream.ErrStreamNotFound) {
			return wrong(logbook.ErrNotFound, "leadline share create URL --name "+with.Name, "no book %s is shared there", with.Name)
		}
		if err == nil {
			s.state.Replicas = stream.CachedInfo().Config.Replicas
		}
		return err
	})
}

func begun(ctx context.Context, book *logbook.Book, with logbook.Shared, opt Options, find func(*session) error) (logbook.Shared, error) {
	if state, err := shared(book); err == nil {
		return state, wrong(logbook.ErrExists, "leadline share leave ends that", "the book is shared as %s already, at %s", state.Name, state.Servers)
	} else if !errors.Is(err, ErrNotShared) {
		return state, err
	}
	s, err := dial(book, with, opt)
	if err != nil {
		return with, err
	}
	defer s.close()
	if err := find(s); err != nil {
		return with, inWords(with, err)
	}
	kv, err := s.members(ctx)
	for n := 2; err == nil; n++ {
		if _, err = kv.Create(ctx, s.state.Member, []byte("{}")); errors.Is(err, jetstream.ErrKeyExists) {
			s.state.Member, err = fmt.Sprintf("%s-%d", with.Member, n), nil
			continue
		}
		break
	}
	if err != nil {
		return with, inWords(with, err)
	}
	s.state.Doubts = 1
	return s.state, book.Share(func(sh *logbook.Shared) { *sh = s.state })
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

// StatusOf says how the team of a book stands. Where the server cannot be asked, the error says why, and the rest is what the
// book knows.
func StatusOf(ctx context.Context, book *logbook.Book, opt Options) (st Status, err error) {
	if st.Shared, err = shared(book); err != nil {
		return st, err
	}
	if st.Waiting, err = waiting(book); err != nil {
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
		m.Behind = last - min(last, m.Seq)
		st.Members = append(st.Members, m)
	}
	return nil
}

// tell tells the others how far this book is.
func (s *session) tell(ctx context.Context) error {
	standing := Standing{Seq: s.state.Seq}
	var err error
	if standing.Waiting, err = waiting(s.book); err != nil {
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

func waiting(book *logbook.Book) (n int, err error) {
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
