package sheet

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// numberText is a number as a spreadsheet shows it in full: with fifteen digits, which is what spreadsheets keep, so
// that 0.1+0.2 is 0.3 and not 0.30000000000000004. ok is false if it is none.
func numberText(text string) (string, bool) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return "", false
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 15, 64), 64)
	if err != nil {
		return "", false
	}
	if a := math.Abs(rounded); a != 0 && (a < 1e-9 || a >= 1e15) {
		return strconv.FormatFloat(rounded, 'g', -1, 64), true
	}
	return strconv.FormatFloat(rounded, 'f', -1, 64), true
}

// serialText is what a clock and a calendar on the wall showed at a serial date: days since 1899-12-30, or since
// 1904-01-01 in files that say so. A whole number is a day alone unless its format shows a time of day; one below 1 is
// a time of day alone unless its format shows a date. Serials are kept in binary fractions of a day: they are rounded
// to the millisecond.
//
// The 1900 system counts a 29 February 1900 that never was (ECMA-376 part 1, 18.17.4.1); the days before it, which are
// off by one, lie far before any test of an aquarium and are refused as years anyway.
func serialText(serial string, shows format, since1904 bool) (string, bool) {
	v, err := strconv.ParseFloat(strings.TrimSpace(serial), 64)
	if err != nil || !(v >= 0 && v < 3_000_000) {
		return "", false
	}
	epoch := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if since1904 {
		epoch = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	day := math.Floor(v)
	t := epoch.AddDate(0, 0, int(day)).Add(time.Duration(math.Round((v-day)*86_400_000)) * time.Millisecond)
	const date, clock = "2006-01-02", "15:04:05.999"
	switch midnight := t.Hour() == 0 && t.Minute() == 0 && t.Second() == 0 && t.Nanosecond() == 0; {
	case v < 1 && !shows.date:
		return t.Format(clock), true
	case midnight && !shows.clock:
		return t.Format(date), true
	}
	return t.Format(date + " " + clock), true
}

// format says what the number format of a cell shows.
type format struct{ date, clock bool }

// builtInFormat is the number format that a file names without spelling it out (ECMA-376 part 1, 18.8.30; the ones of
// East Asian languages among 27 to 36 and 50 to 58).
func builtInFormat(id int) format {
	switch {
	case id == 22:
		return format{date: true, clock: true}
	case id >= 14 && id <= 17, id >= 27 && id <= 31, id >= 34 && id <= 36, id >= 50 && id <= 58:
		return format{date: true}
	case id >= 18 && id <= 21, id >= 45 && id <= 47, id == 32, id == 33:
		return format{clock: true}
	}
	return format{}
}

// formatOf reads a format code such as dd/mm/yyyy\ hh:mm;@: what stands in quotation marks, behind a backslash or in
// brackets is text or colour, other than [h], [m] and [s], which are lengths of time. An m is a month unless hours or
// seconds stand beside it.
func formatOf(code string) format {
	var f format
	month := false
	for i := 0; i < len(code); i++ {
		switch c := code[i] | 0x20; {
		case code[i] == ';':
			i = len(code)
		case code[i] == '"':
			end := strings.IndexByte(code[i+1:], '"')
			if end < 0 {
				return f
			}
			i += end + 1
		case code[i] == '\\' || code[i] == '_' || code[i] == '*':
			i++
		case code[i] == '[':
			end := strings.IndexByte(code[i:], ']')
			if end < 0 {
				return f
			}
			if inside := strings.ToLower(code[i+1 : i+end]); inside != "" && strings.Trim(inside, "hms") == "" {
				f.clock = true
			}
			i += end
		case c == 'y' || c == 'd':
			f.date = true
		case c == 'h' || c == 's':
			f.clock = true
		case c == 'm':
			month = true
		}
	}
	if month && !f.clock {
		f.date = true
	}
	return f
}
