package logbook

import "time"

// DateOrder says how dates such as 07/03/2026 are to be read.
type DateOrder int8

const (
	OrderUnsaid DateOrder = iota // a date that can be read two ways is refused
	DayFirst
	MonthFirst
)

// ParseDateOrder reads "dmy" or "mdy"; "" is OrderUnsaid.
func ParseDateOrder(text string) (DateOrder, error) { return OrderUnsaid, errUnwritten }

// FormatTime writes RFC 3339.
func FormatTime(t time.Time) string { return t.Format(time.RFC3339Nano) }

// ParseTime reads a moment.
func ParseTime(text string, zone *time.Location, order DateOrder) (time.Time, error) {
	return time.Time{}, errUnwritten
}
