package logbook

import (
	"errors"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func loadZone(t testing.TB, name string) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation(name)
	if err != nil {
		t.Skip("no time zone data on this machine")
	}
	return zone
}

func TestParseTime(t *testing.T) {
	auckland := loadZone(t, "Pacific/Auckland")
	for _, c := range []struct {
		typed string
		order DateOrder
		want  string
	}{
		{"2026-03-07T09:10:00+13:00", AnyOrder, "2026-03-07T09:10:00+13:00"},
		{"2026-03-07T09:10:00Z", AnyOrder, "2026-03-07T09:10:00Z"},
		{"2026-03-07T09:10:00+00:00", AnyOrder, "2026-03-07T09:10:00+00:00"},
		{"2026-03-07T09:10:00-00:00", AnyOrder, "2026-03-07T09:10:00+00:00"},
		{"2026-03-07t09:10:00z", AnyOrder, "2026-03-07T09:10:00Z"},
		{"2026-03-07T09:10:00.250Z", AnyOrder, "2026-03-07T09:10:00.25Z"},
		{"2026-03-07T09:10:00.123456789-03:30", AnyOrder, "2026-03-07T09:10:00.123456789-03:30"},
		{"2026-03-07 09:10:00+0530", AnyOrder, "2026-03-07T09:10:00+05:30"},
		{"2026-03-07 09:10 +13", AnyOrder, "2026-03-07T09:10:00+13:00"},
		{"2026-03-07 09:10:05 UTC", AnyOrder, "2026-03-07T09:10:05Z"},
		// Auckland: +13:00 in summer until 5 April 2026, then +12:00.
		{"2026-03-07", AnyOrder, "2026-03-07T12:00:00+13:00"},
		{" 2026-06-07\u00a0", AnyOrder, "2026-06-07T12:00:00+12:00"},
		{"2026-03-07 09:10", AnyOrder, "2026-03-07T09:10:00+13:00"},
		{"2026-03-07T9:10:30", AnyOrder, "2026-03-07T09:10:30+13:00"},
		{"2026/3/7", AnyOrder, "2026-03-07T12:00:00+13:00"},
		{"7 Mar 2026", AnyOrder, "2026-03-07T12:00:00+13:00"},
		{"7-mar-2026 9:10 PM", AnyOrder, "2026-03-07T21:10:00+13:00"},
		{"March 7, 2026, 12:10 am", AnyOrder, "2026-03-07T00:10:00+13:00"},
		{"25/03/2026", AnyOrder, "2026-03-25T12:00:00+13:00"},
		{"03/25/2026", AnyOrder, "2026-03-25T12:00:00+13:00"},
		{"03/03/2026", AnyOrder, "2026-03-03T12:00:00+13:00"},
		{"07/03/2026", DayFirst, "2026-03-07T12:00:00+13:00"},
		{"07/03/2026", MonthFirst, "2026-07-03T12:00:00+12:00"},
		{"7.3.2026 09:10", DayFirst, "2026-03-07T09:10:00+13:00"},
		{"29 Feb 2024", AnyOrder, "2024-02-29T12:00:00+13:00"},
	} {
		got, err := ParseTime(c.typed, auckland, c.order)
		if err != nil {
			t.Errorf("%q: %v", c.typed, err)
		} else if FormatTime(got) != c.want {
			t.Errorf("%q: %s, want %s", c.typed, FormatTime(got), c.want)
		}
	}
}

func TestParseTimeRefuses(t *testing.T) {
	berlin := loadZone(t, "Europe/Berlin")
	for _, c := range []struct {
		typed  string
		order  DateOrder
		reason string
	}{
		{"", AnyOrder, "not a date"},
		{"yesterday", AnyOrder, "not a date"},
		{"07/03/2026", AnyOrder, "can be 7 March or 3 July"},
		{"7.3.2026 09:10", AnyOrder, "can be 7 March or 3 July"},
		{"25/03/2026", MonthFirst, "no month 25"},
		{"03/25/2026", DayFirst, "no month 25"},
		{"25/25/2026", AnyOrder, "no month 25"},
		{"07/03/26", AnyOrder, "four digits"},
		{"7 Mar 26", AnyOrder, "four digits"},
		{"2026-02-30", AnyOrder, "February 2026 has 28 days"},
		{"2026-02-29T10:00:00Z", AnyOrder, "February 2026 has 28 days"},
		{"2026-13-01", AnyOrder, "no month 13"},
		{"2026-00-01", AnyOrder, "no month 0"},
		{"2026-03-00", AnyOrder, "has 31 days"},
		{"2026-03/07", AnyOrder, "not a date"},
		{"20260307", AnyOrder, "not a date"},
		{"2026-03", AnyOrder, "not a date"},
		{"46088", AnyOrder, "not a date"},
		{"2026-03-07T24:00:00Z", AnyOrder, "not a time of day"},
		{"2026-03-07T09:60:00Z", AnyOrder, "not a time of day"},
		{"2026-03-07 09:10 noon", AnyOrder, "not a time of day"},
		{"2026-03-0709:10", AnyOrder, "not a"},
		{"2026-03-07 13:10 pm", AnyOrder, "not a time of day"},
		{"2026-03-07T09:10:00+25:00", AnyOrder, "not an offset"},
		{"2026-03-07T09:10:00+1", AnyOrder, "not an offset"},
		{"1969-12-31", AnyOrder, "between the years 1970 and 2199"},
		{"1970-01-01T00:00:00+13:00", AnyOrder, "between the years 1970 and 2199"},
		{"2200-01-01", AnyOrder, "between the years 1970 and 2199"},
		{"0026-03-07", AnyOrder, "between the years 1970 and 2199"},
		{"9999-12-31T23:59:59Z", AnyOrder, "between the years 1970 and 2199"},
		// Berlin 2026: 2:00 to 3:00 does not exist on 29 March and comes twice on 25 October.
		{"2026-03-29 02:30", AnyOrder, "does not exist in Europe/Berlin"},
		{"2026-10-25 02:30", AnyOrder, "shown twice"},
	} {
		got, err := ParseTime(c.typed, berlin, c.order)
		var r Refusal
		if !errors.As(err, &r) {
			t.Errorf("%q gave %s, %v; want a refusal", c.typed, FormatTime(got), err)
		} else if !strings.Contains(r.Reason, c.reason) {
			t.Errorf("%q: %q, want %q in it", c.typed, r.Reason, c.reason)
		}
	}
}

func TestRepeatedHourNamesBothOffsets(t *testing.T) {
	_, err := ParseTime("2026-10-25 02:30", loadZone(t, "Europe/Berlin"), AnyOrder)
	want := "write the offset behind it: 2026-10-25T02:30:00+02:00 or 2026-10-25T02:30:00+01:00"
	if got := asRefusal(err).Hint; got != want {
		t.Errorf("hint %q, want %q", got, want)
	}
}

func TestZoneAtGreenwichIsNotUTC(t *testing.T) {
	got, err := ParseTime("2026-01-07 09:10", loadZone(t, "Europe/London"), AnyOrder)
	if err != nil || FormatTime(got) != "2026-01-07T09:10:00+00:00" {
		t.Errorf("%s, %v", FormatTime(got), err)
	}
}

// anyTime draws a time such as a book may hold.
func anyTime() *rapid.Generator[time.Time] {
	return rapid.Custom(func(t *rapid.T) time.Time {
		first := time.Date(firstYear, 1, 2, 0, 0, 0, 0, time.UTC).Unix()
		last := time.Date(lastYear, 12, 30, 0, 0, 0, 0, time.UTC).Unix()
		nanos := rapid.SampledFrom([]int64{0, 0, 1, 250_000_000, 999_999_999}).Draw(t, "nanos")
		when := time.Unix(rapid.Int64Range(first, last).Draw(t, "seconds"), nanos).UTC()
		if rapid.Bool().Draw(t, "UTC") {
			return when
		}
		return when.In(time.FixedZone("", 60*rapid.IntRange(-15*60-59, 15*60+59).Draw(t, "offset")))
	})
}

func TestFormatTimeIsReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		when := anyTime().Draw(t, "time")
		text := FormatTime(when)
		got, ok := parseRFC3339(text)
		if !ok || !got.Equal(when) || FormatTime(got) != text {
			t.Fatalf("%s was read as %s", text, FormatTime(got))
		}
		slow, err := ParseTime(strings.Replace(text, "T", " ", 1), nil, AnyOrder)
		if err != nil || FormatTime(slow) != text {
			t.Fatalf("%s was read as %s, %v the long way", text, FormatTime(slow), err)
		}
		// The standard library is the outside opinion.
		if std, err := time.Parse(time.RFC3339Nano, text); err != nil || !std.Equal(got) {
			t.Fatalf("%s: %s, and %s by package time", text, got, std)
		}
	})
}

func FuzzTime(f *testing.F) {
	for _, s := range []string{"2026-03-07T09:10:00+13:00", "7 Mar 2026 9:10 pm", "07/03/2026", "March 7, 2026",
		"2026-03-29 02:30", "2026-03-07 09:10 +13"} {
		f.Add(s, int8(0))
	}
	zone := loadZone(f, "Pacific/Auckland")
	f.Fuzz(func(t *testing.T, text string, order int8) {
		got, err := ParseTime(text, zone, DateOrder(order))
		if err != nil {
			if r := asRefusal(err); r.Reason == "" || strings.ContainsAny(r.Error(), "\n\x1b") {
				t.Errorf("%q: message %q", text, r.Error())
			}
			return
		}
		if y := got.UTC().Year(); y < firstYear || y > lastYear {
			t.Errorf("%q gave the year %d", text, y)
		}
		again, err := ParseTime(FormatTime(got), nil, AnyOrder)
		if err != nil || !again.Equal(got) || FormatTime(again) != FormatTime(got) {
			t.Errorf("%q gave %s, which is read back as %s, %v", text, FormatTime(got), FormatTime(again), err)
		}
	})
}
