package note

import (
	"time"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

type eventOptions struct {
	tags             []string
	subject, at, who string
}

func newEvent(a *app.App) *cobra.Command {
	var opt eventOptions
	cmd := a.PrintsRecords(usage.Command("event TEXT", "note down what was seen or done", `  # something that was done
  leadline event "new media in the reactor" --tag media

  # something that was seen on one colony
  leadline event "stays closed by day" --tag coral --subject "cup coral 3"`, func(args []string) error {
		bewareOf(a, args[0]+" "+opt.subject)
		return noteDown(a, said{at: opt.at, who: opt.who}, func(_ *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
			return []logbook.Entry{logbook.Event{Time: when, Tank: tank.Name, Tags: opt.tags, Subject: opt.subject, Text: args[0]}}, nil
		})
	}))
	f := cmd.Flags()
	f.StringSliceVar(&opt.tags, "tag", nil, "a `WORD` to find it by; may be given again")
	f.StringVar(&opt.subject, "subject", "", "`WHAT` it is about")
	f.StringVar(&opt.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	whoFlag(f, &opt.who)
	return cmd
}

// bewareOf says the cautions for work that is told in words.
func bewareOf(a *app.App, work string) {
	a.SayEach("caution: %s", water.Briefs(water.WorkCautions(work)))
}
