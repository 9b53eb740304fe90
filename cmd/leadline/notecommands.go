package main

import "github.com/spf13/cobra"

// noteCommands are the commands of this room.
func noteCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newAdd(a), newDosing(a), newDose(a), newWaterChange(a), newEvent(a), newChore(a), newStock(a), newStrike(a)}
}
