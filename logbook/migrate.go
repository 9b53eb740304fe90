package logbook

import (
	"fmt"
	"slices"

	bolt "go.etcd.io/bbolt"
)

// step brings a book from the layout with number from to the next one. It never drops what it cannot read: it fails.
type step struct {
	from int
	does string
	run  func(tx *bolt.Tx) error
}

// migrations lists the steps in order. There is one for every layout that was ever released but the present one.
func migrations() []step {
	return []step{{1, "what is defined becomes what was noted first", noteDefinitions}}
}

// noteDefinitions notes all that a book defines at the oldest moment, so that all that is noted later counts and two
// copies of one book note the same.
func noteDefinitions(tx *bolt.Tx) error {
	if _, err := tx.CreateBucket([]byte(changesName)); err != nil {
		return err
	}
	return guarded(func() {
		w := &writer{View: &View{tx: tx}}
		apart := apartTanks(definitionsOf[Tank](w.View, ""))
		for _, kind := range gather(definitions(), Record.Kind) {
			for _, def := range w.definitionsOf(kind, "") {
				if t, is := def.(Tank); is {
					t.Apart = slices.Contains(apart, t.Name)
					def = t
				}
				w.putChange(Change{Of: def, Noted: oldest()})
			}
		}
	})
}

// migrate puts a copy of the book beside it and then runs all steps it needs, and writes the new number, in one
// transaction.
func (b *Book) migrate(steps []step, to int) error {
	leave, err := b.enter(wholeGate)
	if err != nil {
		return err
	}
	defer leave()
	from, err := b.schemaNumber()
	if err != nil {
		return err
	}
	if from == to {
		return nil // another process was quicker
	}
	if err := b.backup(freeName(fmt.Sprintf("%s.layout-%d", b.path, from))); err != nil {
		return fmt.Errorf("before bringing the book up to date: %w", err)
	}
	return b.session(true, func(s *session) {
		fail(runSteps(s.tx, steps, to))
		fail(s.tx.Commit())
	})
}

func (b *Book) schemaNumber() (number int, err error) {
	err = b.session(false, func(s *session) {
		var err error
		number, err = readSchema(s.tx)
		fail(err)
	})
	return number, err
}

func runSteps(tx *bolt.Tx, steps []step, to int) error {
	number, err := readSchema(tx)
	if err != nil {
		return err
	}
	for _, s := range steps {
		if s.from != number || number == to {
			continue
		}
		if err := s.run(tx); err != nil {
			return fmt.Errorf("bringing the book from layout %d to %d (%s): %w", s.from, s.from+1, s.does, err)
		}
		number++
	}
	if number != to {
		return fmt.Errorf("%w: nothing is known that brings layout %d to %d", ErrNotBook, number, to)
	}
	putSchema(tx, to)
	return nil
}
