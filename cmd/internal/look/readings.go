package look

import (
	"cmp"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/report"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

func newReadings(a *app.App) *cobra.Command {
	var since, who string
	cmd := a.Command("readings PARAMETER", []shape.Reading{}, func(args []string) error {
		return readings(a, args[0], since, who)
	})
	cmd.Flags().StringVar(&since, "since", "", "only those from this `TIME` on")
	cmd.Flags().StringVar(&who, "who", "", "only those noted by this `NAME`")
	return cmd
}

func readings(a *app.App, parameter, sinceFlag, who string) error {
	var readings []logbook.Reading
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		p, err1 := a.Parameter(v, parameter)
		since, err2 := a.Since(sinceFlag, tank.Zone())
		until, err3 := a.Until(tank)
		err := cmp.Or(err1, err2, err3)
		if err != nil {
			return err
		}
		readings, err = v.Readings(tank.Name, p.Name, since, until)
		if who != "" {
			readings = slices.DeleteFunc(readings, func(r logbook.Reading) bool { return !strings.EqualFold(r.Who, who) })
		}
		return err
	})
	if err != nil {
		return err
	}
	return a.PrintReadings(readings)
}

// tableRowJSON is a row of the table: the readings of a moment, and what else was noted on its day.
type tableRowJSON struct {
	Time     shape.Moment    `json:"time"`
	Readings []shape.Reading `json:"readings"`
	Done     []doneJSON      `json:"done"`
}

func newTable(a *app.App) *cobra.Command {
	var since, output string
	var force bool
	cmd := a.Command("table", []tableRowJSON{}, func([]string) error { return showTable(a, since, output, force) })
	cmd.Flags().StringVar(&since, "since", "", "from this `TIME` on (default 16 weeks before the end)")
	cmd.Flags().StringVarP(&output, "output", "o", "", "write it to this `FILE`, as CSV for a spreadsheet")
	cmd.Flags().BoolVar(&force, "force", false, "replace a file that is there")
	return cmd
}

func showTable(a *app.App, since, output string, force bool) error {
	var t alerts.Table
	err := a.ViewTank(func(v *logbook.View, tank logbook.Tank) error {
		to, from, err := a.WindowOf(tank, since, app.ChartDays)
		if err != nil {
			return err
		}
		set, _ := a.Settings() // a fault in the file is no reason to show nothing
		t, err = alerts.TableOf(v, tank, set.Order, from, to)
		return err
	})
	if t.Thinned {
		a.Say("note: of a dense log one reading a day")
	}
	switch {
	case err != nil:
		return err
	case output != "":
		return a.WriteFile(output, force, func(w io.Writer) error { return report.WriteTable(w, t) })
	case a.JSON:
		return a.PrintJSON(words.Of(t.Rows, func(r alerts.Row) tableRowJSON { return tableRowOf(t, r) }))
	case len(t.Rows) == 0:
		a.Printf("nothing was noted in that time")
		return nil
	}
	var c words.Table
	c.Add(t.Head()...)
	for _, r := range t.Rows {
		c.Add(t.Line(r)...)
	}
	a.Table(c, "")
	return nil
}

func tableRowOf(t alerts.Table, r alerts.Row) tableRowJSON {
	row := tableRowJSON{Time: shape.Moment(r.Time.In(t.Tank.Zone())), Readings: []shape.Reading{},
		Done: doneOf(r.Done, t.Known)}
	for _, p := range t.Columns {
		if x, there := r.Reading(p.Name); there {
			row.Readings = append(row.Readings, shape.ReadingOf(x, p))
		}
	}
	return row
}
