// Package about holds the commands that tell of the program itself: its manual, its schemas, its version.
package about

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newMan(a), newVersion(a), newSchema(a)}
}
