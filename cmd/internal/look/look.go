// Package look holds the commands that answer questions about the water: how it stands, where it is heading, what changed.
package look

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newStatus(a), newTrend(a), newChart(a), newYear(a), newHindcast(a), newDemand(a), newAlerts(a), newChanged(a), newReadings(a), newCompare(a), newTable(a)}
}
