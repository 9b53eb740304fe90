package logbook

import bolt "go.etcd.io/bbolt"

// A bucket's sequence number counts its keys. Pages have no checksums, and one that was made to hold fewer elements
// looks as sound as before; the count tells.

// put seals a value and puts it.
func put(bucket *bolt.Bucket, key, value []byte) error {
	if bucket.Get(key) == nil {
		if err := counted(bucket, 1); err != nil {
			return err
		}
	}
	return bucket.Put(key, seal(key, value))
}

// remove takes a key out, if it is there.
func remove(bucket *bolt.Bucket, key []byte) error {
	if bucket.Get(key) == nil {
		return nil
	}
	if err := counted(bucket, -1); err != nil {
		return err
	}
	return bucket.Delete(key)
}

// counted notes that a bucket has so many keys more.
func counted(bucket *bolt.Bucket, more int) error {
	return bucket.SetSequence(bucket.Sequence() + uint64(more))
}

func keyCount(bucket *bolt.Bucket) int { return int(bucket.Sequence()) }
