// Package note holds the commands that note something down, and strike what was noted.
package note

import (
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
	"leadline/logbook/water"
)

func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newAdd(a), newDosing(a), newDose(a), newWaterChange(a), newEvent(a), newChore(a), newStock(a),
		newUndo(a), newStrike(a), newCorrect(a)}
}

// said is what any entry may be noted down with.
type said struct {
	at, note string
	who      string
	later    bool // it may begin in time to come
}

func (s *said) flags(f *pflag.FlagSet) {
	f.StringVar(&s.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	f.StringVar(&s.note, "note", "", "a `TEXT` to remember")
	whoFlag(f, &s.who)
}

func whoFlag(f *pflag.FlagSet, who *string) {
	f.StringVar(who, "who", "", "`NAME` of who notes it (else that of the settings, else nobody)")
}

// noteDown keeps the entries that make makes for the tank and the time that are meant, and prints them.
func noteDown(a *app.App, of said, make func(v *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry,
	error)) error {
	var entries []logbook.Entry
	who, err := a.Who(of.who)
	if err != nil {
		return err
	}
	err = a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		when, err := a.At(of.at, tank, of.later)
		if err != nil {
			return err
		}
		if err := warnOfPast(a, v, tank, of.at, when); err != nil {
			return err
		}
		entries, err = make(v, tank, when)
		return err
	})
	if err != nil {
		return err
	}
	ids, err := a.Opened.Append(words.Of(entries, func(e logbook.Entry) logbook.Record {
		return logbook.ByWhom(e, who)
	})...)
	if err != nil {
		return err
	}
	return a.PrintEntries(ids)
}

// warnOfPast says of a moment that was typed why its year may be wrong.
func warnOfPast(a *app.App, v *logbook.View, tank logbook.Tank, typed string, when time.Time) error {
	if typed == "" {
		return nil
	}
	why, err := entry.DoubtPast(v, tank.Name, when)
	a.Warn(why)
	return err
}

func newEvent(a *app.App) *cobra.Command {
	var e logbook.Event
	var of said
	cmd := a.Command("event TEXT", shape.Records{}, func(args []string) error {
		bewareOf(a, args[0]+" "+e.Subject)
		return noteDown(a, of, func(_ *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
			e.Time, e.Tank, e.Text = when, tank.Name, args[0]
			return []logbook.Entry{e}, nil
		})
	})
	f := cmd.Flags()
	f.StringSliceVar(&e.Tags, "tag", nil, "a `WORD` to find it by; may be given again")
	f.StringVar(&e.Subject, "subject", "", "`WHAT` it is about")
	f.StringVar(&of.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	whoFlag(f, &of.who)
	return cmd
}

// bewareOf says the cautions for work that is told in words.
func bewareOf(a *app.App, work string) {
	a.SayEach("caution: %s", water.Briefs(water.WorkCautions(work)))
}
