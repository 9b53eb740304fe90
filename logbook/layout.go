package logbook

import (
	"encoding/binary"
	"hash/crc32"
	"slices"
	"time"

	bolt "go.etcd.io/bbolt"
)

// The bucket tree of a book, schema 2:
//
//	meta
//	├── created_by       text: the program that made the book
//	└── schema           uint: the layout's number
//	names                number → text     every tank, parameter, method and unit that readings name, once
//	numbers              text → number     the same the other way round
//	changes              moment, ID → Change   what was noted of all that is defined
//	parameters           name → Parameter  the book's own, over those of Standard
//	tanks                name → Tank
//	methods              parameter, name → Method
//	supplements          name → Supplement
//	chores               tank, name → Chore
//	stocks               tank, name → Stock
//	reading              series key → Reading
//	dosing               series key → Dosing
//	dose                 series key → Dose
//	water_change         series key → WaterChange
//	event                series key → Event
//	chore_done           series key → ChoreDone
//	acknowledgement      series key → Acknowledgement
//	refill               series key → Refill
//	struck               ID → kind, series key, value as it stood, Strike
//	foreign              ID → kind, series key   the IDs that were not derived from what their entry says
//	drafts               tank → Draft
//
// and three that a book lacks to which no newer program has written: sum and commit, which hold nothing, see
// counted.go; and saves, from the number of a commit (8 bytes) to a Save, see save.go. A shared book has two more,
// shared and outbox, see shared.go.
//
// A series key is 32 bytes: tank number (4), subject number (4), time in nanoseconds since 1970 (8), ID (16), all
// big-endian, so that the entries of one tank and subject lie together in time order, and no name can be the
// beginning of another. The subject of a reading is its parameter; of a dosing, its parameter and supplement; of a
// refill, its stock; the other kinds have none (0). Numbers are given in the order in which names first appear and
// are never given again.
//
// What parameters, tanks, methods, supplements, chores and stocks hold is derived from changes, see derive.go, so that
// those who read find it whole.
//
// A pair of names, as a key or as the subject of a dosing, is the length of the first (2 bytes) and then both.
//
// The sequence number of a bucket is the number of its keys. Every value ends in four bytes, the CRC-32C of its key
// and of what stands before them; bbolt's pages carry none. The encodings of the records are in values.go; the fields
// of each kind, in its file.
const schema = 2

// definitions has an empty record of every kind that is a definition, in the order of an export: parameters before the
// tanks, whose bands name them.
func definitions() []Record {
	return []Record{Parameter{}, Tank{}, Method{}, Supplement{}, Chore{}, Stock{}}
}

// entries has an empty entry of every kind in the order of an export. The number of a kind inside values is its place
// here, from 1; so kinds are only ever added at the end.
func entries() []Entry {
	return []Entry{Reading{}, Dosing{}, Dose{}, WaterChange{}, Event{}, ChoreDone{}, Acknowledgement{}, Refill{}}
}

func blanks() []Record {
	return append(append(definitions(), gather(entries(), func(e Entry) Record { return e })...), Strike{})
}

// blank is an empty record of a kind; nil if the kind is not known.
func blank(kind Kind) Record {
	for _, rec := range blanks() {
		if rec.Kind() == kind {
			return rec
		}
	}
	return nil
}

// EntryKinds are the kinds of what is noted with its moment, in the order of the drawing.
func EntryKinds() []Kind { return gather(entries(), Entry.Kind) }

// bucketNames lists the buckets of a book in the order of the drawing.
func bucketNames() []string {
	return slices.Concat([]string{"meta", "names", "numbers", changesName},
		gather(definitions(), func(d Record) string { return bucketName(d.Kind()) }),
		gather(EntryKinds(), bucketName), []string{bucketName(KindStrike), "foreign", "drafts"})
}

// bucketName is the name of the bucket of the records of a kind.
func bucketName(kind Kind) string {
	switch {
	case kind == KindStrike:
		return "struck"
	case kindNumber(kind) != 0:
		return string(kind)
	}
	return string(kind) + "s"
}

// kindNumber is the number of a kind of entry inside values; 0 of any other.
func kindNumber(kind Kind) byte {
	return byte(slices.Index(EntryKinds(), kind) + 1)
}

func numberedKind(n byte) (Kind, bool) {
	kinds := EntryKinds()
	if n < 1 || int(n) > len(kinds) {
		return "", false
	}
	return kinds[n-1], true
}

func metaBucket(tx *bolt.Tx) *bolt.Bucket    { return tx.Bucket([]byte("meta")) }
func namesBucket(tx *bolt.Tx) *bolt.Bucket   { return tx.Bucket([]byte("names")) }
func numbersBucket(tx *bolt.Tx) *bolt.Bucket { return tx.Bucket([]byte("numbers")) }
func tanksBucket(tx *bolt.Tx) *bolt.Bucket   { return tx.Bucket([]byte("tanks")) }
func struckBucket(tx *bolt.Tx) *bolt.Bucket  { return tx.Bucket([]byte("struck")) }
func foreignBucket(tx *bolt.Tx) *bolt.Bucket { return tx.Bucket([]byte("foreign")) }
func draftsBucket(tx *bolt.Tx) *bolt.Bucket  { return tx.Bucket([]byte("drafts")) }

func entryBucket(tx *bolt.Tx, kind Kind) *bolt.Bucket      { return tx.Bucket([]byte(kind)) }
func definitionBucket(tx *bolt.Tx, kind Kind) *bolt.Bucket { return tx.Bucket([]byte(kind + "s")) }

// seriesKey is the key of an entry.
type seriesKey [32]byte

func newSeriesKey(tank, subject uint32, nanos int64, id ID) seriesKey {
	var k seriesKey
	binary.BigEndian.PutUint32(k[0:], tank)
	binary.BigEndian.PutUint32(k[4:], subject)
	binary.BigEndian.PutUint64(k[8:], uint64(nanos))
	copy(k[16:], id[:])
	return k
}

// seriesKeyOf reads a key out of the book; ok is false if it has the wrong length.
func seriesKeyOf(b []byte) (k seriesKey, ok bool) {
	if len(b) != len(k) {
		return k, false
	}
	copy(k[:], b)
	return k, true
}

// ofTank is the key of the same entry in another tank.
func (k seriesKey) ofTank(tank uint32) seriesKey {
	return newSeriesKey(tank, k.subject(), k.nanos(), k.id())
}

func (k seriesKey) tank() uint32    { return binary.BigEndian.Uint32(k[0:]) }
func (k seriesKey) subject() uint32 { return binary.BigEndian.Uint32(k[4:]) }
func (k seriesKey) nanos() int64    { return int64(binary.BigEndian.Uint64(k[8:])) }
func (k seriesKey) id() ID          { return ID(k[16:32]) }

// pairKey joins two names so that no other pair gives the same bytes.
func pairKey(first, second string) []byte {
	k := binary.BigEndian.AppendUint16(make([]byte, 0, 2+len(first)+len(second)), uint16(len(first)))
	return append(append(k, first...), second...)
}

func splitPair(k []byte) (first, second string, ok bool) {
	if len(k) < 2 {
		return "", "", false
	}
	n := int(binary.BigEndian.Uint16(k))
	if len(k) < 2+n {
		return "", "", false
	}
	return string(k[2 : 2+n]), string(k[2+n:]), true
}

// firstTime and endTime bound the times of a book's keys: what fits their nanoseconds.
func firstTime() time.Time { return time.Unix(0, 0).UTC() }
func endTime() time.Time   { return time.Date(2262, 1, 1, 0, 0, 0, 0, time.UTC) }

const sealSize = 4

func seal(key, value []byte) []byte {
	return binary.BigEndian.AppendUint32(value, checksum(key, value))
}

// unseal gives the value without its checksum; ok is false if the checksum does not fit.
func unseal(key, sealed []byte) (value []byte, ok bool) {
	n := len(sealed) - sealSize
	if n < 0 {
		return nil, false
	}
	value = sealed[:n]
	return value, binary.BigEndian.Uint32(sealed[n:]) == checksum(key, value)
}

// mustUnseal is unseal; it fails, with ErrDamaged in the words given, where the checksum does not fit.
func mustUnseal(key, sealed []byte, format string, args ...any) []byte {
	value, ok := unseal(key, sealed)
	if !ok {
		fail(damaged(format, args...))
	}
	return value
}

func checksum(key, value []byte) uint32 {
	table := crc32.MakeTable(crc32.Castagnoli) // no work after the first time: the standard library keeps it
	return crc32.Update(crc32.Update(0, table, key), table, value)
}
