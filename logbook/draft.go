package logbook

import (
	"fmt"
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

// SaveDraft keeps a draft in place of the tank's older one.
func (b *Book) SaveDraft(d Draft) error {
	if err := d.Validate(); err != nil {
		return err
	}
	return b.update(task{}, func(w *writer) (bool, error) {
		if err := w.needTank(d.Tank); err != nil {
			return false, err
		}
		return w.putChanged(draftsBucket(w.tx), []byte(d.Tank), appendDraft(nil, d))
	})
}

// DropDraft forgets a tank's draft, if it has one.
func (b *Book) DropDraft(tank string) error {
	return b.update(task{}, func(w *writer) (bool, error) {
		there := draftsBucket(w.tx).Get([]byte(tank)) != nil
		return there, remove(draftsBucket(w.tx), []byte(tank))
	})
}

// SaveTestDay appends the readings of a test day, and what else belongs to it, and drops the tank's draft, in one
// transaction. It gives the IDs of the readings and then of the others.
func (b *Book) SaveTestDay(tank string, rs []Reading, also ...Record) ([]ID, error) {
	var recs []Record
	for _, r := range rs {
		recs = append(recs, r)
	}
	recs = append(recs, also...)
	var ids []ID
	err := b.update(task{}, func(w *writer) (bool, error) {
		var err error
		if ids, err = w.append(recs); err != nil {
			return false, err
		}
		return true, remove(draftsBucket(w.tx), []byte(tank))
	})
	if err != nil {
		return nil, err
	}
	return ids, nil
}

// Draft gives the draft of a tank, if there is one.
func (v *View) Draft(tank string) (d Draft, found bool, err error) {
	err = v.guarded(func() error {
		sealed := draftsBucket(v.tx).Get([]byte(tank))
		if sealed == nil {
			return nil
		}
		value, ok := unseal([]byte(tank), sealed)
		if !ok {
			return fmt.Errorf("%w: the checksum of the draft of %q does not fit", ErrDamaged, tank)
		}
		found = true
		d, err = readDraft(tank, value)
		return err
	})
	return d, found, err
}
