package main

import "github.com/spf13/cobra"

// setupCommands are the commands of this room.
func setupCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newTank(a), newBand(a), newMethod(a), newParameter(a), newSupplement(a), newConfig(a)}
}
