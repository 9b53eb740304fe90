package logbook

import (
	"encoding/binary"

	bolt "go.etcd.io/bbolt"
)

// A bucket's sequence number counts its keys. Pages have no checksums, and one that was made to hold fewer elements
// looks as sound as before; the count tells. One that holds as many as it should, but those of an earlier commit,
// shows in the sum of all checksums. Two empty buckets keep it in their sequence numbers: the sum, and the commit it
// is of. A program that does not know them leaves them as they are, and the next one that does begins anew.
const (
	sumName   = "sum"
	stampName = "commit"
)

// put seals a value and puts it.
func put(bucket *bolt.Bucket, key, value []byte) {
	sealed := seal(key, value)
	old := bucket.Get(key)
	if old == nil {
		counted(bucket, 1)
	}
	summed(bucket, sealOf(sealed)-sealOf(old))
	fail(bucket.Put(key, sealed))
}

// remove takes a key out, if it is there.
func remove(bucket *bolt.Bucket, key []byte) {
	if old := bucket.Get(key); old != nil {
		counted(bucket, -1)
		summed(bucket, -sealOf(old))
		fail(bucket.Delete(key))
	}
}

// counted notes that a bucket has so many keys more.
func counted(bucket *bolt.Bucket, more int) {
	fail(bucket.SetSequence(bucket.Sequence() + uint64(more)))
}

func keyCount(bucket *bolt.Bucket) int { return int(bucket.Sequence()) }

// summed notes that the checksums of a book come to so much more.
func summed(bucket *bolt.Bucket, more uint64) {
	if sum := bucket.Tx().Bucket([]byte(sumName)); sum != nil {
		fail(sum.SetSequence(sum.Sequence() + more))
	}
}

// stamp notes, before a commit, that the sum will be of it.
func stamp(tx *bolt.Tx) { setSequence(tx, stampName, uint64(tx.ID())) }

func setSequence(tx *bolt.Tx, name string, number uint64) {
	bucket, err := tx.CreateBucketIfNotExists([]byte(name))
	fail(err)
	fail(bucket.SetSequence(number))
}

// beginSum begins the sum of a book whose own is not of its last commit.
func (s *session) beginSum(pages *pageCheck) {
	if pages.stamp == pages.commit {
		return
	}
	if !pages.deep {
		var err error
		pages, err = s.check(true)
		fail(err)
	}
	setSequence(s.tx, sumName, pages.sum)
}

// sealOf is the checksum that a sealed value ends in; 0 if it is none.
func sealOf(sealed []byte) uint64 {
	if len(sealed) < sealSize {
		return 0
	}
	return uint64(binary.BigEndian.Uint32(sealed[len(sealed)-sealSize:]))
}
