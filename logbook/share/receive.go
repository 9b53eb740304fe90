package share

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// What is taken in at once, and what is taken from one member within an hour of the server's time: of its lines, and of
// those that contradict the book, each of which takes a search. Members beyond the most are counted as one.
const (
	batchLines  = 20_000
	batchBytes  = 8 * mostBytes
	hourLines   = 2_000_000
	hourRefused = 1000
	mostMembers = 200
	mostWaiting = 1 << 20 // bytes of lines of one member that wait
)

// line is a line of a message.
type line struct {
	from string // the member
	text []byte
}

// received is what was read and is to be taken in at once.
type received struct {
	lines          []line
	bytes          int
	known, members map[string]logbook.Sent // before, and those that sent something
	parameters     []logbook.Parameter
	strikes        map[[2]logbook.ID][]line // by what they strike, and what is to stand in its place
	came           []logbook.ID             // what lines were sound
	mark           string                   // of the last message
}

var errLost = errors.New("messages were lost on the way")

// receive takes in what the stream has, at most one batch of it; where it has nothing, it waits so long for a message.
func (s *session) receive(ctx context.Context, wait time.Duration) error {
	if s.it == nil {
		if err := s.listen(ctx); err != nil {
			return err
		}
	}
	r := received{known: s.state.Members, members: map[string]logbook.Sent{}}
	for more := true; more && len(r.lines) < batchLines && r.bytes < batchBytes; {
		if s.at < s.last {
			wait = answerWithin
		}
		within, done := context.WithTimeout(ctx, wait)
		m, err := s.it.Next(jetstream.NextContext(within))
		done()
		switch {
		case ctx.Err() != nil:
			return ctx.Err()
		case errors.Is(err, context.DeadlineExceeded) && s.at >= s.last:
			return nil
		case err != nil:
			return err
		}
		about, err := m.Metadata()
		if s.taken++; err != nil || about.Sequence.Consumer != s.taken {
			return errLost
		}
		s.at, more = about.Sequence.Stream, about.NumPending > 0
		s.last = max(s.last, s.at+about.NumPending)
		told := digest(m.Data())
		r.mark = markOf(about.Timestamp, told)
		if keys, is := s.own[told]; is {
			r.came = append(r.came, keys...)
			continue
		}
		r.take(memberOf(m.Subject()), s.state.Member, m.Data(), about.Timestamp)
	}
	if err := s.takeIn(&r); err != nil {
		return err
	}
	for _, key := range r.came {
		if s.seen != nil {
			s.seen[key] = struct{}{}
		}
	}
	tell(s.opt.Progress, "reading: message %d of %d", s.at, s.last)
	return nil
}

// take parts a message into lines. A member that sent too many, or too many that cannot be taken, is passed over until
// the hour is over; that is never the book's own member, since its lines are here already.
func (r *received) take(member, own string, data []byte, at time.Time) {
	r.bytes += len(data)
	if _, known := r.known[member]; !known && len(r.known)+len(r.members) >= mostMembers {
		member = "others"
	}
	sent, here := r.members[member]
	if !here {
		sent = r.known[member]
	}
	if hour := at.Truncate(time.Hour).UTC(); !hour.Equal(sent.Hour) {
		sent.Hour, sent.Lines, sent.Refused = hour, 0, 0
	}
	sent.Last = at.UTC()
	lines := bytes.Split(bytes.TrimRight(data, "\n"), []byte("\n"))
	if sent.Lines += len(lines); sent.Lines > hourLines && member != own {
		sent.Why = "it sends more lines than are taken within an hour"
	}
	if member != own && (sent.Lines > hourLines || sent.Refused > hourRefused) {
		sent.Skipped += len(lines)
		lines = nil
	}
	r.members[member] = sent
	for _, text := range lines {
		r.lines = append(r.lines, line{member, text})
	}
}

// tryAgain has the lines that wait tried with those that came.
func (r *received) tryAgain() {
	for member, sent := range r.known {
		if now, here := r.members[member]; here {
			sent = now
		}
		if len(sent.Waiting) == 0 {
			continue
		}
		for _, text := range sent.Waiting {
			r.lines = append(r.lines, line{member, []byte(text)})
		}
		sent.Skipped -= len(sent.Waiting)
		sent.Waiting = nil
		r.members[member] = sent
	}
}

// refuse notes of a line that it is not taken, or not yet: what it names may come later, or a program that knows it.
func (r *received) refuse(l line, why string, mayPass bool) {
	const longest = 200 // of what is told of a line
	sent, bytes := r.members[l.from], len(l.text)
	for _, text := range sent.Waiting {
		bytes += len(text)
	}
	switch text := string(l.text); {
	case !mayPass:
		sent.Refused++
	case bytes <= mostWaiting && json.Valid(l.text) && !slices.Contains(sent.Waiting, text):
		sent.Waiting = append(sent.Waiting, text)
	}
	sent.Skipped++
	sent.Why = logbook.Clean(why[:min(len(why), longest)])
	r.members[l.from] = sent
}

// ahead are empty lines before those of others, which so do not look like the head of a file of another encoding.
const ahead = "\n\n\n\n"

// read makes a batch of lines; those that cannot be read are left out.
func (r *received) read(lines []line) (*logbook.Batch, []line) {
	for {
		batch, text, wrong := &logbook.Batch{}, make([][]byte, len(lines)), map[int]string{}
		r.strikes = map[[2]logbook.ID][]line{}
		for i, l := range lines {
			text[i] = l.text
		}
		at, came := 0, []logbook.ID(nil)
		err := logbook.EachJSONL(io.MultiReader(strings.NewReader(ahead), bytes.NewReader(bytes.Join(text, []byte("\n")))),
			logbook.JSONLOptions{Parameters: r.parameters},
			func(rec logbook.Record) error {
				for len(bytes.TrimSpace(text[at])) == 0 {
					at++
				}
				came = append(came, logbook.LineKey(rec, text[at]))
				if s, is := rec.(logbook.Strike); is {
					of := [2]logbook.ID{s.Target, s.Successor}
					r.strikes[of] = append(r.strikes[of], lines[at])
				}
				at++
				if e, is := rec.(logbook.Entry); is && e.EntryID().IsZero() {
					return errors.New("it tells no id, without which the same line would be another one each time")
				}
				return batch.Add(rec)
			})
		var refused logbook.Refusals
		switch {
		case err == nil:
			r.came = append(r.came, came...)
			return batch, lines
		case !errors.As(err, &refused): // it is no text at all
			for i := range lines {
				wrong[i] = err.Error()
			}
		}
		for _, f := range refused {
			wrong[max(0, f.Line-1-len(ahead))] = f.Reason
		}
		left := lines[:0:0]
		for i, l := range lines {
			if why, is := wrong[i]; is {
				r.refuse(l, why, true)
			} else {
				left = append(left, l)
			}
		}
		lines = left
	}
}

// put puts a batch into the book. Strikes of what is not here wait.
func (s *session) put(r *received, batch *logbook.Batch, came []logbook.ID, then func(*logbook.Shared)) error {
	done, err := s.book.TakeIn(batch, came, func(sh *logbook.Shared) {
		for _, strike := range batch.Missing() {
			of := [2]logbook.ID{strike.Target, strike.Successor}
			for _, l := range r.strikes[of] {
				r.refuse(l, "it strikes an entry that is not there", true)
			}
			delete(r.strikes, of)
		}
		then(sh)
	})
	s.Added += done.Added
	s.Otherwise, s.Overruled = append(s.Otherwise, done.Otherwise...), append(s.Overruled, done.Overruled...)
	return err
}

// takeIn puts what was read into the book, with how far that is. Where lines contradict the book, they are found by
// halving.
func (s *session) takeIn(r *received) (err error) {
	if r.parameters, err = logbook.Seen(s.book, (*logbook.View).Parameters); err != nil {
		return err
	}
	if len(r.lines) > 0 {
		r.tryAgain()
	}
	own := r.came
	batch, lines := r.read(r.lines)
	advance := func(sh *logbook.Shared) {
		if sh.Stream == s.state.Stream && s.at > sh.Seq { // another process may be further
			sh.Seq, sh.Mark = s.at, r.mark
			if sh.Members == nil {
				sh.Members = map[string]logbook.Sent{}
			}
			maps.Copy(sh.Members, r.members)
		}
		s.state = *sh
	}
	err = s.put(r, batch, r.came, advance)
	if errors.Is(err, logbook.ErrRefused) {
		r.came = own
		if err = s.halve(r, lines, err); err == nil {
			err = s.put(r, &logbook.Batch{}, r.came, advance)
		}
	}
	return err
}

// halve takes in lines of which some contradict the book. Whoever sends too many of them is passed over.
func (s *session) halve(r *received, lines []line, why error) (err error) {
	if from := lines[0].from; len(lines) == 1 || r.members[from].Refused > hourRefused {
		lines = slices.DeleteFunc(lines, func(l line) bool {
			if l.from == from {
				r.refuse(l, why.Error(), false)
			}
			return l.from == from
		})
	}
	for _, half := range [][]line{lines[:len(lines)/2], lines[len(lines)/2:]} {
		if len(half) == 0 {
			continue
		}
		if r.parameters, err = logbook.Seen(s.book, (*logbook.View).Parameters); err != nil {
			return err
		}
		came := r.came
		batch, left := r.read(half)
		if err = s.put(r, batch, nil, func(*logbook.Shared) {}); errors.Is(err, logbook.ErrRefused) {
			r.came = came // a line that is wrong under the ID of another entry takes no place of that
			err = s.halve(r, left, err)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
