package share

import (
	"bytes"
	"context"
	"errors"
	"io"
	"maps"
	"strings"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
)

// What is taken in at once, and what is taken from one member within an hour of the server's time: of its lines, and of
// those that cannot be taken. Members beyond the most are counted as one.
const (
	batchLines  = 20_000
	batchBytes  = 8 * mostBytes
	hourLines   = 2_000_000
	hourRefused = 1000
	mostMembers = 200
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
	came           []logbook.ID // what lines were sound
	mark           string       // of the last message
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

// sound leaves out the lines that were found wrong, and what a member sent behind the last of them that is borne.
func (r *received) sound(lines []line, wrong map[int]string) (left []line) {
	const longest = 200 // of what is told of a line
	over := map[string]bool{}
	for i, l := range lines {
		why, is := wrong[i]
		if !is && !over[l.from] {
			left = append(left, l)
			continue
		}
		sent := r.members[l.from]
		if sent.Skipped++; is {
			sent.Refused++
			sent.Why = logbook.Clean(why[:min(len(why), longest)])
			over[l.from] = sent.Refused > hourRefused
		}
		r.members[l.from] = sent
	}
	return left
}

// ahead are empty lines before those of others, which so do not look like the head of a file of another encoding.
const ahead = "\n\n\n\n"

// read makes a batch of lines; those that cannot be read are left out.
func (r *received) read(lines []line) (*logbook.Batch, []line) {
	for {
		batch, text, wrong := &logbook.Batch{}, make([][]byte, len(lines)), map[int]string{}
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
		lines = r.sound(lines, wrong)
	}
}

// takeIn puts what was read into the book, with how far that is. Where lines contradict the book, they are found by
// halving.
func (s *session) takeIn(r *received) (err error) {
	if r.parameters, err = logbook.Seen(s.book, (*logbook.View).Parameters); err != nil {
		return err
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
	done, err := s.book.TakeIn(batch, r.came, advance)
	if errors.Is(err, logbook.ErrRefused) {
		r.came = own
		if err = s.halve(r, lines, err); err == nil {
			_, err = s.book.TakeIn(&logbook.Batch{}, r.came, advance)
		}
	}
	s.Added += done.Added
	return err
}

// halve takes in lines of which some contradict the book.
func (s *session) halve(r *received, lines []line, why error) error {
	if len(lines) == 1 || r.members[lines[0].from].Refused > hourRefused {
		if lines = r.sound(lines, map[int]string{0: why.Error()}); len(lines) == 0 {
			return nil
		}
	}
	for _, half := range [][]line{lines[:len(lines)/2], lines[len(lines)/2:]} {
		came := r.came
		batch, left := r.read(half)
		done, err := s.book.TakeIn(batch, nil, func(*logbook.Shared) {})
		if s.Added += done.Added; errors.Is(err, logbook.ErrRefused) {
			r.came = came // a line that is wrong under the ID of another entry takes no place of that
			err = s.halve(r, left, err)
		}
		if err != nil {
			return err
		}
	}
	return nil
}
