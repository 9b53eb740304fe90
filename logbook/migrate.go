package logbook

import (
	"fmt"

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
	return nil
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
