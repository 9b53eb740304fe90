package logbook

import (
	"testing"
	"time"
)

// atClock gives a book a clock, and somebody who notes by it.
func atClock(b *Book, now *time.Time, who string) {
	b.NotedBy(func() time.Time { return *now }, func() string { return who })
}

func changesOf(t testing.TB, b *Book) (all []Change) {
	t.Helper()
	mustView(t, b, func(v *View) error {
		all = v.changes()
		return nil
	})
	return all
}

// Moments are those of the clock in microseconds; what comes within one, or while the clock stands, is counted below
// them.
func TestMomentsRise(t *testing.T) {
	now := time.Date(2026, 3, 1, 9, 10, 0, 1_234_567, time.FixedZone("", 3600))
	us := time.Date(2026, 3, 1, 8, 10, 0, 1_234_000, time.UTC)
	for _, c := range []struct{ seen, want time.Time }{
		{time.Time{}, us},
		{us.Add(-time.Hour), us},
		{us, us.Add(1)},
		{us.Add(998), us.Add(999)},
		{us.Add(time.Hour), us.Add(time.Hour + 1)},
	} {
		if got := momentAfter(now, c.seen); !got.Equal(c.want) || got.Location() != time.UTC {
			t.Errorf("after %v: %v, want %v", c.seen, got, c.want)
		}
	}
	if got := momentAfter(time.Time{}, time.Time{}); !got.Equal(oldest()) {
		t.Errorf("without a clock: %v", got)
	}
	b := testBook(t)
	atClock(b, &now, "ann")
	for range 3 {
		mustAppend(t, b, Tank{Name: "lagoon", VolumeL: float64(len(changesOf(t, b)) + 1)})
	}
	now = now.Add(-2 * time.Hour) // the clock was set back
	mustAppend(t, b, Tank{Name: "forereef"})
	for i, c := range changesOf(t, b) {
		if !c.Noted.Equal(us.Add(time.Duration(i))) || c.Who != "ann" {
			t.Errorf("change %d was noted at %v by %q", i, c.Noted, c.Who)
		}
	}
}

// A clock that is years ahead wins only until somebody changes what was noted by it, and drags no other clock along.
// One that is hours ahead drags them, so that what follows from something comes after it.
func TestWrongClockDoesNotWin(t *testing.T) {
	volume := func(b *Book) (litres float64) {
		mustView(t, b, func(v *View) error {
			tank, err := v.Tank("lagoon")
			litres = tank.VolumeL
			return err
		})
		return litres
	}
	for _, ahead := range []time.Duration{3 * 365 * 24 * time.Hour, 5 * time.Hour} {
		a, b := testBook(t), testBook(t)
		right := testTime(0, 0)
		wrong := right.Add(ahead)
		atClock(a, &wrong, "ann")
		atClock(b, &right, "bench")
		mustAppend(t, a, Tank{Name: "lagoon", VolumeL: 100})
		mustAppend(t, b, Tank{Name: "lagoon", VolumeL: 200})
		mustMerge(t, b, a)
		if got := volume(b); got != 100 {
			t.Errorf("%v ahead: nobody knew better yet, and it is %v", ahead, got)
		}
		right = right.Add(time.Hour)
		mustAppend(t, b, Tank{Name: "lagoon", VolumeL: 300})
		mustAppend(t, b, Tank{Name: "forereef"})
		mustMerge(t, a, b)
		if volume(a) != 300 || volume(b) != 300 {
			t.Errorf("%v ahead: overruled, and it is %v and %v", ahead, volume(a), volume(b))
		}
		for _, c := range changesOf(t, b) {
			t1 := c.Of.(Tank)
			if dragged := !c.Noted.Equal(right); t1.Name == "forereef" && dragged != (ahead < mostAhead) {
				t.Errorf("%v ahead: another change was noted at %v", ahead, c.Noted)
			}
		}
	}
}
