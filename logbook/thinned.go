package logbook

import (
	"bytes"
	"cmp"
	"iter"
	"slices"
	"time"
)

// Tier is how far a dense log is thinned up to an age.
type Tier struct {
	Until time.Duration // age, counted from the latest reading; 0 in the last tier, which has no end
	Width time.Duration // of a bin; a multiple of that of the tier before
	Crowd int           // a bin of more readings than this is thinned to one
}

// Thinned gives the readings with from <= time <= to in time order, and of those the last most at most, but of a
// stretch that a probe wrote, minute after minute, one in each bin of time; left says that any were left out. Zero
// times leave the ends open.
//
// Bins lie on the calendar, from 1970-01-01 UTC on, so that a bin that is over gives the same reading whatever comes
// after it. A bin with no more readings than the tier's Crowd is given whole: a log kept by hand is not touched. Of a
// fuller one the middle of a few readings spread over it is given (see middleOf), which a single glitch cannot be. The
// latest bin has only begun to fill; it counts as full where the one before it is. The latest reading of all is always
// given. Bins are reached by seeks: what it costs depends on their number, not on that of the readings.
func (v *View) Thinned(tank, parameter string, from, to time.Time, most int, tiers []Tier) (readings []Reading,
	left bool, err error) {
	err = v.inSeries(tank, parameter, func(s series) {
		first, last := nanosecondsOf(from, to)
		t := thinner{View: v, c: v.entryCursor(KindReading), series: s, first: first}
		for b := range t.binsBefore(last, tiers) {
			if len(t.readings) >= most {
				break
			}
			t.bin(b, most-len(t.readings))
		}
		readings, left = t.readings, t.left
		slices.Reverse(readings)
	})
	return readings, left, err
}

// thinner goes back through a series.
type thinner struct {
	*View
	c        *cursor
	series   series
	first    int64 // nothing before it is wanted
	left     bool  // something was left out
	readings []Reading
	given    ID // the last of them
}

// bin is the stretch from <= time <= to of one bin; width is that of a whole one.
type bin struct {
	from, to, width int64
	crowd           int
}

// binsBefore goes back through the bins that hold readings, beginning with the one of the latest reading up to last.
func (t *thinner) binsBefore(last int64, tiers []Tier) iter.Seq[bin] {
	return func(yield func(bin) bool) {
		key, ok := t.before(last)
		tier, ends := 0, make([]int64, len(tiers)-1) // of all tiers but the last, each on an edge of the next one's bins
		for i := range ends {
			ends[i] = floorTo(key.nanos()-int64(tiers[i].Until), int64(tiers[i+1].Width))
		}
		for n := 0; ok; n++ {
			for tier < len(ends) && key.nanos() < ends[tier] {
				tier++
			}
			width := int64(tiers[tier].Width)
			b := bin{max(floorTo(key.nanos(), width), t.first), floorTo(key.nanos(), width) + width - 1, width,
				tiers[tier].Crowd}
			if n == 0 {
				b.to = key.nanos() // so that it does not matter how long ago that was
			}
			if !yield(b) {
				return
			}
			key, ok = t.before(b.from - 1)
		}
	}
}

func floorTo(nanos, width int64) int64 { return nanos - nanos%width }

// before moves the cursor to the last key that is wanted and not after a moment.
func (t *thinner) before(last int64) (key seriesKey, ok bool) {
	k, _ := t.c.seekBefore(t.series, last)
	key, ok = seriesKeyOf(k)
	return key, ok && key.of(t.series) && key.nanos() >= t.first
}

// bin gives the readings of a bin, from the last to the first: all of them, the last most at most, or one.
func (t *thinner) bin(b bin, most int) {
	if t.crowded(b) {
		t.left = true
		t.thin(b)
		return
	}
	k, sealed := t.c.seekBefore(t.series, b.to)
	for i := 0; t.within(k, b) && i < most; i++ {
		t.giveSealed(k, sealed)
		k, sealed = t.c.Prev()
	}
}

// crowded reports whether a bin holds too many readings to be given whole. The latest bin has only begun to fill, and
// is as crowded as the one before it.
func (t *thinner) crowded(b bin) bool {
	if t.given.IsZero() && b.from > t.first {
		before := bin{max(b.from-b.width, t.first), b.from - 1, b.width, b.crowd}
		if t.count(before) > b.crowd && t.count(b) > 1 {
			return true
		}
	}
	return t.count(b) > b.crowd
}

func (t *thinner) count(b bin) int { return t.c.count(t.series, b.from, b.to, b.crowd) }

func (t *thinner) within(k []byte, b bin) bool {
	key, ok := seriesKeyOf(k)
	return ok && key.of(t.series) && key.nanos() >= b.from
}

func (t *thinner) giveSealed(k, sealed []byte) {
	r := t.reading(unsealEntry(KindReading, k, sealed))
	t.given, t.readings = r.ID, append(t.readings, r)
}

// probes is how many readings of a full bin are looked at. Five, spread over a day, see both sides of a daily swing,
// and two of them may be glitches.
const probes = 5

// thin gives one reading of a full bin and, of the latest bin, the latest reading of all before it.
func (t *thinner) thin(b bin) {
	isLatest := t.given.IsZero()
	if isLatest {
		t.giveSealed(t.c.seekBefore(t.series, b.to))
	}
	if k, sealed := t.middleOf(b); !isLatest || !bytes.Equal(k[16:], t.given[:]) {
		t.giveSealed(k, sealed)
	}
}

// middleOf gives the reading with the median value of those that stand last in each fifth of a bin.
func (t *thinner) middleOf(b bin) (k, sealed []byte) {
	type probe struct {
		value     float64
		k, sealed []byte
	}
	var seen []probe
	for i := range int64(probes) {
		to := b.from + (b.to-b.from)/probes*(i+1)
		if i == probes-1 {
			to = b.to
		}
		k, sealed := t.c.seekBefore(t.series, to)
		if !t.within(k, b) || len(seen) > 0 && bytes.Equal(seen[len(seen)-1].k, k) {
			continue
		}
		r := t.readingValue(unsealEntry(KindReading, k, sealed))
		seen = append(seen, probe{r.value, k, sealed})
	}
	slices.SortStableFunc(seen, func(a, b probe) int { return cmp.Compare(a.value, b.value) })
	m := seen[(len(seen)-1)/2]
	return m.k, m.sealed
}
