package logbook

import "time"

// Amount is a number with its unit, as typed.
type Amount struct {
	Value float64
	Unit  string
}

// WaterChange replaces a fraction of the water by new water, of which some levels may be known.
type WaterChange struct {
	ID       ID
	Time     time.Time
	Tank     string
	Fraction float64           // 0 < Fraction <= 1
	New      map[string]Amount // levels of the new water, by parameter
	Note     string
}

func (WaterChange) Kind() Kind         { return KindWaterChange }
func (w WaterChange) EntryID() ID      { return w.ID }
func (w WaterChange) When() time.Time  { return w.Time }
func (w WaterChange) TankName() string { return w.Tank }
