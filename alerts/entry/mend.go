package entry

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Mending is what was noted wrong of entries, as typed. Nil: it stays as it is.
type Mending struct{ Tank, When, Parameter, Value, Method, Note, Who *string }

// Lines says what becomes of entries, and what is doubtful about it. What is right already is left out; an error if all
// is. A bare number is in the unit of the old one; see Redate for the time, which is that of the first entry: others of
// another moment move as far.
func (m Mending) Lines(v *logbook.View, olds []logbook.Entry, now time.Time) (cs []logbook.Correction, doubts []string,
	err error) {
	if m.Value != nil && len(olds) > 1 {
		return nil, nil, refuse("correct their values one by one", "one value cannot stand for %d entries", len(olds))
	}
	for _, old := range olds {
		mended, doubt, err := m.line(v, olds[0], old, now)
		if err != nil {
			return nil, nil, err
		}
		if !bytes.Equal(logbook.RecordJSON(mended), logbook.RecordJSON(logbook.Moved(old, old.TankName(), old.When()))) {
			cs = append(cs, logbook.Correction{Old: old.EntryID(), New: mended})
		}
		if doubt != "" {
			doubts = append(doubts, doubt)
		}
	}
	if len(cs) == 0 {
		return nil, nil, refuse("say what was noted wrong: the value, the time, the tank, …", "nothing is changed by this")
	}
	return cs, doubts, nil
}

func (m Mending) line(v *logbook.View, first, old logbook.Entry, now time.Time) (mended logbook.Entry, doubt string,
	err error) {
	tank, err := v.Tank(or(m.Tank, old.TankName()))
	if err != nil {
		return nil, "", err
	}
	at := old.When()
	if text := strings.TrimSpace(or(m.When, "")); text != "" {
		to, err := Redate(text, first, tank.Zone(), now)
		if err == nil {
			at = asFar(old, first.When(), to, tank.Zone())
			err = refuseLaterOf(old, at, now.In(tank.Zone()))
		}
		if err != nil {
			return nil, "", err
		}
	}
	moved := logbook.Moved(old, tank.Name, at)
	r, is := moved.(logbook.Reading)
	switch {
	case m.Parameter == nil && m.Value == nil && m.Method == nil && m.Note == nil && m.Who == nil:
		return moved, "", nil
	case !is:
		return nil, "", refuse("for what else is wrong, strike it and note it anew",
			"of another entry than a reading the tank and the time can be corrected")
	}
	r.Method, r.Note, r.Who = or(m.Method, r.Method), or(m.Note, r.Note), or(m.Who, r.Who)
	all, err := v.Parameters()
	if err != nil {
		return nil, "", err
	}
	name := or(m.Parameter, r.Parameter)
	p, known := logbook.FindParameter(all, name)
	if !known {
		return nil, "", fmt.Errorf("%q is not a parameter of this book", name)
	}
	if m.Value == nil && p.Name == r.Parameter {
		return r, "", nil
	}
	x, why, err := Correction(p, r).Correct(v, tank, r, or(m.Value, r.Text))
	return x.Reading, why, err
}

func or(text *string, old string) string {
	if text == nil {
		return old
	}
	return strings.TrimSpace(*text)
}

// Redate reads when something was that was noted for another time: a date alone leaves the time of day, and a time of
// day alone the date.
func Redate(text string, old logbook.Entry, zone *time.Location, now time.Time) (time.Time, error) {
	was := old.When().In(zone)
	of := now.In(zone)
	if m := clockAndDay().FindStringSubmatch(strings.ToLower(text)); m != nil && m[2] == "" {
		of = was
	}
	at, alone, err := moment(text, of, false)
	if alone && err == nil {
		if at, err = parse(at.In(zone).Format(time.DateOnly)+was.Format(" 15:04:05"), of); err == nil {
			at = at.Add(time.Duration(was.Nanosecond()))
		}
	}
	if err == nil {
		err = cmp.Or(refuseLaterOf(old, at, now.In(zone)), refuseComing(text, at, now.In(zone)))
	}
	return at, err
}

// asFar is the moment of an entry that moves with a first one: as many days, and as much of a day.
func asFar(e logbook.Entry, first, to time.Time, zone *time.Location) time.Time {
	days := words.Midnights(first, to, zone)
	return e.When().In(zone).AddDate(0, 0, days).Add(to.Sub(first.In(zone).AddDate(0, 0, days)))
}

// refuseLaterOf is RefuseLater of what an entry cannot be later than; daily dosing may begin later.
func refuseLaterOf(e logbook.Entry, at, now time.Time) error {
	if _, is := e.(logbook.Dosing); is {
		return nil
	}
	return RefuseLater(at, now)
}

// Choose finds the entries that are meant: each by its ID or the end of it, and by "last", or "last 8", those noted
// last, of a tank where it is not "". Of struck ones it finds the last that were struck.
func Choose(v *logbook.View, typed []string, tank string, struck bool) (chosen []logbook.Entry, err error) {
	add := func(es ...logbook.Entry) {
		for _, e := range es {
			if !slices.ContainsFunc(chosen, func(c logbook.Entry) bool { return c.EntryID() == e.EntryID() }) {
				chosen = append(chosen, e)
			}
		}
	}
	for i := 0; i < len(typed); i++ {
		if typed[i] != "last" {
			e, err := named(v, typed[i], struck)
			if err != nil {
				return nil, err
			}
			add(e)
			continue
		}
		n := 1
		if i+1 < len(typed) && (len(typed[i+1]) < 4 || strings.Trim(typed[i+1], "0123456789") == "") { // no end of an ID
			if n, err = strconv.Atoi(typed[i+1]); err != nil || n < 1 {
				return nil, refuse("write last, or last 8", "%q is not a number of entries", typed[i+1])
			}
			i++
		}
		es, err := Newest(v, tank, n, struck)
		if err != nil {
			return nil, err
		}
		if len(es) < n {
			return nil, refuse(HintIDs, "%s asked for, and of %d is known that they were noted last",
				words.Plural(n, "entry is", "entries are"), len(es))
		}
		add(es...)
	}
	return chosen, nil
}

// Newest are the entries that "last" and a number mean, the last one first.
func Newest(v *logbook.View, tank string, n int, struck bool) ([]logbook.Entry, error) {
	if !struck {
		return v.Newest(tank, n)
	}
	all, err := v.Struck(tank)
	// another one took its place
	all = slices.DeleteFunc(all, func(s logbook.Struck) bool { return !s.Strike.Successor.IsZero() })
	slices.Reverse(all)
	slices.SortStableFunc(all, func(a, b logbook.Struck) int { return b.Strike.Time.Compare(a.Strike.Time) })
	return words.Of(all[:min(n, len(all))], func(s logbook.Struck) logbook.Entry { return s.Entry }), err
}

func named(v *logbook.View, text string, struck bool) (logbook.Entry, error) {
	id, err := logbook.ParseID(text)
	if err != nil {
		if len(text) < 4 || strings.ContainsFunc(text, func(r rune) bool { return r > 'z' || !isLetterOrDigit(r) }) {
			return nil, refuse(listIDs, "%q is no entry's id, nor the end of one", text)
		}
		found, err := v.Ending(text)
		if err != nil {
			return nil, err
		}
		switch len(found) {
		case 0:
			return nil, refuse(listIDs, "no entry's id ends in %q", text)
		case 1:
			id = found[0]
		default:
			return nil, ambiguous(v, text, found)
		}
	}
	if struck {
		return v.Kept(id)
	}
	return v.Entry(id)
}

// HintIDs says where ids stand.
const HintIDs = "leadline readings PARAMETER lists readings with their ids"
const listIDs = HintIDs + "; last means what was noted last"

func isLetterOrDigit(r rune) bool { return r >= '0' && r <= '9' || r|0x20 >= 'a' && r|0x20 <= 'z' }

// ambiguous names the entries that the end of an ID may mean, each by as much of it as tells them apart.
func ambiguous(v *logbook.View, text string, ids []logbook.ID) error {
	var es []logbook.Entry
	for _, id := range ids {
		e, err := v.Kept(id)
		if err != nil {
			return err
		}
		es = append(es, e)
	}
	candidates, err := WithIDs(v, es, " ")
	if err != nil {
		return err
	}
	return refuse(strings.Join(candidates, "; "), "%d ids end in %q", len(ids), text)
}

// Sentences are entries on one line each, in the words of their tanks.
func Sentences(v *logbook.View, es []logbook.Entry) (lines []string, err error) {
	for _, e := range es {
		known, err := words.Know(v, e.TankName())
		if err != nil {
			return nil, err
		}
		lines = append(lines, known.Line(e))
	}
	return lines, nil
}

// WithIDs are Sentences behind the ends of the ids.
func WithIDs(v *logbook.View, es []logbook.Entry, gap string) ([]string, error) {
	lines, err := Sentences(v, es)
	if err != nil {
		return nil, err
	}
	tails, err := v.Tails(words.Of(es, logbook.Entry.EntryID))
	for i, tail := range tails {
		lines[i] = tail + gap + lines[i]
	}
	return lines, err
}

// WithTheirDay adds to readings all that were noted for the same tank and moment: their test days.
func WithTheirDay(v *logbook.View, es []logbook.Entry) (all []logbook.Entry, err error) {
	seen := map[logbook.ID]bool{}
	for _, e := range es {
		r, is := e.(logbook.Reading)
		if !is {
			return nil, logbook.Refusal{Reason: "a " + words.Kind(e.Kind()) + " is no part of a test day"}
		}
		day, err := v.TestDay(r.Tank, r.Time)
		if err != nil {
			return nil, err
		}
		for _, r := range day {
			if !seen[r.ID] {
				seen[r.ID] = true
				all = append(all, r)
			}
		}
	}
	return all, nil
}

// ErrNothingToUndo says that nothing noted is kept that can be taken back.
var ErrNothingToUndo = errors.New("nothing is kept that can be taken back")

// LastSave is the last save of which something can be taken back. passed says what was noted since that is not undone;
// "": nothing.
func LastSave(v *logbook.View) (s logbook.Save, passed string, err error) {
	all, err := v.Saves()
	if err != nil {
		return s, "", err
	}
	for _, s = range all {
		why := NotUndone(s)
		if why == "" {
			return s, passed, nil
		}
		passed = cmp.Or(passed, why)
	}
	return logbook.Save{}, passed, ErrNothingToUndo
}

// NotUndone says why a save is not taken back; "" where it can be.
func NotUndone(s logbook.Save) string {
	switch {
	case s.Many:
		return "what was noted last is too much to be taken back at once: put a backup back, or strike its lines"
	case len(s.Noted)+len(s.Struck)+len(s.Changed) > 0 || len(s.Defined) == 0:
		return ""
	}
	return fmt.Sprintf("what was noted last made %s, and that is not undone", words.OneLine(s.Defined[0]))
}

// Saved says what taking back a save does, in words for one line each.
func Saved(v *logbook.View, s logbook.Save) (u logbook.Undone, lines []string, err error) {
	if u, err = v.Undoing(s); err != nil {
		return u, nil, err
	}
	lines, err = Sentences(v, slices.Concat(u.Struck, u.Back))
	for i := range lines {
		if i < len(u.Struck) {
			lines[i] = "strikes " + lines[i]
		} else {
			lines[i] = "brings back " + lines[i]
		}
	}
	for _, step := range u.Formerly {
		lines = append(lines, "sets back "+words.OneLine(step.Name())+": "+words.Known{}.Step(step))
	}
	return u, lines, err
}
