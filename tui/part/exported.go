package part

import (
	"time"

	"leadline/logbook"
)

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
