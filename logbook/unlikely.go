package logbook

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"leadline/logbook/water"
)

// Unlikely says why a reading that lies outside the usual range of its parameter may be a slip, in one sentence such as
// "33 mg/L is above the usual 0 to 2 mg/L; looks like ppb P: 33 ppb P is 0.101 mg/L", and what was likely meant, as it
// would be typed: "33 ppb P". Both are "" of one that does not, the second also where nothing explains it. The reading
// is one that ParseReading gave.
func Unlikely(p Parameter, r Reading) (why, instead string) {
	low, high := p.usual()
	side := "below"
	switch {
	case r.Value > high:
		side = "above"
	case r.Value >= low:
		return "", ""
	}
	why = fmt.Sprintf("%s is %s the usual %s", withUnit(r.Text, r.Unit), side, p.between(low, high))
	typed, _, err := ParseValue(r.Text)
	if err != nil {
		return why, ""
	}
	looks, instead := slip(p, r.Unit, typed)
	if looks != "" {
		why += "; " + looks
	}
	return why, instead
}

// leap is the ratio to the last reading at which a reading is asked about, whatever the others say: a decimal point in
// the wrong place is ten times, and the commonest slips of unit are two and three and a thousand. Chosen here.
const leap = 10

// UnlikelyLeap says that a reading is ten times the last one before it or a tenth of it, in one sentence, or "": the
// plain check where too few readings are there for a better one. A bound counts only on its sure side, and a difference
// that three times the repeatability of the parameter's generic method covers is none.
func UnlikelyLeap(p Parameter, last, r Reading) string {
	if math.Abs(r.Value-last.Value) <= 3*p.Generic.SD {
		return ""
	}
	side := ""
	switch {
	case last.Value > 0 && r.Value >= leap*last.Value && r.Bound != Below && last.Bound != Above:
		side = "ten times the last one or more"
	case last.Value > 0 && r.Value <= last.Value/leap && r.Bound != Above && last.Bound != Below:
		side = "a tenth of the last one or less"
	default:
		return ""
	}
	return fmt.Sprintf("%s is %s, %s", withUnit(r.Text, r.Unit), side, withUnit(last.Text, last.Unit))
}

// slip names the slip of the pen that would explain a number which the parameter cannot or hardly have: another unit,
// or a decimal point in the wrong place. "" if none puts the number where it usually is. Of several, the one that comes
// nearest to the middle of the usual range is named; where that range begins at zero and has no middle, every unit is
// named, and instead is by the first. instead is what would have been typed without it.
//
// Which units are taken for each other is common practice, no source: gross_errors in testdata/reference/practice.json.
func slip(p Parameter, unit string, typed float64) (why, instead string) {
	low, high := p.usual()
	nearest := math.Inf(1)
	consider := func(canonical float64, explains, typed string) {
		if !(canonical > 0 && canonical >= low && canonical <= high) {
			return
		}
		far := math.MaxFloat64
		if low > 0 {
			far = math.Abs(math.Log(canonical / math.Sqrt(low*high)))
		}
		if far < nearest {
			why, instead, nearest = explains, typed, far
		}
	}
	own, err := p.FindUnit(unit)
	if err != nil || math.IsInf(high, 1) {
		return "", ""
	}
	number := strconv.FormatFloat(typed, 'g', -1, 64)
	var others []string
	for _, name := range slices.Concat(mistakenUnits[p.Name], []string{p.Unit}) {
		other, err := p.FindUnit(name)
		if err != nil || other == own {
			continue
		}
		c := other.Canonical(typed)
		explains := fmt.Sprintf("looks like %s: %s is %s", name, withUnit(number, name), p.withUnit(c))
		if name == p.ShownUnit() {
			explains = "looks like " + name
		}
		if consider(c, explains, withUnit(number, name)); low <= 0 && c > 0 && c <= high {
			others = append(others, explains)
		}
	}
	if len(others) > 1 { // nothing tells one from the other: all of them are named
		why = strings.ReplaceAll(strings.Join(others, "; or "), "; or looks like ", "; or ")
	}
	for _, factor := range []float64{0.1, 10, 0.01, 100, 1000} { // the last of a point that parts thousands
		moved := typed * factor
		text := withUnit(strconv.FormatFloat(moved, 'g', 6, 64), unit)
		consider(own.Canonical(moved), "the decimal point may have slipped: "+text, text)
	}
	return why, instead
}

// Meant is what was likely meant by a reading that is not between low and high, where it is expected: the same number
// in another of the units that are taken for each other, or with its decimal point one place on, as it would be typed;
// "" where nothing puts it there.
func Meant(p Parameter, r Reading, low, high float64) string {
	typed, bound, err := ParseValue(r.Text)
	own, unknown := p.FindUnit(r.Unit)
	if err != nil || unknown != nil || typed <= 0 {
		return ""
	}
	for _, name := range append([]string{p.Unit}, mistakenUnits[p.Name]...) {
		other, err := p.FindUnit(name)
		if err != nil || other == own {
			continue
		}
		if c := other.Canonical(typed); c >= low && c <= high {
			return withUnit(r.Text, name)
		}
	}
	for _, factor := range []float64{0.1, 10} {
		if bound != Exact {
			break
		}
		if moved := typed * factor; own.Canonical(moved) >= low && own.Canonical(moved) <= high {
			return withUnit(strconv.FormatFloat(moved, 'g', 6, 64), r.Unit)
		}
	}
	return ""
}

// mistakenUnits are the units whose numbers are typed by mistake as those of another.
var mistakenUnits = map[string][]string{
	"alkalinity": {"meq/L", "mg/L CaCO3"}, "calcium": {"mg/L CaCO3"}, "phosphate": {"ppb P", "ppb"},
	"salinity": {"SG 25/25", "mS/cm"}, "temperature": {"°F"},
	"nitrite": {"ppb"}, "ammonia": {"ppb"}, "iodine": {"ppb"}, "silicate": {"ppb"},
}

// UnitNote says how a unit that people use for two things was read, and what the other one would be; "" of any other.
// The reading is one that ParseReading gave.
//
// Hydrometers and conductivity meters are made for several temperatures, and which is taken is said where that was not
// typed. Plain ppb or ug/L of phosphate is PO4 by this book's rule, but photometers that show phosphorus say ppb too,
// which is three times as much (common practice, no source).
func UnitNote(p Parameter, r Reading) string {
	taken, err := p.FindUnit(r.Unit)
	if err != nil {
		return ""
	}
	name := taken.Name()
	switch {
	case p.Name == "phosphate" && (name == "ppb" || name == "ug/L") && !strings.Contains(strings.ToUpper(r.Unit), "PO4"):
		other, err := p.FindUnit(name + " P")
		typed, _, wrong := ParseValue(r.Text)
		if err != nil || wrong != nil || typed == 0 {
			return ""
		}
		return fmt.Sprintf("read as %s PO4; a photometer's %[1]s of phosphorus is written %q (that would be %s)",
			name, other.Name(), r.Bound.Sign()+p.withUnit(other.Canonical(typed)))
	case p.Name != "salinity" || strings.ContainsAny(r.Unit, "0123456789"):
		return ""
	case strings.HasPrefix(name, "SG "):
		return "read as " + name + ", water of 25 °C against pure water of 25 °C; an instrument for another temperature is " +
			"written SG 20/20 or SG 60/60"
	case strings.HasSuffix(name, "S/cm"):
		return "read as " + name + " of a meter that compensates to 25 °C"
	}
	return ""
}

// CheckBand refuses a band that no water can be in: edges the wrong way round, a floor at or above the upper edge, a
// number that the parameter cannot have. What is merely unlikely comes back as warnings, one sentence each: a floor
// above the lower edge, a number outside the usual range, or one too small to tell from zero. instead is the unit in
// which a number outside would be usual, "" where there is none. The error is a Refusal.
func CheckBand(p Parameter, b Band) (warnings []string, instead string, err error) {
	u, err := p.FindUnit(b.Unit)
	if err != nil {
		return nil, "", Refusal{Field: p.Name, Value: b.Unit, Reason: err.Error()}
	}
	typed := func(f *float64) string { return withUnit(formatNumber(*f), u.Name()) }
	const meant = "was another unit meant? --unit says which"
	low, high := p.limits()
	usualLow, usualHigh := p.usual()
	for _, e := range []struct {
		name string
		edge *float64
	}{{"low", b.Low}, {"high", b.High}, {"floor", b.Floor}} {
		if e.edge == nil {
			continue
		}
		c := u.Canonical(*e.edge)
		if !(c >= low && c <= high) {
			return nil, "", Refusal{Field: p.Name, Value: formatNumber(*e.edge), Hint: meant,
				Reason: fmt.Sprintf("%s %s is not possible: outside %s", e.name, typed(e.edge), p.between(low, high))}
		}
		switch {
		case c < usualLow, c > usualHigh:
			why := fmt.Sprintf("%s %s is outside the usual %s", e.name, typed(e.edge), p.between(usualLow, usualHigh))
			looks, likely := slip(p, u.Name(), *e.edge)
			if _, name := Split(likely); name != u.Name() && instead == "" && likely != "" {
				instead, why = name, why+"; "+looks
			}
			warnings = append(warnings, why)
		case c > 0 && c < math.Pow(10, -float64(p.Digits))/2:
			warnings = append(warnings, fmt.Sprintf("%s %s is %s, too little to tell from zero: was another unit meant?", e.name,
				typed(e.edge), withUnit(water.FormatAtMost(p.Shown.FromCanonical(c), 2), p.ShownUnit())))
		}
	}
	switch {
	case b.Low != nil && b.High != nil && !(*b.Low < *b.High):
		return nil, "", Refusal{Field: p.Name, Value: formatNumber(*b.Low),
			Reason: fmt.Sprintf("low %s is not below high %s", typed(b.Low), typed(b.High))}
	case b.Floor != nil && b.High != nil && !(*b.Floor < *b.High):
		return nil, "", Refusal{Field: p.Name, Value: formatNumber(*b.Floor),
			Reason: fmt.Sprintf("floor %s is not below high %s", typed(b.Floor), typed(b.High))}
	case b.Floor != nil && b.Low != nil && *b.Floor > *b.Low:
		warnings = append(warnings, fmt.Sprintf("floor %s is above low %s: it would count as bottomed out inside its band",
			typed(b.Floor), typed(b.Low)))
	}
	return warnings, instead, nil
}
