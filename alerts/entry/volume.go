package entry

import (
	"cmp"
	"fmt"
	"regexp"
	"strings"

	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/logbook/water"
)

// A net volume outside these is asked about, as is one that is so many times less or more than the one before (common
// practice, no source).
const (
	leastLitres = 20
	mostLitres  = 20000
	otherTimes  = 2
)

const volumeHint = "write 450, or 100 gal (US gallons), or 100 imp gal"

// thousands is a number whose point may part thousands.
var thousands = regexp.MustCompile(`^[0-9]{1,3}\.[0-9]{3}$`)

// Volume reads the net volume of a tank, in litres; a bare number is litres, and nothing is 0, not known.
func Volume(text string) (litres float64, err error) {
	if strings.TrimSpace(text) == "" {
		return 0, nil
	}
	value, unit := logbook.Split(text)
	v, err := Number(value)
	if err == nil {
		v, err = water.Litres(v, cmp.Or(unit, "L"))
	}
	if err != nil || !(v > 0) {
		return 0, logbook.Refusal{Reason: fmt.Sprintf("%q is not a volume", text), Hint: volumeHint}
	}
	return significant(v), nil
}

// DoubtVolume says why a net volume, read from text, is likely a slip, and what it does to what is dosed.
func (c Context) DoubtVolume(text string, litres float64) string {
	was := c.Tank.VolumeL
	if litres == was || litres == 0 {
		return ""
	}
	var why []string
	size := words.Litres(litres)
	value, _ := logbook.Split(text)
	switch {
	case thousands.MatchString(value):
		why = append(why, fmt.Sprintf("%s is taken for %s: were %s meant?", value, size, words.Litres(1000*litres)))
	case litres < leastLitres:
		why = append(why, size+" is little water for a tank: are these litres?")
	case litres > mostLitres:
		why = append(why, size+" is much water for a tank: are these litres?")
	}
	if was == 0 || litres > was/otherTimes && litres < was*otherTimes {
		return strings.Join(why, "; ")
	}
	why = append(why, fmt.Sprintf("the volume was %s and becomes %s", words.Litres(was), size))
	then := c
	then.Tank.VolumeL = litres
	for _, d := range c.Dosings {
		p, ok := logbook.FindParameter(c.Parameters, d.Parameter)
		if !ok {
			continue
		}
		r := Rise{p, d.PerDay, d.Unit}
		if before, after := c.millilitres(r, d.Supplement), then.millilitres(r, d.Supplement); before != "" {
			why = append(why, fmt.Sprintf("%s a day of %s become %s", before, d.Supplement, after))
		}
	}
	return strings.Join(why, "; ")
}
