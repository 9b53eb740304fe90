// Package setup holds the commands that describe what there is: tanks, bands, methods, parameters, supplements, defaults.
package setup

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newTank(a), newBand(a), newMethod(a), newParameter(a), newSupplement(a), newConfig(a)}
}
