// Package keep holds the commands that keep and carry the book: exports, posts, merges, backups, checks.
package keep

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newExport(a), newMerge(a), newCalendar(a), newBackup(a), newRestore(a), newVerify(a)}
}
