package logbook

import (
	"maps"
	"strconv"
	"time"
)

// Draft is a test day that is being typed. It lies in the book until it is saved or dropped, so that a closed window
// loses nothing.
type Draft struct {
	Tank    string
	Started time.Time
	When    string                // the time of the test, as typed; "": now
	Fields  map[string]DraftField // by parameter
}

// DraftField is what stands in one field of a draft, as typed.
type DraftField struct{ Text, Unit, Method, Note string }

// visit takes a visitor through what lies in the value of a draft, all but the time of the test.
func (d *Draft) visit(v visitor) {
	v.moment("", "the time", &d.Started, 0)
	eachOf(v, "", "draft", &d.Fields, func(f *DraftField, v visitor, parameter string) {
		for _, s := range []*string{&f.Text, &f.Unit, &f.Method, &f.Note} {
			v.text("", "a field of "+strconv.Quote(parameter), s, freeText)
		}
	})
}

// Validate says why the book cannot keep this draft.
func (d Draft) Validate() error {
	var c checker
	c.name("the tank", d.Tank)
	c.checks.text("the time of the test", d.When)
	d.visit(&c)
	return c.err
}

// SaveDraft brings a tank's draft from what the caller knows of it to what it is to be, field by field, and forgets
// it when no field is left: what somebody else typed meanwhile, in another window, stays.
func (b *Book) SaveDraft(was, is Draft) error {
	if err := is.Validate(); err != nil {
		return err
	}
	return b.update(task{}, func(w *writer) bool {
		is.Tank = w.needTank(is.Tank)
		return w.changeDraft(was, is)
	})
}

func (w *writer) changeDraft(was, is Draft) (changed bool) {
	key := []byte(is.Tank)
	d, found := w.draft(is.Tank)
	for name, f := range was.Fields {
		if d.Fields[name] == f {
			delete(d.Fields, name)
		}
	}
	if len(d.Fields) == 0 {
		d = Draft{Tank: is.Tank, Started: is.Started, When: is.When, Fields: map[string]DraftField{}}
	} else if is.When != was.When {
		d.When = is.When
	}
	maps.Copy(d.Fields, is.Fields)
	if len(d.Fields) > 0 {
		return putChanged(draftsBucket(w.tx), key, appendDraft(nil, d))
	}
	remove(draftsBucket(w.tx), key)
	return found
}

// SaveTestDay appends the readings of a test day, and what else belongs to it, and takes out of the tank's draft what
// the caller knows of it, in one transaction. It gives the IDs of the readings and then of the others.
func (b *Book) SaveTestDay(draft Draft, rs []Reading, also ...Record) ([]ID, error) {
	recs := gather(rs, func(r Reading) Record { return r })
	return b.appending(task{}, func(w *writer) ([]ID, bool) {
		ids := w.append(append(recs, also...))
		w.changeDraft(draft, Draft{Tank: w.present(draft.Tank)})
		return ids, true
	})
}

// Draft gives the draft of a tank, if there is one.
func (v *View) Draft(tank string) (d Draft, found bool, err error) {
	err = v.guarded(func() { d, found = v.draft(v.present(tank)) })
	return d, found, err
}

func (v *View) draft(tank string) (d Draft, found bool) {
	sealed := draftsBucket(v.tx).Get([]byte(tank))
	if sealed == nil {
		return d, false
	}
	d, err := readDraft(tank, mustUnseal([]byte(tank), sealed, "the checksum of the draft of %q does not fit", tank))
	fail(err)
	return d, true
}
