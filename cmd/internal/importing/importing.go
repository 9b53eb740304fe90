// Package importing reads tables and JSON Lines into the book, and keeps how a table is read.
package importing

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newImport(a), newMapping(a)}
}
