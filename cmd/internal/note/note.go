// Package note holds the commands that note something down, and strike what was noted.
package note

import (
	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newAdd(a), newDosing(a), newDose(a), newWaterChange(a), newEvent(a), newChore(a), newStock(a), newStrike(a)}
}

// said is what any entry may be noted down with.
type said struct{ at, note string }

func (s *said) flags(f *pflag.FlagSet) {
	f.StringVar(&s.at, "at", "", "`TIME` (else now); a date alone means noon in the tank's zone")
	f.StringVar(&s.note, "note", "", "a `TEXT` to remember")
}
