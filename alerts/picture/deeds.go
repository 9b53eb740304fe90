package picture

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"leadline/alerts/words"
	"leadline/logbook"
)

// Deed is something that was done, or seen, as often as it was.
type Deed struct {
	Kind   logbook.Kind
	Text   string
	Times  []time.Time // in order
	Number int         // by which a picture and a list name it; 0: it is routine, or one of too many
}

// routine is how often the same may be done before it is no longer numbered.
const routine = 4

// Deeds puts what was done into words, the same in one deed with all its times, in the order of the first; every
// event stands alone. At most so many are numbered in that order, those of the highest rank, and of these the newest.
// Private leaves out what was written about it.
func Deeds(done []logbook.Entry, k words.Known, private bool, most int) []Deed {
	var out []Deed
	at := map[string]int{}
	for _, e := range done {
		text := say(e, k, private)
		_, event := e.(logbook.Event)
		i, known := at[text]
		if event || !known {
			i = len(out)
			at[text] = i
			out = append(out, Deed{Kind: e.Kind(), Text: text})
		}
		out[i].Times = append(out[i].Times, e.When())
	}
	var rare []*Deed
	for i := range out {
		if len(out[i].Times) <= routine {
			rare = append(rare, &out[i])
		}
	}
	slices.SortStableFunc(rare, func(a, b *Deed) int { return a.rank() - b.rank() })
	rare = rare[max(0, len(rare)-most):]
	n := 0
	for i := range out {
		if slices.Contains(rare, &out[i]) {
			n++
			out[i].Number = n
		}
	}
	return out
}

// rank orders deeds by how much they may say of a change: a dosing is often set anew.
func (d Deed) rank() int {
	switch d.Kind {
	case logbook.KindDosing:
		return 0
	case logbook.KindWaterChange:
		return 1
	}
	return 2
}

// Single reports whether it was done but once, which may have changed something.
func (d Deed) Single() bool { return d.Number > 0 && len(d.Times) == 1 && d.rank() == 2 }

func say(e logbook.Entry, k words.Known, private bool) string {
	what, note := k.Short(e)
	if private {
		note, what = "", strings.TrimSuffix(what, words.NotedBy(e))
		switch e := e.(type) {
		case logbook.ChoreDone:
			what = "a chore done"
		case logbook.Event:
			what = strings.TrimSuffix("event: "+words.OneLine(strings.Join(e.Tags, ", ")), ": ")
		}
	}
	return strings.TrimSpace(words.Subject(e)+" "+what) + words.With(": ", note)
}

// Days are the days on which it was done: all, or the first and the last with their count.
func (d Deed) Days(zone *time.Location) string {
	days := slices.Compact(words.Of(d.Times, func(t time.Time) string { return words.ShortDay(t.In(zone)) }))
	if n := len(days); n > 3 {
		return fmt.Sprintf("%s, … %s (%d times)", days[0], days[n-1], len(d.Times))
	}
	return strings.Join(days, ", ")
}

// Lane is what was done of one sort, a row of marks under the charts of a tank.
type Lane struct {
	Name  string
	Deeds []Deed
}

// Lanes are those of which anything was done.
func Lanes(deeds []Deed) (used []Lane) {
	for _, name := range laneNames() {
		of := words.Those(deeds, func(d Deed) bool {
			return slices.ContainsFunc(doings(), func(x doing) bool { return x.kind == d.Kind && x.lane == name })
		})
		if len(of) > 0 {
			used = append(used, Lane{name, of})
		}
	}
	return used
}

// Keyed is a line that says what a mark stands for. Of is nothing in the last one, where more was done than is said.
type Keyed struct {
	Of   Deed
	Text string
}

// Line is such a line where marks are characters.
func (k Keyed) Line() string { return fmt.Sprintf("%2s  %s", k.Of.Sign(), k.Text) }

// Sign is the mark of a deed on an axis of characters: its number, or the letter of its kind.
func (d Deed) Sign() string {
	if d.Number > 0 {
		return strconv.Itoa(d.Number)
	}
	return markOf(d.Kind).Sign
}

// Listed says the deeds that have a number, then those that are routine; all others are counted.
func Listed(deeds []Deed, zone *time.Location) (lines []Keyed) {
	others := 0
	for _, routinely := range []bool{false, true} {
		for _, d := range deeds {
			switch {
			case routinely == (d.Number > 0):
			case routinely && len(d.Times) <= routine:
				others++
			default:
				lines = append(lines, Keyed{d, d.Days(zone) + ": " + d.Text})
			}
		}
	}
	if others > 0 {
		lines = append(lines, Keyed{Text: fmt.Sprintf("… and %d more", others)})
	}
	return lines
}
