package importing

import (
	"testing"
	"time"

	"leadline/logbook"
)

// Of a file that is followed, rows that say the same are one; those that differ in a note or in who read it are not.
func TestOnceTellsNotesApart(t *testing.T) {
	c := newCounted(nil, &logbook.TableNotes{}, false)
	c.once = map[[3]any]bool{}
	r := logbook.Reading{Tank: "forereef", Parameter: "nitrate", Text: "4", Value: 4, Unit: "mg/L",
		Time: time.Unix(1e9, 0)}
	noted, by := r, r
	noted.Note, by.Who = "after feeding", "Ann"
	for _, one := range []logbook.Reading{r, noted, by, r, noted, by} {
		if err := c.add(&one); err != nil {
			t.Fatal(err)
		}
	}
	if c.Len() != 3 {
		t.Errorf("%d readings are kept, want 3", c.Len())
	}
}
