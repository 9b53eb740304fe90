package note

import (
	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
)

func newCorrect(a *app.App) *cobra.Command {
	var opt meant
	var to, at, parameter, value, method, note string
	cmd := a.Prints(strikeJSON{}, usage.Command("correct ID...",
		"put right what was noted wrong: value, time, tank, parameter, method or note", `  # one value
  leadline correct 1M2A9 --value 4.2

  # the last test day was of another tank; the one of a reading was on another day
  leadline correct --last --day --to lagoon
  leadline correct 1M2A9 --day --at 2026-03-06`, nil))
	cmd.Long = "Put right what was noted wrong. The old lines are struck and stay readable; new ones stand in their places, all or none.\n\n" + theEntries
	cmd.Aliases = []string{"move"}
	cmd.Args = opt.args
	opt.flags(cmd, "noted wrong", "correct")
	f := cmd.Flags()
	f.StringVar(&to, "to", "", "`TANK` that it belongs to")
	f.StringVar(&at, "at", "", "`TIME` it was; a date alone leaves the time of day")
	f.StringVar(&parameter, "parameter", "", "`NAME` of the parameter that a reading is of")
	f.StringVar(&value, "value", "", "`VALUE` of a reading; a unit may follow the number")
	f.StringVar(&method, "method", "", "`NAME` of the kit or instrument; '' for none")
	f.StringVar(&note, "note", "", "the `TEXT` to remember; '' for none")
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		given := func(flag string, text *string) *string {
			if !cmd.Flags().Changed(flag) {
				return nil
			}
			return text
		}
		return mend(a, args, opt, entry.Mending{Tank: given("to", &to), When: given("at", &at), Parameter: given("parameter", &parameter),
			Value: given("value", &value), Method: given("method", &method), Note: given("note", &note)}, false)
	}
	return cmd
}
