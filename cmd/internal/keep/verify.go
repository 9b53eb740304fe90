package keep

import (
	"errors"
	"fmt"
	"maps"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newVerify(a *app.App) *cobra.Command {
	return a.Command("verify", verifyJSON{}, func([]string) error { return verify(a) })
}

var errUnsound = errors.New("the book is not sound")

func verify(a *app.App) error {
	a.WithoutSettings()
	path, err := a.BookPath()
	if err != nil {
		return err
	}
	found, err := logbook.Verify(path)
	if errors.Is(err, logbook.ErrNotFound) {
		_, err = a.Book() // which says how to start one
	}
	if err != nil {
		return err
	}
	problems := append([]string{}, found.Problems...)
	out := verifyJSON{
		Book: path, Sound: len(problems) == 0, Problems: problems, Schema: found.Schema, Bytes: found.Bytes,
		Tanks: found.Counts.Tanks, Readings: found.Counts.Readings, Struck: found.Counts.Struck,
		Entries: map[logbook.Kind]int{}, Now: shape.Moment(a.Now()), Doubts: []string{},
	}
	set, _ := a.Settings()
	out.Terminal = a.Terminal(set)
	if out.Sound {
		doubts, err := app.Seen(a, func(v *logbook.View) ([]string, error) {
			return app.ClockDoubts(v, a.Now(), shape.Built())
		})
		if err != nil {
			return err
		}
		out.Doubts = append(out.Doubts, doubts...)
	}
	out.Doubts = append(out.Doubts, out.Terminal.Doubts()...)
	count, last := a.Backups(path)
	out.Backups = backupsJSON{a.BackupFolder(path), count, shape.Moment(last)}
	maps.Copy(out.Entries, found.Counts.Entries)
	err = a.Answer(out, func() { printVerified(a, out) })
	if err == nil && !out.Sound {
		return usage.WithHint(fmt.Errorf("%s: %w (%s)", path, errUnsound, words.Plural(len(problems), "problem", "problems")),
			"leadline restore FILE puts a backup back; leadline salvage takes what is whole into a new book")
	}
	return err
}

func printVerified(a *app.App, v verifyJSON) {
	var c words.Table
	c.Add("book", v.Book)
	state := "sound"
	if !v.Sound {
		state = "not sound"
	}
	c.Add("state", state)
	for _, p := range v.Problems {
		c.Add("problem", p)
	}
	c.Add("size", fmt.Sprintf("%d bytes", v.Bytes))
	if v.Schema > 0 { // else nothing of it could be read
		c.Add("layout", fmt.Sprint(v.Schema))
		c.Add("holds", words.Plural(v.Tanks, "tank", "tanks")+", "+words.Plural(v.Readings, "reading", "readings")+", "+
			words.Plural(v.Struck, "struck entry", "struck entries"))
	}
	c.Add("backups", v.Backups.text())
	c.Add("clock", words.Moment(a.Now())+" "+a.Now().Format("-07:00"))
	there := "no"
	if v.There {
		there = fmt.Sprintf("yes, TERM=%s, %d columns, %d rows", v.Name, v.Columns, v.Rows)
	}
	c.Add("terminal", there)
	c.Add("colour", yesNo(v.Colour))
	c.Add("UTF-8", strings.TrimSpace(yesNo(v.Utf8)+" "+v.Locale))
	for _, d := range v.Doubts {
		c.Add("doubt", d)
	}
	a.Table(c, "")
}

func yesNo(yes bool) string {
	if yes {
		return "yes"
	}
	return "no"
}

// verifyJSON is what a check of the book found.
type verifyJSON struct {
	Book     string               `json:"book"`
	Sound    bool                 `json:"sound"`
	Problems []string             `json:"problems"`
	Schema   int                  `json:"schema"`
	Bytes    int64                `json:"bytes"`
	Tanks    int                  `json:"tanks"`
	Readings int                  `json:"readings"`
	Struck   int                  `json:"struck"`
	Entries  map[logbook.Kind]int `json:"entries"`
	Backups  backupsJSON          `json:"backups"`
	Now      shape.Moment         `json:"now"`
	terminal.Terminal
	Doubts []string `json:"doubts"` // about the clock and the terminal; they do not make the book unsound
}

// backupsJSON is what copies of the book were made by themselves.
type backupsJSON struct {
	Folder string       `json:"folder"` // "": the settings want none
	Count  int          `json:"count"`
	Last   shape.Moment `json:"last"`
}

func (b backupsJSON) text() string {
	switch {
	case b.Folder == "":
		return "none, as the settings want it"
	case b.Count == 0:
		return "none yet in " + b.Folder
	}
	return fmt.Sprintf("%d, the last of %s, in %s", b.Count, words.Moment(time.Time(b.Last)), b.Folder)
}
