package main

import "github.com/spf13/cobra"

// reckonCommands are the commands of this room.
func reckonCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newPlan(a), newWhatIf(a), newSalinity(a), newNetVolume(a)}
}
