package alerts

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
)

func TestChoreOf(t *testing.T) {
	days := func(ds ...int) (times []time.Time) {
		for _, d := range ds {
			times = append(times, marchDay(d))
		}
		return times
	}
	c := ChoreOf(logbook.Chore{Name: "media", EveryDays: 42}, days(3), time.UTC)
	if !c.Due.Equal(marchDay(45)) || c.Learned || c.DueText(marchDay(20)) != "14 Apr" {
		t.Errorf("given: %+v, %s", c, c.DueText(marchDay(20)))
	}
	for want, done := range map[string][]time.Time{
		"not done yet":                         nil,
		"needs to be done 4 times, was done 1": days(3),
		"needs to be done 4 times, was done 3": days(3, 9, 9, 16), // twice on one day is once
	} {
		c := ChoreOf(logbook.Chore{Name: "floss"}, done, time.UTC)
		if !c.Due.IsZero() || !strings.Contains(c.Why, want) || !strings.Contains(c.Text(marchDay(20)), want) {
			t.Errorf("%v: due %v, %q, want %q", done, c.Due, c.Text(marchDay(20)), want)
		}
		if _, ok := c.dueAlert(marchDay(400)); ok {
			t.Errorf("%v: an alert about a chore of which nothing is known", done)
		}
	}
	c = ChoreOf(logbook.Chore{Name: "floss"}, days(1, 8, 14, 22), time.UTC) // gaps of 7, 6 and 8 days
	if !c.Learned || c.Interval != 7 || c.Lo != 6 || c.Hi != 8 || c.Coverage != 0.5 || !c.Due.Equal(marchDay(29)) {
		t.Errorf("learned: %+v", c)
	}
	if got := c.DueText(marchDay(20)); got != "29 Mar (28 Mar to 30 Mar)" {
		t.Error(got)
	}
}

func TestChoreAlert(t *testing.T) {
	given := logbook.Chore{Tank: "forereef", Name: "media", EveryDays: 7}
	learned := logbook.Chore{Tank: "forereef", Name: "floss"}
	recs := []logbook.Record{logbook.Tank{Name: "forereef"}, given, learned,
		logbook.ChoreDone{Time: marchDay(1), Tank: "forereef", Chore: "media"}}
	for _, d := range []int{-25, -18, -12, -4, 1} { // gaps of 7, 6, 8 and 5 days
		recs = append(recs, logbook.ChoreDone{Time: marchDay(d), Tank: "forereef", Chore: "floss"})
	}
	b := supplyBook(t, recs...)
	for day := 1; day < 15; day++ {
		open := map[string]bool{}
		for _, a := range alertsBy(examined(t, b, marchDay(day)), RuleChoreDue) {
			open[a.Subject] = true
			if a.Since.After(marchDay(8)) {
				t.Errorf("day %d: %s since %v", day, a.Subject, a.Since)
			}
		}
		// The given one a day after its 7 days; the learned one a day after the longest gap of 8.
		if open["media"] != (day >= 9) || open["floss"] != (day >= 10) {
			t.Errorf("day %d: %v", day, open)
		}
	}
}

// The next gap lies in the stated range as often as is stated, however the gaps are distributed.
func TestLearnedIntervalCovers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for _, times := range []int{4, 10, 20, 26} {
		inside, stated, trials := 0, 0.0, 4000
		for range trials {
			at := marchDay(1)
			var done []time.Time
			gap := func() time.Duration { return time.Duration((1 + 20*rnd.ExpFloat64()) * dayNanos) }
			for range times {
				done = append(done, at)
				at = at.Add(gap())
			}
			c := ChoreOf(logbook.Chore{Name: "floss"}, done, time.UTC)
			stated = c.Coverage
			if !at.Before(c.DueLo) && !at.After(c.DueHi) {
				inside++
			}
		}
		// 0.03 is some four standard errors of a share of 4000.
		if share := float64(inside) / float64(trials); share < stated-0.03 || share > stated+0.03 {
			t.Errorf("%d times done: %.3f of next gaps inside, stated %.3f", times, share, stated)
		}
	}
}
