package logbook

import (
	"bytes"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"
)

// The layout drawn in layout.go is the layout on the disk.
func TestBookLooksAsDrawn(t *testing.T) {
	b := testBook(t)
	ids := mustAppend(t, b, oneOfEach()...)
	if _, err := b.Strike(Strike{Target: ids[6], Time: testTime(1, 0)}, nil); err != nil {
		t.Fatal(err)
	}
	foreign := testReading("lagoon", "nitrate", testTime(0, 0), "4", 4)
	foreign.ID = NewID(testTime(9, 0), "elsewhere", 0)
	mustAppend(t, b, foreign)
	if err := b.SaveDraft(Draft{}, Draft{Tank: "lagoon",
		Fields: map[string]DraftField{"nitrate": {Text: "4"}}}); err != nil {
		t.Fatal(err)
	}
	compareWithDrawing(t, b)
}

// drawnBucket is one line of the drawing.
type drawnBucket struct{ name, key, value string }

func drawing(t *testing.T) (buckets []drawnBucket, metaKeys []string) {
	t.Helper()
	source, err := os.ReadFile("layout.go")
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(string(source), "The bucket tree")
	text, _, _ = strings.Cut(text, "\nconst schema")
	line := regexp.MustCompile(`^//\t(\w+)(?: +(.+?) → (\S+).*)?$`)
	child := regexp.MustCompile(`^//\t[├└]── (\w+)`)
	for _, l := range strings.Split(text, "\n") {
		if m := line.FindStringSubmatch(l); m != nil {
			buckets = append(buckets, drawnBucket{m[1], m[2], m[3]})
		}
		if m := child.FindStringSubmatch(l); m != nil {
			metaKeys = append(metaKeys, m[1])
		}
	}
	return buckets, metaKeys
}

func compareWithDrawing(t *testing.T, b *Book) {
	t.Helper()
	drawn, metaKeys := drawing(t)
	var names []string
	for _, d := range drawn {
		names = append(names, d.name)
	}
	diff(t, "the list of buckets against the drawing", bucketNames(), names)
	s, err := b.open(false, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer s.close()
	found := map[string]bool{}
	_ = s.tx.ForEach(func(name []byte, _ *bolt.Bucket) error {
		found[string(name)] = true
		return nil
	})
	v := &View{tx: s.tx, names: newNames(s.tx)}
	for _, d := range drawn {
		bucket := s.tx.Bucket([]byte(d.name))
		if bucket == nil {
			t.Errorf("%s is drawn and not in the book", d.name)
			continue
		}
		delete(found, d.name)
		n := 0
		c := bucket.Cursor()
		for k, sealed := c.First(); k != nil; k, sealed = c.Next() {
			n++
			value, ok := unseal(k, sealed)
			if !ok {
				t.Errorf("%s: the value of %x is not sealed", d.name, k)
			}
			if d.name == "meta" {
				if n > len(metaKeys) || metaKeys[n-1] != string(k) {
					t.Errorf("meta holds %q, and drawn are %q", k, metaKeys)
				}
				continue
			}
			if !isDrawnKey(v, d.key, k) {
				t.Errorf("%s: key %q is not %s", d.name, k, d.key)
			}
			if !isDrawnValue(v, d, k, sealed, value) {
				t.Errorf("%s: value %q is not %s", d.name, value, d.value)
			}
		}
		if n == 0 {
			t.Errorf("the test writes nothing into %s", d.name)
		}
	}
	delete(found, sumName)
	delete(found, stampName)
	delete(found, savesName)
	for name := range found {
		t.Errorf("%s is in the book and not drawn", name)
	}
}

func isDrawnKey(v *View, drawn string, k []byte) bool {
	switch drawn {
	case "series key":
		key, ok := seriesKeyOf(k)
		err := attempt(func() {
			v.names.name(key.tank())
			v.names.name(key.subject())
		})
		return ok && err == nil && time.Unix(0, key.nanos()).Year() == 2026 && !key.id().IsZero()
	case "number":
		return len(k) == 4
	case "ID":
		return len(k) == 16
	case "moment, ID":
		return len(k) == 8+16
	case "text", "name", "tank":
		return len(k) > 0
	case "parameter, name", "tank, name":
		first, second, ok := splitPair(k)
		return ok && first != "" && second != ""
	}
	return false
}

func isDrawnValue(v *View, d drawnBucket, k, sealed, value []byte) bool {
	name := string(k)
	switch d.value {
	case "text":
		return len(value) > 0
	case "number":
		return len(value) == 4
	case "Parameter", "Tank", "Method", "Supplement", "Chore", "Stock":
		rec, _, err := readDefinition(kindOfType(d.value), k, value)
		key, again := appendDefinition(rec)
		return err == nil && bytes.Equal(key, k) && bytes.Equal(again, value)
	case "Change":
		c, err := readChange(k, value)
		return err == nil && bytes.Equal(appendChange(c), value)
	case "Draft":
		got, err := readDraft(name, value)
		return err == nil && bytes.Equal(appendDraft(nil, got), value)
	case "Reading", "Dosing", "Dose", "WaterChange", "Event", "ChoreDone", "Acknowledgement", "Refill":
		var e Entry
		if err := attempt(func() { e = v.entry(Kind(d.name), k, sealed) }); err != nil || kindOfType(d.value) != e.Kind() {
			return false
		}
		again := appendEntry(nil, e, func(name string) uint32 {
			n, _ := v.names.find(name)
			return n
		})
		return bytes.Equal(again, value)
	case "kind,": // series key, and what more is drawn
		r := fieldReader{b: value}
		kind, key := readAddress(&r)
		if d.name == "struck" {
			s, err := readStruck(ID(k), value)
			return err == nil && s.kind == kind && s.key == key && bytes.Equal(appendStruck(s), value)
		}
		return r.err == nil && len(r.b) == 0 && entryBucket(v.tx, kind).Get(key[:]) != nil
	}
	return false
}

func kindOfType(name string) Kind {
	for _, rec := range blanks() {
		if fmt.Sprintf("%T", rec) == "logbook."+name {
			return rec.Kind()
		}
	}
	return ""
}
