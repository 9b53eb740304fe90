package note

import (
	"time"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

func newEvent(a *app.App) *cobra.Command {
	var e logbook.Event
	var of said
	cmd := a.PrintsRecords(usage.Command("event TEXT", "note down what was seen or done", `  # something that was done
  leadline event "new media in the reactor" --tag media

  # something that was seen on one colony
  leadline event "stays closed by day" --tag coral --subject "cup coral 3"`, func(args []string) error {
		bewareOf(a, args[0]+" "+e.Subject)
		return noteDown(a, of, func(_ *logbook.View, tank logbook.Tank, when time.Time) ([]logbook.Entry, error) {
			e.Time, e.Tank, e.Text = when, tank.Name, args[0]
			return []logbook.Entry{e}, nil
		})
	}))
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
