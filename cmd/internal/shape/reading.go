package shape

import (
	"leadline/logbook"
)

// Reading is a reading as listed: what was typed, and its value in the canonical unit.
type Reading struct {
	ID        string `json:"id"`
	Time      Moment `json:"time"`
	Tank      string `json:"tank"`
	Parameter string `json:"parameter"`
	Value     string `json:"value"` // as typed
	Unit      string `json:"unit"`  // as typed
	Bound     string `json:"bound"`
	Canonical Number `json:"canonical"`
	InUnit    string `json:"canonical_unit"`
	Method    string `json:"method"`
	Note      string `json:"note"`
	Who       string `json:"who,omitempty"`
}

// ReadingOf is the published form of a reading of a parameter.
func ReadingOf(r logbook.Reading, p logbook.Parameter) Reading {
	return Reading{ID: r.ID.String(), Time: Moment(r.Time), Tank: r.Tank, Parameter: r.Parameter, Value: r.Text, Unit: r.Unit,
		Bound: boundWord(r.Bound), Canonical: Number(r.Value), InUnit: p.Unit, Method: r.Method, Note: r.Note, Who: r.Who}
}
