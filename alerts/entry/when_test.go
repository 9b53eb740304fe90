package entry_test

import (
	"strings"
	"testing"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

func zone(t *testing.T, name string) *time.Location {
	t.Helper()
	z, err := time.LoadLocation(name)
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	return z
}

// The clocks of zones are those of the tz database: Berlin, New York and Auckland change them by an hour, Lord Howe by
// half of one, Kathmandu stands at +05:45 all year.
func zones(t *testing.T) (all []*time.Location) {
	for _, name := range []string{"Europe/Berlin", "America/New_York", "Pacific/Auckland", "Australia/Lord_Howe",
		"Asia/Kathmandu"} {
		all = append(all, zone(t, name))
	}
	return all
}

// Now is Wednesday, 4 November 2026, 10:20:30 on every wall.
func TestWaysToSayATime(t *testing.T) {
	for _, z := range zones(t) {
		now := time.Date(2026, 11, 4, 10, 20, 30, 0, z)
		for text, want := range map[string]string{
			"":                         "2026-11-04 10:20:30",
			"now":                      "2026-11-04 10:20:30",
			"09:30":                    "2026-11-04 09:30:00",
			"9:30 am":                  "2026-11-04 09:30:00",
			"9am":                      "2026-11-04 09:00:00",
			"10:22":                    "2026-11-04 10:22:00", // the clock on the wall is a little before
			"today":                    "2026-11-04 10:20:30", // noon is still to come
			"today 9:00":               "2026-11-04 09:00:00",
			"yesterday":                "2026-11-03 12:00:00",
			"Yesterday 18:00":          "2026-11-03 18:00:00",
			"18:00 yesterday":          "2026-11-03 18:00:00",
			"yesterday, 6 pm":          "2026-11-03 18:00:00",
			"mon 18:00":                "2026-11-02 18:00:00",
			"Monday":                   "2026-11-02 12:00:00",
			"wed":                      "2026-11-04 10:20:30",
			"wed 10:15":                "2026-11-04 10:15:00",
			"5 Nov 2025":               "2025-11-05 12:00:00",
			"2026-11-03 7am":           "2026-11-03 07:00:00",
			"thurs":                    "2026-10-29 12:00:00",
			"2 hours ago":              "2026-11-04 08:20:30",
			"an hour ago":              "2026-11-04 09:20:30",
			"90 min ago":               "2026-11-04 08:50:30",
			"3 days ago":               "2026-11-01 10:20:30",
			"a week ago":               "2026-10-28 10:20:30",
			"2 months ago":             "2026-09-04 10:20:30",
			"26 Oct":                   "2026-10-26 12:00:00",
			"26 October 18:00":         "2026-10-26 18:00:00",
			"Oct 26":                   "2026-10-26 12:00:00",
			"26. oct":                  "2026-10-26 12:00:00",
			"29 Feb":                   "2024-02-29 12:00:00",
			"7.9.2026":                 "2026-09-07 12:00:00",
			"7.9.":                     "2026-09-07 12:00:00",
			"7.9.2026 18:00":           "2026-09-07 18:00:00",
			"2026-10-26":               "2026-10-26 12:00:00",
			"2026-10-26 18:00":         "2026-10-26 18:00:00",
			"2026-10-26T18:00":         "2026-10-26 18:00:00",
			"26 Oct 2026 9 pm":         "2026-10-26 21:00:00",
			"  26   oct   2026 21:00 ": "2026-10-26 21:00:00",
			"26/10/2026":               "2026-10-26 12:00:00",
		} {
			got, err := entry.When(text, now)
			if err != nil || got.In(z).Format(time.DateTime) != want {
				t.Errorf("%q in %s: %s, %v; want %s", text, z, got.In(z).Format(time.DateTime), err, want)
			}
		}
		for text, why := range map[string]string{
			"10:30":                "2026-11-04 10:30 is later than now: the clock stands at 2026-11-04 10:20",
			"tomorrow":             "2026-11-05 12:00 is later than now: the clock stands at 2026-11-04 10:20",
			"today 18:00":          "is later than now",
			"4 nov 18:00":          "is later than now",
			"2027-01-01":           "is later than now",
			"2026-11-04T23:00:00Z": "is later than now",
			"7/9/2026":             "can be 7 September or 9 July",
			"7/9":                  "not a date",
			"2026-11-04 11pm":      "2026-11-04 23:00 is later than now",
			"wed 18:00":            "2026-11-04 18:00 is later than now: the clock stands at 2026-11-04 10:20",
			"5 Nov":                "2026-11-05 12:00 is later than now: the clock stands at 2026-11-04 10:20",
			"3 Dec 9:00":           "2026-12-03 09:00 is later than now: the clock stands at 2026-11-04 10:20",
			"soon":                 "not a date",
			"mo 18:00":             "not a date",
			"yesterday 25:00":      "not a time of day",
			"31 Apr 2026":          "April 2026 has 30 days",
			"2026-12":              "not a date",
		} {
			if got, err := entry.When(text, now); err == nil || !strings.Contains(err.Error(), why) {
				t.Errorf("%q in %s: %s, %v; want it refused: %s", text, z, got, err, why)
			}
		}
	}
}

// On the night they are put forward the clocks skip a time of day, and on the night they are put back they show one
// twice: the first is refused, the second is refused with both moments, however the day is told.
func TestMomentsOfChangedClocks(t *testing.T) {
	for _, c := range []struct {
		zone, day, clock string
		twice            []string // with their offsets; none: the time does not exist
	}{
		{"Europe/Berlin", "2026-03-29", "02:30", nil},
		{"Europe/Berlin", "2026-10-25", "02:30", []string{"2026-10-25T02:30:00+02:00", "2026-10-25T02:30:00+01:00"}},
		{"America/New_York", "2026-03-08", "02:30", nil},
		{"America/New_York", "2026-11-01", "01:30", []string{"2026-11-01T01:30:00-04:00", "2026-11-01T01:30:00-05:00"}},
		{"Pacific/Auckland", "2026-09-27", "02:30", nil},
		{"Pacific/Auckland", "2026-04-05", "02:30", []string{"2026-04-05T02:30:00+13:00", "2026-04-05T02:30:00+12:00"}},
		{"Australia/Lord_Howe", "2026-10-04", "02:15", nil},
		{"Australia/Lord_Howe", "2026-04-05", "01:45", []string{"2026-04-05T01:45:00+11:00", "2026-04-05T01:45:00+10:30"}},
	} {
		z := zone(t, c.zone)
		day, err := time.ParseInLocation(time.DateOnly, c.day, z)
		if err != nil {
			t.Fatal(err)
		}
		for text, now := range map[string]time.Time{
			c.clock:                                 day.Add(14 * time.Hour),
			"today " + c.clock:                      day.Add(14 * time.Hour),
			"yesterday " + c.clock:                  day.AddDate(0, 0, 1).Add(14 * time.Hour),
			day.Format("Mon ") + c.clock:            day.AddDate(0, 0, 3).Add(14 * time.Hour),
			day.Format("2 Jan ") + c.clock:          day.AddDate(0, 0, 40),
			day.Format("2.1.2006 ") + c.clock:       day.AddDate(0, 0, 40),
			c.day + " " + c.clock:                   day.AddDate(0, 0, 40),
			day.Format("January 2 2006 ") + c.clock: day.AddDate(0, 0, 40),
		} {
			_, err := entry.When(text, now)
			r, refused := err.(logbook.Refusal)
			want, hint := "does not exist in "+c.zone+": the clocks were put forward over it", "write "
			if c.twice != nil {
				want, hint = "was shown twice by the clocks in "+c.zone,
					"write the offset behind it: "+strings.Join(c.twice, " or ")
			}
			if !refused || !strings.Contains(r.Reason, want) || !strings.HasPrefix(r.Hint, hint) {
				t.Errorf("%q in %s: %v, hint %q", text, c.zone, err, r.Hint)
			}
		}
		for _, text := range c.twice {
			if got, err := entry.When(text, day.AddDate(0, 0, 40)); err != nil || logbook.FormatTime(got) != text {
				t.Errorf("%q: %s, %v", text, logbook.FormatTime(got), err)
			}
		}
		// Hours are counted as they pass, and days by the calendar.
		after := day.AddDate(0, 0, 1).Add(9 * time.Hour)
		for text, want := range map[string]time.Time{"24 hours ago": after.Add(-24 * time.Hour),
			"a day ago": after.AddDate(0, 0, -1)} {
			if got, err := entry.When(text, after); err != nil || !got.Equal(want) {
				t.Errorf("%s in %s: %s, %v; want %s", text, c.zone, got, err, want)
			}
		}
	}
}

// What a question is about begins with its day, an answer is for the end of it, and a silence lasts until the next one.
func TestMomentsOfQuestions(t *testing.T) {
	z := zone(t, "Europe/Berlin")
	now := time.Date(2026, 11, 4, 10, 20, 30, 0, z)
	for _, c := range []struct {
		read       func(string, time.Time) (time.Time, error)
		text, want string
	}{
		{entry.Since, "mon", "2026-11-02 00:00:00"},
		{entry.AsOf, "2026-11-02 5am", "2026-11-02 05:00:00"},
		{entry.Since, "9 months ago", "2026-02-04 10:20:30"},
		{entry.Since, "25 Oct", "2026-10-25 00:00:00"},
		{entry.Since, "3 days ago", "2026-11-01 10:20:30"},
		{entry.Since, "2026-10-25 18:00", "2026-10-25 18:00:00"},
		{entry.AsOf, "yesterday", "2026-11-03 23:59:59"},
		{entry.AsOf, "25.10.2026", "2026-10-25 23:59:59"},
		{entry.AsOf, "", "2026-11-04 10:20:30"},
		{entry.AsOf, "2027-01-01", "2027-01-01 23:59:59"},
		{entry.Until, "mon", "2026-11-09 00:00:00"},
		{entry.Until, "wed 09:00", "2026-11-11 09:00:00"},
		{entry.Until, "wed 18:00", "2026-11-04 18:00:00"},
		{entry.Until, "tomorrow", "2026-11-05 00:00:00"},
		{entry.Until, "26 Oct", "2027-10-26 00:00:00"},
		{entry.Begin, "tomorrow 18:00", "2026-11-05 18:00:00"},
	} {
		if got, err := c.read(c.text, now); err != nil || got.In(z).Format(time.DateTime) != c.want {
			t.Errorf("%q: %s, %v; want %s", c.text, got.In(z).Format(time.DateTime), err, c.want)
		}
	}
}

func TestExpiry(t *testing.T) {
	for text, want := range map[string]string{
		"": "", "2026-12": "2026-12-31", "12/2026": "2026-12-31", "02/2028": "2028-02-29", "Feb 2027": "2027-02-28",
		"4.2027":     "2027-04-30",
		"2027-10-31": "2027-10-31", "31.10.2027": "2027-10-31", "31 Oct 2027": "2027-10-31",
	} {
		if got, err := entry.Expiry(text); err != nil || got != want {
			t.Errorf("%q: %q, %v; want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"soon", "13/2026", "2027", "12/26", "2027-10-31 18:00"} {
		if got, err := entry.Expiry(text); err == nil {
			t.Errorf("%q: %q, want a refusal", text, got)
		}
	}
}
