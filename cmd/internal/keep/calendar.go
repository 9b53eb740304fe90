package keep

import (
	"io"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
)

func newCalendar(a *app.App) *cobra.Command {
	var output string
	var force bool
	cmd := a.PrintsWords("leadline status --json has what is due", usage.Command("calendar",
		"write what is due, tests and chores and stocks, as a calendar file", `  # for a calendar program, of all tanks
  leadline calendar -o due.ics

  # of one tank, written anew every morning
  leadline calendar --tank forereef --force -o /srv/www/forereef.ics`, func([]string) error {
			return calendar(a, output, force)
		}))
	f := cmd.Flags()
	f.StringVarP(&output, "output", "o", "", "`FILE` to write (else standard output)")
	f.BoolVar(&force, "force", false, "replace the file if it is there")
	return cmd
}

func calendar(a *app.App, output string, force bool) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	for i := range reports {
		reports[i].AsOf = reports[i].AsOf.In(reports[i].Tank.Zone())
	}
	return deliver(a, output, force, func(w io.Writer) error { return report.Calendar(w, reports) })
}
