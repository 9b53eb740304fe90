package keep

import (
	"io"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/usage"
)

type calendarOptions struct {
	output string
	force  bool
}

func newCalendar(a *app.App) *cobra.Command {
	var opt calendarOptions
	cmd := a.PrintsWords("leadline status --json has what is due", usage.Command("calendar",
		"write what is due, tests and chores and stocks, as a calendar file", `  # for a calendar program, of all tanks
  leadline calendar -o due.ics

  # of one tank, written anew every morning
  leadline calendar --tank forereef --force -o /srv/www/forereef.ics`, func([]string) error { return calendar(a, opt) }))
	f := cmd.Flags()
	f.StringVarP(&opt.output, "output", "o", "", "`FILE` to write (else standard output)")
	f.BoolVar(&opt.force, "force", false, "replace the file if it is there")
	return cmd
}

func calendar(a *app.App, opt calendarOptions) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	for i := range reports {
		reports[i].AsOf = reports[i].AsOf.In(reports[i].Tank.Zone())
	}
	write := func(w io.Writer) error { return report.Calendar(w, reports) }
	if opt.output == "" || opt.output == "-" {
		return write(a.Out)
	}
	return a.WriteFile(opt.output, opt.force, write)
}
