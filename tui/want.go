package tui

import (
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// want is a screen that another one asks for. The root model builds it: screens know nothing of each other.
type want any

type (
	chartOf struct { // one parameter of a tank
		tank logbook.Tank
		as   place  // which parameter, and how it is shown
		then string // the words of a command to be run once it is there; "": none
	}
	testDayOf struct {
		tank  logbook.Tank
		known *alerts.Report // nil: it has to be examined
	}
	alertsOf  struct{} // every tank
	journalOf struct{ tank logbook.Tank }
	upkeepOf  struct {
		tank    logbook.Tank
		subject string // the chore or stock to start on
	}
	changesOf struct {
		tank   logbook.Tank
		around time.Time // zero: four weeks ago
	}
	whatIfOf struct{ line alerts.Finding }
	bandsOf  struct {
		tank     logbook.Tank
		measured []string // nil: it is new
	}
)

// The forms that are asked for.
type (
	formOf struct { // one that needs no more than a name
		kind formKind
		tank logbook.Tank
		name string // of a parameter, a chore or a supplement; "": none
	}
	bandOf struct {
		tank      logbook.Tank
		parameter string
		every     float64 // days between its tests; 0: not known
	}
	refillOf struct {
		tank  logbook.Tank
		stock logbook.Stock
	}
	strikeOf struct {
		tank logbook.Tank
		line record
	}
	correctionOf struct {
		tank      logbook.Tank
		parameter logbook.Parameter
		old       logbook.Reading
	}
	snoozeOf struct {
		tank   logbook.Tank
		answer logbook.Acknowledgement
	}
	exportOf struct {
		what Export
		of   Exported
	}
)

// formKind is a form that needs no more than a name.
type formKind int

const (
	firstTank formKind = iota
	newTank
	thisTank
	oneDose
	dailyDosing
	waterChange
	event
	choreDone
	newChore
	newStock
	aMethod
	aSupplement
)

// place is where the keeper was when the interface was left: what to open again. Forms and test days are not among it;
// what is half typed has its draft.
type place struct {
	Tank      string    `json:"tank"`
	Parameter string    `json:"parameter,omitempty"`
	Screen    string    `json:"screen,omitempty"` // "" is the glance
	Days      float64   `json:"days,omitempty"`   // of past on the chart
	Log       bool      `json:"log,omitempty"`
	Over      string    `json:"over,omitempty"`      // the parameter laid over
	OverTank  string    `json:"over_tank,omitempty"` // of another tank
	Left      time.Time `json:"left"`
}

// placeMsg says where the keeper was.
type placeMsg struct{ place }

// The names of screens in a place.
const (
	onChart   = "chart"
	onAlerts  = "alerts"
	onJournal = "journal"
	onUpkeep  = "upkeep"
	onChanges = "changes"
)

// chart asks for the chart of a parameter as it usually is.
func chart(t logbook.Tank, parameter string) want {
	return chartOf{tank: t, as: place{Parameter: parameter}}
}
