package logbook

import "time"

// Tank is one body of water.
type Tank struct {
	Name     string
	VolumeL  float64         // net water volume in litres; 0: not told
	Timezone string          // IANA name; "" means UTC
	Since    string          // when it was set up, as typed; for posts
	About    string          // what is kept in it; for posts
	Order    Order           // the keeper's own order of its parameters, by name; empty: the usual one
	Bands    map[string]Band // by parameter name, numbers in Band.Unit as typed
}

func (Tank) Kind() Kind { return KindTank }

// Band is where the keeper wants a parameter, and how often it is to be tested. Nil pointers are unset.
type Band struct {
	Low, High *float64
	Floor     *float64 // below it the parameter counts as bottomed out
	Unit      string   // unit of the three; "" means the canonical unit
	EveryDays *float64 // days between tests; nil means the parameter's usual
}

// Zone is the tank's time zone; UTC where it names none, or one that this system does not know.
func (t Tank) Zone() *time.Location {
	zone, err := time.LoadLocation(t.Timezone)
	if err != nil {
		return time.UTC
	}
	return zone
}
