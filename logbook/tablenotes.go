package logbook

import "cmp"

// TableNotes says how a table was understood: what its columns hold, and what was assumed where it says nothing. It is
// filled while the table is read, and whole once that is done.
type TableNotes struct {
	Sheet     string   // "" for CSV
	Delimiter rune     // 0 for a sheet
	Wide      bool     // one column for each parameter
	Header    []string // there even where it was refused
	Columns   []TableColumn

	OwnUnit   map[string]int // values that name no unit anywhere, by parameter: taken in the parameter's own
	DaysAlone int            // times that are a day alone: taken for its noon
	Zoneless  map[string]int // times without an offset, days alone included, by tank: taken in the tank's zone
	// values taken that nobody said have a decimal comma, and that can be read in no other way
	DecimalCommas int
	DecimalComma  string   // the first of them, as typed
	Dashes        int      // cells that hold a dash: nothing was measured
	LeftOut       Refusals // what was refused, where that is left out
	LeftReadings  int      // how many readings were left out with it
	// the header and the rows of which something was left out, as they stand; those of a sheet as CSV
	LeftRows  []byte
	Unguarded int // texts from which the mark against formulas was taken

	Last ReadAs // the reading that is being handed on
}

// TableColumn is what a column of a table was taken for.
type TableColumn struct {
	Name      string
	Field     string // "time", …; "" for a column of values of one parameter, and for one that is left out
	Parameter string
	Unit      string // of the values of Parameter
	UnitFrom  UnitFrom
}

// ReadAs says how one reading was read.
type ReadAs struct {
	Line  int
	Unit  UnitFrom
	Time  TimeFrom
	Comma string // the value as typed, where its decimal comma was seen; else ""
}

// UnitFrom says where the unit of a value was found.
type UnitFrom int8

const (
	UnitOwn    UnitFrom = iota // nowhere: it is the parameter's own
	UnitCell                   // in the row, in a column of units
	UnitHeader                 // in the header of the column
	UnitGiven                  // beside the file, by whoever reads it
	UnitBehind                 // behind the value, in its cell
)

func (u UnitFrom) String() string {
	return [...]string{"the parameter's own", "column of units", "header", "as told", "behind the value"}[u]
}

// TimeFrom says what a time was read from.
type TimeFrom int8

const (
	TimeWhole TimeFrom = iota // with its offset
	TimeLocal                 // without one: in the tank's zone
	TimeNoon                  // a day alone: its noon in the tank's zone
)

func (t TimeFrom) String() string {
	return [...]string{"with its offset", "in the tank's zone", "a day alone, taken for noon"}[t]
}

func (n *TableNotes) take(r *Reading) {
	if n.Last.Comma != "" {
		n.DecimalCommas++
		n.DecimalComma = cmp.Or(n.DecimalComma, n.Last.Comma)
	}
	if n.Last.Unit == UnitOwn {
		n.OwnUnit[r.Parameter]++
	}
	if n.Last.Time == TimeWhole {
		return
	}
	n.Zoneless[r.Tank]++
	if n.Last.Time == TimeNoon {
		n.DaysAlone++
	}
}

func (f *csvFile) noteColumns() {
	h, n := &f.header, f.notes
	n.Wide = h.wide != nil
	for i, name := range h.names {
		c := TableColumn{Name: name}
		for _, field := range csvFields() {
			if *h.field(field) == i {
				c.Field = field
			}
		}
		for _, w := range h.wide {
			if w.column == i {
				c.Parameter, c.Unit, c.UnitFrom = w.parameter.Name, cmp.Or(w.unit, w.parameter.Unit), w.unitFrom
			}
		}
		n.Columns = append(n.Columns, c)
	}
}
