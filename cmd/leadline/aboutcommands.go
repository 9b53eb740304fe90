package main

import "github.com/spf13/cobra"

// aboutCommands are the commands of this room.
func aboutCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newMan(a), newVersion(a), newSchema(a)}
}
