package logbook

import (
	"encoding/binary"
	"fmt"

	bolt "go.etcd.io/bbolt"
)

// names looks names up by number and numbers by name within one transaction, and remembers what it has seen. The empty
// name is number 0 and stands in no bucket.
type names struct {
	tx      *bolt.Tx
	text    map[uint32]string
	numbers map[string]uint32
}

func newNames(tx *bolt.Tx) *names {
	return &names{tx: tx, text: map[uint32]string{0: ""}, numbers: map[string]uint32{"": 0}}
}

func numberKey(number uint32) []byte { return binary.BigEndian.AppendUint32(nil, number) }

// name gives the text of a number that stands in a key or a value.
func (n *names) name(number uint32) (string, error) {
	if text, ok := n.text[number]; ok {
		return text, nil
	}
	key := numberKey(number)
	value, ok := unseal(key, namesBucket(n.tx).Get(key))
	if !ok {
		return "", fmt.Errorf("%w: name %d cannot be read", ErrDamaged, number)
	}
	n.text[number] = string(value)
	n.numbers[string(value)] = number
	return string(value), nil
}

// find gives the number of a name; ok is false if the book has never seen it.
func (n *names) find(name string) (number uint32, ok bool, err error) {
	if number, ok := n.numbers[name]; ok {
		return number, true, nil
	}
	if len(name) > longestText {
		return 0, false, nil
	}
	sealed := numbersBucket(n.tx).Get([]byte(name))
	if sealed == nil {
		return 0, false, nil
	}
	value, ok := unseal([]byte(name), sealed)
	if !ok || len(value) != 4 {
		return 0, false, fmt.Errorf("%w: the number of the name %q cannot be read", ErrDamaged, name)
	}
	number = binary.BigEndian.Uint32(value)
	n.numbers[name] = number
	n.text[number] = name
	return number, true, nil
}

// give is find, but gives a new name the next number.
func (n *names) give(name string) (uint32, error) {
	number, ok, err := n.find(name)
	if ok || err != nil {
		return number, err
	}
	last, _ := namesBucket(n.tx).Cursor().Last()
	if last != nil {
		if len(last) != 4 {
			return 0, fmt.Errorf("%w: the last name has no number", ErrDamaged)
		}
		number = binary.BigEndian.Uint32(last)
	}
	number++
	key := numberKey(number)
	if err := put(namesBucket(n.tx), key, []byte(name)); err != nil {
		return 0, err
	}
	if err := put(numbersBucket(n.tx), []byte(name), numberKey(number)); err != nil {
		return 0, err
	}
	n.numbers[name] = number
	n.text[number] = name
	return number, nil
}
