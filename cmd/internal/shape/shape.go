// Package shape holds the shapes of what --json prints, and their schemas.
package shape

import (
	"encoding/json"
	"math"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// What --json prints is published; a shape that one command prints stands beside it. Fields may be added, never renamed or dropped. Numbers are in the parameter's canonical unit; what is unknown
// is null. Times are RFC 3339 in the zone they were logged with, or the tank's.

// Number is a number that may be unknown: NaN and the infinities become null.
type Number float64

func (n Number) MarshalJSON() ([]byte, error) {
	if f := float64(n); math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// Moment is a time that may be unknown: the zero time becomes null.
type Moment time.Time

// DayOf is the moment of a day counted as alerts.Day does; NaN and the infinities are unknown.
func DayOf(day float64, zone *time.Location) Moment {
	if math.IsNaN(day) || math.IsInf(day, 0) {
		return Moment{}
	}
	return Moment(alerts.TimeOf(day, zone))
}

func (m Moment) MarshalJSON() ([]byte, error) {
	if time.Time(m).IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(logbook.FormatTime(time.Time(m)))
}

func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// Record is a record in the form of JSON Lines; see printRecords.
type Record struct {
	Kind string `json:"kind"`
}
