package look

import (
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/trend"
)

func newCompare(a *app.App) *cobra.Command {
	var who []string
	cmd := a.Prints([]readersJSON{}, usage.Command("compare PARAMETER",
		"by how much one person reads above another, from tests within a day", `  # two look at one colour card
  leadline compare nitrate --who ann,ben`, func(args []string) error { return compare(a, args[0], who) }))
	cmd.Long = `Say by how much one person reads above another: the mean difference of tests of the same parameter and
method that both made within a day of each other in the last three years, with its 80 % range. With fewer than five such
pairs it is not yet clear. Readings tell who tested by --who of leadline add, or by the settings.`
	cmd.Flags().StringSliceVar(&who, "who", nil, "the two `NAMES`: ann,ben")
	return cmd
}

func compare(a *app.App, parameter string, who []string) error {
	if len(who) != 2 {
		return usage.Errorf("--who ann,ben", "which two? --who names them")
	}
	return a.ViewSubject(parameter, func(v *logbook.View, tank logbook.Tank, p logbook.Parameter, asOf time.Time) error {
		all, err := alerts.CompareReaders(v, tank, p, who[0], who[1], asOf)
		if err != nil {
			return err
		}
		out := []readersJSON{}
		var c words.Table
		for _, r := range all {
			out = append(out, readersJSON{tank.Name, r.Parameter.Name, r.Parameter.Unit, r.Method, r.A, r.B, r.N,
				shape.Number(r.Shift), shape.Number(r.Interval.Lo), shape.Number(r.Interval.Hi), r.Few})
			c.Add(words.OneLine(r.Method), words.OneLine(r.Text()))
		}
		if len(all) == 0 && !a.JSON {
			a.Printf("not yet clear: %s and %s have no readings of %s by one method; it takes %d pairs within a day",
				words.OneLine(who[0]), words.OneLine(who[1]), words.OneLine(parameter), trend.LeastPairs)
			return nil
		}
		return a.PrintList(out, c)
	})
}

// readersJSON is by how much who reads above other; null where there is no number. The range is the one of 80 %.
type readersJSON struct {
	Tank      string       `json:"tank"`
	Parameter string       `json:"parameter"`
	Unit      string       `json:"unit"`
	Method    string       `json:"method"`
	Who       string       `json:"who"`
	Other     string       `json:"other"`
	Pairs     int          `json:"pairs"`
	Shift     shape.Number `json:"shift"`
	Lo        shape.Number `json:"lo"`
	Hi        shape.Number `json:"hi"`
	Few       bool         `json:"few"` // nothing is told by so few pairs
}
