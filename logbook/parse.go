package logbook

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"

	"leadline/logbook/water"
)

// FindParameter looks a parameter up by its name or its code, in any case; the very name goes before the others.
func FindParameter(ps []Parameter, text string) (Parameter, bool) {
	text = trim(text)
	if text == "" {
		return Parameter{}, false
	}
	for _, p := range ps {
		if p.Name == text {
			return p, true
		}
	}
	for _, p := range ps {
		if strings.EqualFold(p.Name, text) || strings.EqualFold(p.Code, text) {
			return p, true
		}
	}
	return Parameter{}, false
}

// longestValue is the longest value that is read, in bytes; more than anyone types and less than a name may have.
const longestValue = 40

// ParseValue reads a value as people type it: a number, or a number behind < or >. Blanks of any kind, the typographic
// minus and a decimal comma are understood; nothing else is guessed at. The error is a Refusal.
func ParseValue(text string) (value float64, bound Bound, err error) {
	if text, err = PointFor(text); err != nil {
		return 0, Exact, err
	}
	return parseValue(text)
}

// parseValue is ParseValue for files, where the other lines tell what a comma is.
func parseValue(text string) (value float64, bound Bound, err error) {
	s := trim(text)
	switch {
	case s == "":
		return 0, Exact, refuse(text, "leave out what was not measured", "the value is empty")
	case len(s) > longestValue:
		return 0, Exact, refuse(text, "", "%s is too long for a value", quote(s))
	}
	number := s
	switch s[0] {
	case '<':
		bound, number = Below, trim(s[1:])
	case '>':
		bound, number = Above, trim(s[1:])
	}
	number = strings.Replace(number, "\u2212", "-", 1)
	value, err = parseNumber(number)
	switch {
	case errors.Is(err, strconv.ErrSyntax):
		return 0, Exact, refuse(text, numberHint(number), "%s is not a number", quote(s))
	case err != nil:
		return 0, Exact, refuse(text, "", "%s is too large for a number", quote(s))
	case value == 0:
		value = 0 // not -0
		if mantissa, _, _ := strings.Cut(strings.ToLower(number), "e"); strings.Trim(mantissa, "+-.0") != "" {
			return 0, Exact, refuse(text, "", "%s is too small for a number", quote(s))
		}
	}
	return value, bound, nil
}

// trim takes blanks off both ends, the invisible ones that spreadsheets leave included.
func trim(s string) string {
	if s == "" || (s[0] > ' ' && s[0] < 0x80 && s[len(s)-1] > ' ' && s[len(s)-1] < 0x80) {
		return s
	}
	return strings.TrimFunc(s, func(r rune) bool {
		return unicode.IsSpace(r) || r == '\u200B' || r == '\uFEFF' || r == '\u200E' || r == '\u200F'
	})
}

// parseNumber reads a decimal number: digits, one point, an exponent. Go's own parser would also take hexadecimal
// numbers, underscores, NaN and infinity. The error is strconv.ErrSyntax or strconv.ErrRange.
func parseNumber(s string) (float64, error) {
	for _, other := range []byte("xXnN_") { // one of them is in all of those
		if strings.IndexByte(s, other) >= 0 {
			return 0, strconv.ErrSyntax
		}
	}
	return strconv.ParseFloat(s, 64)
}

func isNumber(s string) bool {
	_, err := parseNumber(s)
	return !errors.Is(err, strconv.ErrSyntax)
}

// digits counts the digits that s begins with.
func digits(s string) int { return len(s) - len(strings.TrimLeft(s, "0123456789")) }

func numberHint(s string) string {
	switch {
	case s == "":
		return "write the detection limit behind it, as in <0.02"
	case strings.ContainsAny(s, "<>=≤≥"):
		return "write <0.02 for below and >50 for above"
	case strings.ContainsRune(s, ','):
		if isNumber(strings.Replace(s, ",", ".", 1)) {
			return "use a point, or pass --decimal-comma"
		}
		return "leave out marks between thousands"
	case digits(s) > 0 || (len(s) > 1 && digits(s[1:]) > 0):
		return "write the number alone; the unit has its own place"
	default:
		return "leave out what was not measured; write <0.02 for what was below the detection limit"
	}
}

// Split parts a value from the unit behind it: "< 0.02 mg/L" into "< 0.02" and "mg/L". Several results of one test stay
// together. A text that does not begin like a number is left whole, for the parser of values to refuse.
func Split(text string) (value, unit string) {
	text = strings.TrimSpace(text)
	rest := strings.TrimLeft(text, "<>=≤≥~ ")
	i := len(text) - len(rest)
	begin := i
	for i < len(text) {
		c := text[i]
		several := c == ' ' && i > begin && i+1 < len(text) && strings.ContainsRune("0123456789", rune(text[i+1]))
		exponent := (c == 'e' || c == 'E') && i > begin && i+1 < len(text) &&
			strings.ContainsRune("+-0123456789", rune(text[i+1]))
		if !exponent && !several && !strings.ContainsRune("+-.,0123456789", rune(c)) {
			break
		}
		i++
	}
	if i == begin {
		return text, ""
	}
	return text[:i], strings.TrimSpace(text[i:])
}

// ParseReading reads a value in a unit; unit "" is the canonical one. Time, tank, method and note are left empty. What
// no water can have is refused; what is merely unlikely is for Unlikely. The error is a Refusal.
func ParseReading(p Parameter, text, unit string) (Reading, error) {
	unit = trim(unit)
	u, err := p.FindUnit(unit)
	if err != nil {
		return Reading{}, Refusal{Field: p.Name, Value: unit, Reason: err.Error()}
	}
	if text, err = pointIn(text, u); err != nil {
		return Reading{}, refusalOf(p.Name, err)
	}
	return parseReadingIn(p, u, text, unit)
}

// parseReadingIn is ParseReading with the unit found, of a value with a point.
func parseReadingIn(p Parameter, u water.Unit, text, unit string) (Reading, error) {
	v, bound, err := parseValue(text)
	if err != nil {
		return Reading{}, refusalOf(p.Name, err)
	}
	if unit == "" {
		unit = p.Unit
	}
	r := Reading{Parameter: p.Name, Text: trim(text), Unit: unit, Bound: bound, Value: u.Canonical(v)}
	if reason := impossible(p, r); reason != "" {
		return Reading{}, Refusal{Field: p.Name, Value: r.Text, Reason: reason, Hint: impossibleHint(p, r, v)}
	}
	return r, nil
}

// computedDigits are the significant digits of a number that nobody types: a program computed it.
const computedDigits = 13

// plainDecimal is a value as it was typed: 25.599999999999998 is what a spreadsheet makes of 25.6. What is no such
// noise, as a mean of 8.333333333333334, stays as it is.
func plainDecimal(text string) string {
	v, bound, err := parseValue(text)
	if digits := strings.Trim(text, "<> 0."); err != nil || len(digits) <= computedDigits ||
		strings.ContainsAny(text, "eE") {
		return text
	}
	short := strconv.FormatFloat(v, 'g', computedDigits-1, 64)
	if rounded, err := strconv.ParseFloat(short, 64); err == nil && len(short) < computedDigits {
		return bound.Sign() + formatNumber(rounded)
	}
	return text
}

// impossible says why no water can give this reading; "" if it can.
func impossible(p Parameter, r Reading) string {
	low, high := p.limits()
	if r.Value >= low && r.Value <= high && !(r.Bound == Below && r.Value == low) && !math.IsInf(r.Value, 0) {
		return ""
	}
	typed := withUnit(r.Text, r.Unit)
	switch {
	case math.IsNaN(r.Value) || math.IsInf(r.Value, 0):
		return typed + " is not possible"
	case r.Bound == Below && r.Value <= low:
		return typed + " is not possible: nothing is below " + p.limit(low)
	case r.Value < low && low == 0:
		return typed + " is below zero"
	}
	return typed + " is not possible: outside " + p.between(low, high)
}

func impossibleHint(p Parameter, r Reading, typed float64) string {
	if s, _ := slip(p, r.Unit, typed); s != "" {
		return s
	}
	if low, _ := p.limits(); low == 0 && typed <= 0 {
		return "a test that shows this means below what it can see: write <LIMIT with the method's detection limit"
	}
	return ""
}

func withUnit(number, unit string) string {
	return strings.TrimSpace(Clean(number) + " " + Clean(unit))
}

func formatNumber(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

// Mean takes several results of one test, as in "4.2 4.4 4.1", for one reading: their mean, to one decimal more than
// they were read with. repeats says which they were, for the note. A single value comes back as it is.
func Mean(value string) (mean, repeats string, err error) {
	words := strings.Fields(value)
	if len(words) < 2 || strings.ContainsAny(words[0], "<>≤≥=") {
		return value, "", nil
	}
	for i, w := range words {
		if words[i], err = PointFor(w); err != nil {
			return "", "", err
		}
	}
	sum, decimals := 0.0, 0
	low, high := math.Inf(1), math.Inf(-1)
	for _, w := range words {
		v, bound, err := ParseValue(w)
		if err != nil {
			return "", "", err
		}
		if bound != Exact {
			return "", "", fmt.Errorf("%s cannot be averaged: it is only a bound", Clean(w))
		}
		sum += v
		low, high = math.Min(low, v), math.Max(high, v)
		if _, after, ok := strings.Cut(w, "."); ok {
			decimals = max(decimals, len(after))
		}
	}
	mean = strconv.FormatFloat(sum/float64(len(words)), 'f', decimals+1, 64)
	return mean, fmt.Sprintf("mean of %s, spread %s", strings.Join(words, ", "),
		strconv.FormatFloat(high-low, 'f', decimals, 64)), nil
}

// Nearest is the known word that a mistyped one most resembles, or "" if none is near.
func Nearest(typed string, known []string) string {
	best, least := "", 5
	typed = strings.ToLower(typed)
	for _, k := range known {
		// More slips than in nearly every other letter are another word: "fosfate" has four against "phosphate".
		limit := max(1, 4*len(k)/9)
		d := slips(typed, strings.ToLower(k))
		if len(typed) >= 3 && strings.HasPrefix(strings.ToLower(k), typed) {
			d = min(d, 1)
		}
		if d < least && d <= limit && d < len(k) {
			best, least = k, d
		}
	}
	return best
}

// DidYouMean is a hint that names the nearest known word, or the other hint if none is near.
func DidYouMean(typed string, known []string, hint string) string {
	if near := Nearest(typed, known); near != "" {
		return "did you mean " + near + "?"
	}
	return hint
}

// slips counts the letters to insert, drop, change or swap with their neighbour (optimal string alignment).
func slips(a, b string) int {
	s, t := []rune(a), []rune(b)
	d := make([][]int, len(s)+1)
	for i := range d {
		d[i] = make([]int, len(t)+1)
		d[i][0] = i
	}
	for j := range t {
		d[0][j+1] = j + 1
	}
	for i := 1; i <= len(s); i++ {
		for j := 1; j <= len(t); j++ {
			change := 1
			if s[i-1] == t[j-1] {
				change = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+change)
			if i > 1 && j > 1 && s[i-1] == t[j-2] && s[i-2] == t[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(s)][len(t)]
}
