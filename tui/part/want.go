package part

import (
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/logbook"
)

// Want is a screen that another one asks for. The root model builds it: screens know nothing of each other.
type Want any

type (
	ChartOf struct { // one parameter of a tank
		Tank logbook.Tank
		As   Place  // which parameter, and how it is shown
		Then string // the words of a command to be run once it is there; "": none
	}
	TestDayOf struct {
		Tank  logbook.Tank
		Known *alerts.Report // nil: it has to be examined
		First string         // the parameter to begin with; "": the first that has no value yet
		At    time.Time      // when it was; zero: now
	}
	AlertsOf  struct{} // every tank
	JournalOf struct{ Tank logbook.Tank }
	TableOf   struct{ Tank logbook.Tank }
	UpkeepOf  struct {
		Tank    logbook.Tank
		Subject string // the chore or stock to start on
	}
	ChangesOf struct {
		Tank   logbook.Tank
		Around time.Time // zero: four weeks ago
	}
	YearOf struct { // a tank's course
		Tank logbook.Tank
		As   Place // how long, and beside which tank
	}
	WhatIfOf struct{ Line alerts.Finding }
	PlanOf   struct{ Line alerts.Finding }
	BandsOf  struct {
		Tank     logbook.Tank
		Measured []string // nil: it is new
	}
)

// The forms that are asked for.
type (
	FormOf struct { // one that needs no more than a name
		Kind FormKind
		Tank logbook.Tank
		Name string // of a parameter, a chore or a supplement; "": none
	}
	BandOf struct {
		Tank      logbook.Tank
		Parameter string
		Every     float64 // days between its tests; 0: not known
	}
	RefillOf struct {
		Tank  logbook.Tank
		Stock logbook.Stock
	}
	StrikeOf     struct{ Lines }
	CorrectionOf struct{ Lines }
	SnoozeOf     struct {
		Tank   logbook.Tank
		Answer logbook.Acknowledgement
	}
	ExportOf struct {
		What Export
		Of   Exported
	}
)

// Lines are lines of a tank's book of one moment: one, or the readings of a test day.
type Lines struct {
	Tank    logbook.Tank
	Entries []logbook.Entry
	What    string // in words
}

// LinesOf are lines; what says of one what it is.
func LinesOf(t logbook.Tank, what string, es ...logbook.Entry) Lines {
	if len(es) > 1 {
		what = "the test day (" + words.Plural(len(es), "reading", "readings") + ")"
	}
	return Lines{t, es, Clean(what)}
}

// FormKind is a form that needs no more than a name.
type FormKind int

const (
	FirstTank FormKind = iota
	NewTank
	ThisTank
	WhoTests
	OneDose
	DailyDosing
	WaterChange
	Event
	ChoreDone
	NewChore
	NewStock
	AMethod
	ASupplement
)

// Place is where the keeper was when the interface was left: what to open again. Forms and test days are not among it;
// what is half typed has its draft.
type Place struct {
	Tank      string    `json:"tank"`
	Parameter string    `json:"parameter,omitempty"`
	Screen    string    `json:"screen,omitempty"` // "" is the glance
	Days      float64   `json:"days,omitempty"`   // of past on the chart
	Log       bool      `json:"log,omitempty"`
	Over      string    `json:"over,omitempty"`      // the parameter laid over
	OverTank  string    `json:"over_tank,omitempty"` // of another tank
	Left      time.Time `json:"left"`
}

// PlaceMsg says where the keeper was.
type PlaceMsg struct{ Place }

// The names of screens in a place.
const (
	OnChart   = "chart"
	OnAlerts  = "alerts"
	OnJournal = "journal"
	OnUpkeep  = "upkeep"
	OnChanges = "changes"
	OnYear    = "year"
	OnTable   = "table"
)

// Chart asks for the chart of a parameter as it usually is.
func Chart(t logbook.Tank, parameter string) Want {
	return ChartOf{Tank: t, As: Place{Parameter: parameter}}
}

// Export is one thing that can leave the program as a file. What it holds and how it is written is the business of
// whoever starts the interface; here it is chosen, and its file named.
type Export struct {
	Name     string // for the list of commands, such as "post for a forum, Markdown"
	Stem     string // for the name of the file; "" means the parameter's
	Suffix   string // of the file's name, such as ".md"
	OfSeries bool   // it is about one parameter
	Write    func(of Exported, path string, replace bool) error
}

// Exported is what is exported: what the keeper was looking at.
type Exported struct {
	Tank      logbook.Tank
	Parameter string    // "" on a screen that is about none
	From      time.Time // the left end of the chart; zero where there is none
	AsOf      time.Time
}
