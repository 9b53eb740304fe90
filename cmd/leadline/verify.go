package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"leadline/logbook"
)

func newVerify(a *app) *cobra.Command {
	return a.prints(verifyJSON{}, &cobra.Command{
		Use:   "verify",
		Short: "check every page and record of the book, and tell what surrounds it",
		Example: `  # is the book sound?
  leadline verify`,
		Args: cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error { return a.verify() },
	})
}

var errUnsound = errors.New("the book is not sound")

func (a *app) verify() error {
	a.withoutSettings()
	path, err := a.bookPath()
	if err != nil {
		return err
	}
	found, err := logbook.Verify(path)
	if errors.Is(err, logbook.ErrNotFound) {
		_, err = a.book() // which says how to start one
	}
	if err != nil {
		return err
	}
	problems := append([]string{}, found.Problems...)
	out := verifyJSON{
		Book: path, Sound: len(problems) == 0, Problems: problems, Schema: found.Schema, Bytes: found.Bytes,
		Tanks: found.Counts.Tanks, Readings: found.Counts.Readings, Struck: found.Counts.Struck, Entries: map[string]int{},
		Now: moment(a.now()), Doubts: []string{},
	}
	set, _ := a.settings()
	t := a.terminal(set)
	out.Terminal, out.Term, out.Columns, out.Rows, out.Colour, out.UTF8, out.Locale = t.there, t.name, t.columns, t.rows, t.colour, t.utf8, t.locale
	if out.Sound {
		book, err := a.book()
		if err != nil {
			return err
		}
		err = book.View(func(v *logbook.View) (err error) {
			out.Doubts, err = clockDoubts(v, a.now(), built())
			return err
		})
		if err != nil {
			return err
		}
	}
	out.Doubts = append(append([]string{}, out.Doubts...), t.doubts()...)
	for kind, n := range found.Counts.Entries {
		out.Entries[string(kind)] = n
	}
	if a.json {
		err = a.printJSON(out)
	} else {
		a.printVerified(out)
	}
	if err == nil && !out.Sound {
		return withHint(fmt.Errorf("%s: %w (%s)", path, errUnsound, plural(len(problems), "problem", "problems")), "leadline restore FILE puts a backup back")
	}
	return err
}

func (a *app) printVerified(v verifyJSON) {
	var c columns
	c.add("book", v.Book)
	state := "sound"
	if !v.Sound {
		state = "not sound"
	}
	c.add("state", state)
	for _, p := range v.Problems {
		c.add("problem", p)
	}
	c.add("size", fmt.Sprintf("%d bytes", v.Bytes))
	if v.Schema > 0 { // else nothing of it could be read
		c.add("layout", fmt.Sprint(v.Schema))
		c.add("holds", plural(v.Tanks, "tank", "tanks")+", "+plural(v.Readings, "reading", "readings")+", "+plural(v.Struck, "struck entry", "struck entries"))
	}
	c.add("clock", whenText(a.now())+" "+a.now().Format("-07:00"))
	terminal := "no"
	if v.Terminal {
		terminal = fmt.Sprintf("yes, TERM=%s, %d columns, %d rows", v.Term, v.Columns, v.Rows)
	}
	c.add("terminal", terminal)
	c.add("colour", yesNo(v.Colour))
	c.add("UTF-8", strings.TrimSpace(yesNo(v.UTF8)+" "+v.Locale))
	for _, d := range v.Doubts {
		c.add("doubt", d)
	}
	c.print(a, "")
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// verifyJSON is what a check of the book found.
type verifyJSON struct {
	Book     string         `json:"book"`
	Sound    bool           `json:"sound"`
	Problems []string       `json:"problems"`
	Schema   int            `json:"schema"`
	Bytes    int64          `json:"bytes"`
	Tanks    int            `json:"tanks"`
	Readings int            `json:"readings"`
	Struck   int            `json:"struck"`
	Entries  map[string]int `json:"entries"`
	Now      moment         `json:"now"`
	Terminal bool           `json:"terminal"`
	Term     string         `json:"term"`
	Columns  int            `json:"columns"` // of the terminal; 0: not known
	Rows     int            `json:"rows"`
	Colour   bool           `json:"colour"`
	UTF8     bool           `json:"utf8"`
	Locale   string         `json:"locale"` // the variable that says which letters are in use, with its value
	Doubts   []string       `json:"doubts"` // about the clock and the terminal; they do not make the book unsound
}
