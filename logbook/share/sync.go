package share

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// Options say how a book is brought in step with its stream.
type Options struct {
	Within   time.Duration     // how long the server may take to answer; 0: some seconds
	Tell     func(text string) // is told what happens to the stream, and by Follow what came, and what went wrong
	Progress func(text string) // is told how far it is
	Reached  func(bool)        // is told by Follow whether it is in step with the others
}

func (o Options) within() time.Duration {
	if o.Within > 0 {
		return o.Within
	}
	return answerWithin
}

func tell(whom func(string), format string, args ...any) {
	if whom != nil {
		whom(fmt.Sprintf(format, args...))
	}
}

// Done says what a sync did.
type Done struct {
	Sent    int // lines, or strikes with what belongs to them
	Added   int // records that were new here
	Thinned int // readings of dense days that stay here

	Otherwise, Overruled []logbook.Step // see logbook.Imported
}

// ErrNotShared is what a book says that is shared with nobody.
var ErrNotShared = errors.New("the book is shared with nobody")

func shared(book *logbook.Book) (state logbook.Shared, err error) {
	state, err = logbook.Seen(book, (*logbook.View).Shared)
	if err == nil && state.Name == "" {
		err = wrong(ErrNotShared, "leadline share create URL --name BOOK, or leadline share join URL --name BOOK", "%v",
			ErrNotShared)
	}
	return state, err
}

// Sync brings a book in step once: what the stream has comes here, and what it lacks goes there.
func Sync(ctx context.Context, book *logbook.Book, opt Options) (Done, error) {
	s, err := begin(ctx, book, opt)
	if err != nil {
		return Done{}, err
	}
	defer s.close()
	if err = s.inStep(ctx); err == nil {
		err = s.tell(ctx)
	}
	return s.Done, inWords(s.state, err)
}

// Follow keeps a book in step until ctx ends. It waits where the server cannot be reached, and tries again.
func Follow(ctx context.Context, book *logbook.Book, opt Options) error {
	const least, most = time.Second, 5 * time.Second
	pause, told := least, ""
	once := func(text string, reached bool) {
		if text != told {
			told = text
			tell(opt.Tell, "%s", text)
			if opt.Reached != nil {
				opt.Reached(reached)
			}
		}
	}
	for {
		s, err := begin(ctx, book, opt)
		if errors.Is(err, ErrNotShared) || ctx.Err() != nil {
			return err
		}
		if err == nil {
			err = inWords(s.state, s.follow(ctx, func() {
				pause = least
				once("in step with the others", true)
			}))
			s.close()
		}
		if ctx.Err() != nil {
			return nil
		}
		once(err.Error(), false)
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(pause):
			pause = min(2*pause, most)
		}
	}
}

// follow keeps in step until something goes wrong. It looks often whether the book was written to, and now and then
// whether the stream is still the one it was.
func (s *session) follow(ctx context.Context, inStep func()) error {
	const often, nowAndThen = 300 * time.Millisecond, 100
	var stamp logbook.Stamp
	for n := 0; ; n++ {
		before, err := s.book.Stamp()
		if err != nil {
			return err
		}
		if before != stamp {
			if err := s.inStep(ctx); err != nil {
				return err
			}
			inStep()
			stamp = before
		}
		if n%nowAndThen == 0 {
			if err := s.look(ctx); err != nil {
				return err
			}
		}
		added := s.Added
		if err := s.receive(ctx, often); err != nil {
			return err
		}
		if s.Added > added {
			tell(s.opt.Tell, "%d new from the others", s.Added-added)
		}
	}
}

var errOther = errors.New("the stream is another one")

// look tells the others how far this book is, and fails if the stream is no longer the one that is followed.
func (s *session) look(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, s.opt.within())
	defer cancel()
	stream, err := s.js.Stream(ctx, streamName(s.state))
	if err != nil {
		return err
	}
	info := stream.CachedInfo()
	s.last = info.State.LastSeq
	if fits, err := s.fits(ctx, stream, info.Config.Metadata[identityName],
		info.State.LastSeq-info.State.Msgs); err != nil || !fits {
		return errors.Join(err, errOther)
	}
	return s.tell(ctx)
}

// inStep reads what there is, publishes what the stream lacks, and reads that.
func (s *session) inStep(ctx context.Context) error {
	if err := s.readTo(ctx, s.last); err != nil {
		return err
	}
	if s.seen != nil {
		if err := s.refill(ctx); err != nil {
			return err
		}
	}
	for first := (logbook.ID{}); ; {
		var out []logbook.Outgoing
		var all int
		err := s.book.View(func(v *logbook.View) (err error) {
			out, all, err = v.Unsent(packLines)
			return err
		})
		switch {
		case err != nil || all == 0:
			return err
		case out[0].Key == first:
			return fmt.Errorf("%d lines do not come back from the server", all)
		}
		first = out[0].Key
		if err := s.publish(ctx, out); err != nil {
			return err
		}
		if err := s.readTo(ctx, s.sent); err != nil {
			return err
		}
	}
}

func (s *session) readTo(ctx context.Context, message uint64) error {
	for s.at < message {
		s.last = max(s.last, message)
		if err := s.receive(ctx, answerWithin); err != nil {
			return err
		}
	}
	return nil
}

// refill publishes what the book holds and the stream was not seen to hold, and notes that nothing is in doubt any
// more.
func (s *session) refill(ctx context.Context) error {
	var place []byte
	for n := 0; ; {
		var out []logbook.Outgoing
		err := s.book.View(func(v *logbook.View) (err error) {
			out, place, err = v.Held(place, batchLines)
			return err
		})
		if err != nil {
			return err
		}
		out = slices.DeleteFunc(out, func(o logbook.Outgoing) bool {
			_, seen := s.seen[o.Key]
			if len(o.Text) == 0 && !seen {
				s.Thinned++
			}
			return seen || len(o.Text) == 0
		})
		if err := s.publish(ctx, out); err != nil {
			return err
		}
		if place == nil {
			break
		}
		n += batchLines
		tell(s.opt.Progress, "sending: looked through %d records", n)
	}
	if err := s.readTo(ctx, s.sent); err != nil {
		return err
	}
	s.seen = nil
	return s.share(func(sh *logbook.Shared) { sh.Settled = max(sh.Settled, s.doubts) })
}

// mostInFlight is how many messages wait for an answer at most.
const mostInFlight = 32

// publish sends lines, in messages, and returns when all of them are kept by the server. Each message begins with the
// book's own parameters, so that it can be read by itself.
func (s *session) publish(ctx context.Context, out []logbook.Outgoing) error {
	own, err := logbook.Seen(s.book, (*logbook.View).OwnParameters)
	if err != nil {
		return err
	}
	var waiting []jetstream.PubAckFuture
	var thinned []logbook.ID
	for len(out) > 0 {
		data, keys, alone := slices.Clone(own), []logbook.ID(nil), true
		n := 0
		for ; n < len(out) && len(keys) < packLines && (len(keys) == 0 || len(data)+len(out[n].Text) <= packBytes); n++ {
			if o := out[n]; len(o.Text) == 0 {
				thinned = append(thinned, o.Key)
			} else {
				data, keys, alone = append(data, o.Text...), append(keys, o.Key), alone && o.Alone
			}
		}
		if out = out[n:]; len(keys) == 0 {
			break
		}
		if len(waiting) == mostInFlight {
			if err := s.acknowledged(ctx, waiting[0]); err != nil {
				return err
			}
			waiting = waiting[1:]
		}
		told := digest(data)
		if alone {
			s.own[told] = keys
		}
		// Members that fill an empty stream at one time send the same messages, which the server keeps once. What is said
		// again after something else was said, it keeps again.
		id := fmt.Sprintf("%d-%x", s.at, told)
		f, err := s.js.PublishMsgAsync(&nats.Msg{Subject: subjectOf(s.state), Data: data}, jetstream.WithMsgID(id),
			jetstream.WithExpectStream(streamName(s.state)))
		if err != nil {
			return err
		}
		waiting = append(waiting, f)
		s.Sent += len(keys)
	}
	for _, f := range waiting {
		if err := s.acknowledged(ctx, f); err != nil {
			return err
		}
	}
	if s.Thinned += len(thinned); len(thinned) > 0 {
		_, err = s.book.TakeIn(&logbook.Batch{}, thinned, func(*logbook.Shared) {})
	}
	return err
}

// acknowledged waits until the server has kept a message.
func (s *session) acknowledged(ctx context.Context, f jetstream.PubAckFuture) error {
	select {
	case ack := <-f.Ok():
		if ack.Sequence <= s.at && !ack.Duplicate {
			return errOther
		}
		s.sent = max(s.sent, ack.Sequence)
		return nil
	case err := <-f.Err():
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}
