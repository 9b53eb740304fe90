package main

import "github.com/spf13/cobra"

// lookCommands are the commands of this room.
func lookCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newStatus(a), newTrend(a), newChart(a), newHindcast(a), newDemand(a), newAlerts(a), newChanged(a), newReadings(a)}
}
