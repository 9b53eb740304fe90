package main

import "github.com/spf13/cobra"

// keepCommands are the commands of this room.
func keepCommands(a *app) []*cobra.Command {
	return []*cobra.Command{newExport(a), newMerge(a), newCalendar(a), newBackup(a), newRestore(a), newVerify(a)}
}
