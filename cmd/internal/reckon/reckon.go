// Package reckon holds the commands that reckon what would be: plans, what-if, salinity, the net volume.
package reckon

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newPlan(a), newWhatIf(a), newSalinity(a), newNetVolume(a)}
}
