package main

import "github.com/spf13/cobra"

// importingCommands are the commands of this room.
func importingCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newImport(a), newMapping(a)}
}
