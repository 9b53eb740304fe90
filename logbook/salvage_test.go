package logbook

import (
	"errors"
	"flag"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
)

var salvages = flag.Int("salvages", 40, "how many damaged copies TestSalvage takes what is whole from")

// linesOf are the records of a book, as an export writes them, with what definitions say now.
func linesOf(t *testing.T, b *Book) map[string]bool {
	t.Helper()
	lines := map[string]bool{}
	for _, rec := range holding(t, b) {
		lines[lineOf(rec)] = true
	}
	return lines
}

// Of damaged copies nearly all that the whole book held comes back, and nothing that it never held. What is missing is
// said to be missing.
func TestSalvage(t *testing.T) {
	b := damageBook(t)
	whole, err := os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	want := linesOf(t, b)
	random := rand.New(rand.NewPCG(7, 8))
	dir := t.TempDir()
	var shares []float64
	for range *salvages {
		data, how := mutate(random, whole)
		damaged, mended := filepath.Join(dir, "damaged.book"), filepath.Join(dir, "new.book")
		writeFile(t, damaged, data)
		done, err := Salvage(damaged, mended)
		if err != nil {
			if !errors.Is(err, ErrNotFound) || len(data) > 4*4096 {
				t.Errorf("%s: %v", how, err)
			}
			continue
		}
		found, missing := Verify(mended)
		if missing != nil || len(found.Problems) > 0 {
			t.Errorf("%s: the new book is not sound: %v %v", how, missing, found.Problems)
		}
		got := linesOf(t, newBook(mended))
		same := 0
		for line := range want {
			if got[line] {
				same++
			}
		}
		cut := how == "cut off" // which takes names away, or the last state: what bears them then says something else
		for line := range got {
			if !want[line] && !cut {
				t.Errorf("%s: the book never held %.150s", how, line)
			}
		}
		if same < len(want) && !done.Uncounted && len(done.Missing)+len(done.Lost)+done.Nameless == 0 {
			t.Errorf("%s: %d records are missing and nothing says so", how, len(want)-same)
		}
		if share := float64(same) / float64(len(want)); !cut {
			shares = append(shares, share)
		}
		if err := os.Remove(mended); err != nil {
			t.Fatal(err)
		}
	}
	slices.Sort(shares)
	least, median := shares[0], shares[len(shares)/2]
	t.Logf("of %d copies that were not cut off: least %.4f, median %.4f", len(shares), least, median)
	if least < 0.9 || median < 0.995 {
		t.Errorf("of the records came back %.4f at least and %.4f in the median; wanted 0.9 and 0.995", least, median)
	}
}

// Where the page that leads to all counts is destroyed, the count of the book is not known, and that is said; changes
// of one definition are one record.
func TestSalvageWithoutCount(t *testing.T) {
	b := damageBook(t)
	data, err := os.ReadFile(b.Path())
	if err != nil {
		t.Fatal(err)
	}
	whole := salvage{data: data}
	root := int(whole.look())
	clear(data[root*whole.pageSize:][:whole.pageSize])
	damaged := filepath.Join(t.TempDir(), "damaged.book")
	writeFile(t, damaged, data)
	done, err := Salvage(damaged, damaged+".new")
	if err != nil || !done.Uncounted {
		t.Fatalf("the count is said to be known: %+v, %v", done, err)
	}
	var tanks []Tank
	err = newBook(damaged + ".new").View(func(v *View) (err error) {
		tanks, err = v.Tanks()
		return err
	})
	if err != nil || done.ByKind[KindTank] != len(tanks) {
		t.Errorf("%d tanks are counted, and there are %d: %v", done.ByKind[KindTank], len(tanks), err)
	}
}
