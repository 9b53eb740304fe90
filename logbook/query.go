package logbook

import "time"

// Counts is how much a book holds.
type Counts struct {
	Tanks, Methods, Chores int
	Readings               int
	Entries                map[Kind]int // the other entries
	Struck                 int
}

func (v *View) Tanks() ([]Tank, error)                         { return nil, errTodo }
func (v *View) Tank(name string) (Tank, error)                 { return Tank{}, errTodo }
func (v *View) Parameters() ([]Parameter, error)               { return nil, errTodo }
func (v *View) Parameter(nameOrCode string) (Parameter, error) { return Parameter{}, errTodo }
func (v *View) Methods() ([]Method, error)                     { return nil, errTodo }
func (v *View) Method(name, parameter string) (Method, error)  { return Method{}, errTodo }
func (v *View) Chores(tank string) ([]Chore, error)            { return nil, errTodo }
func (v *View) Measured(tank string) ([]string, error)         { return nil, errTodo }
func (v *View) Readings(tank, parameter string, from, to time.Time) ([]Reading, error) {
	return nil, errTodo
}
func (v *View) LastReadings(tank, parameter string, to time.Time, n int) ([]Reading, error) {
	return nil, errTodo
}
func (v *View) Entries(tank string, kind Kind, from, to time.Time) ([]Entry, error) {
	return nil, errTodo
}

// DosingsBefore returns the newest dosing of every supplement before to; parameter "" means all parameters.
func (v *View) DosingsBefore(tank, parameter string, to time.Time) ([]Dosing, error) {
	return nil, errTodo
}
func (v *View) Entry(id ID) (Entry, error)               { return nil, errTodo }
func (v *View) Struck(tank string) ([]Struck, error)     { return nil, errTodo }
func (v *View) Count() (Counts, error)                   { return Counts{}, errTodo }
func (v *View) EachReading(fn func(Reading) error) error { return errTodo }
func (v *View) EachRecord(fn func(Record) error) error   { return errTodo }
