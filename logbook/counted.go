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
func put(bucket *bolt.Bucket, key, value []byte) error {
	sealed := seal(key, value)
	old := bucket.Get(key)
	if old == nil {
		if err := counted(bucket, 1); err != nil {
			return err
		}
	}
	if err := summed(bucket, sealOf(sealed)-sealOf(old)); err != nil {
		return err
	}
	return bucket.Put(key, sealed)
}

// remove takes a key out, if it is there.
func remove(bucket *bolt.Bucket, key []byte) error {
	old := bucket.Get(key)
	if old == nil {
		return nil
	}
	if err := counted(bucket, -1); err != nil {
		return err
	}
	if err := summed(bucket, -sealOf(old)); err != nil {
		return err
	}
	return bucket.Delete(key)
}

// counted notes that a bucket has so many keys more.
func counted(bucket *bolt.Bucket, more int) error {
	return bucket.SetSequence(bucket.Sequence() + uint64(more))
}

func keyCount(bucket *bolt.Bucket) int { return int(bucket.Sequence()) }

// summed notes that the checksums of a book come to so much more.
func summed(bucket *bolt.Bucket, more uint64) error {
	sum := bucket.Tx().Bucket([]byte(sumName))
	if sum == nil {
		return nil
	}
	return sum.SetSequence(sum.Sequence() + more)
}

// stamp notes, before a commit, that the sum will be of it.
func stamp(tx *bolt.Tx) error {
	bucket, err := tx.CreateBucketIfNotExists([]byte(stampName))
	if err != nil {
		return err
	}
	return bucket.SetSequence(uint64(tx.ID()))
}

// beginSum begins the sum of a book whose own is not of its last commit.
func (s *session) beginSum(pages *pageCheck) (err error) {
	if pages.stamp == pages.commit {
		return nil
	}
	if !pages.deep {
		if pages, err = s.check(true); err != nil {
			return err
		}
	}
	bucket, err := s.tx.CreateBucketIfNotExists([]byte(sumName))
	if err != nil {
		return err
	}
	return bucket.SetSequence(pages.sum)
}

// sealOf is the checksum that a sealed value ends in; 0 if it is none.
func sealOf(sealed []byte) uint64 {
	if len(sealed) < sealSize {
		return 0
	}
	return uint64(binary.BigEndian.Uint32(sealed[len(sealed)-sealSize:]))
}
