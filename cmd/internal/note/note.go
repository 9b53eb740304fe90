// Package note holds the commands that note something down, and strike what was noted.
package note

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
)

// Commands are the commands of this room.
func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newAdd(a), newDosing(a), newDose(a), newWaterChange(a), newEvent(a), newChore(a), newStock(a), newUndo(a), newStrike(a), newCorrect(a)}
}
