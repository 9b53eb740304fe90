package logbook

import (
	"encoding/binary"

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
func (n *names) name(number uint32) string {
	if text, ok := n.text[number]; ok {
		return text
	}
	key := numberKey(number)
	value := mustUnseal(key, namesBucket(n.tx).Get(key), "name %d cannot be read", number)
	return n.remember(number, string(value))
}

func (n *names) remember(number uint32, name string) string {
	n.numbers[name], n.text[number] = number, name
	return name
}

// find gives the number of a name; ok is false if the book has never seen it.
func (n *names) find(name string) (number uint32, ok bool) {
	if number, ok := n.numbers[name]; ok {
		return number, true
	}
	if len(name) > longestText {
		return 0, false
	}
	sealed := numbersBucket(n.tx).Get([]byte(name))
	if sealed == nil {
		return 0, false
	}
	value, ok := unseal([]byte(name), sealed)
	if !ok || len(value) != 4 {
		fail(damaged("the number of the name %q cannot be read", name))
	}
	number = binary.BigEndian.Uint32(value)
	n.remember(number, name)
	return number, true
}

// give is find, but gives a new name the next number.
func (n *names) give(name string) uint32 {
	number, ok := n.find(name)
	if ok {
		return number
	}
	if last, _ := namesBucket(n.tx).Cursor().Last(); len(last) == 4 {
		number = binary.BigEndian.Uint32(last)
	} else if last != nil {
		fail(damaged("the last name has no number"))
	}
	number++
	put(namesBucket(n.tx), numberKey(number), []byte(name))
	put(numbersBucket(n.tx), []byte(name), numberKey(number))
	n.remember(number, name)
	return number
}
