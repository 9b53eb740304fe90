// Package keep holds the commands that keep and carry the book: exports, posts, merges, backups, checks.
package keep

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/logbook"
)

func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newExport(a), newMerge(a), newCalendar(a), newBackup(a), newRestore(a), newVerify(a),
		newSalvage(a)}
}

func newBackup(a *app.App) *cobra.Command {
	return a.Command("backup FILE", app.Words("leadline verify --json tells of the book"), func(args []string) error {
		a.WithoutSettings()
		book, err := a.Book()
		if err != nil {
			return err
		}
		if err := book.Backup(args[0]); err != nil {
			return err
		}
		a.Printf("copied %s to %s", book.Path(), args[0])
		return nil
	})
}

func newRestore(a *app.App) *cobra.Command {
	return a.Command("restore FILE", app.Words("leadline verify --json tells of the book"), func(args []string) error {
		path, err := a.BookPath()
		if err != nil {
			return err
		}
		kept, err := logbook.Restore(args[0], path)
		if err != nil {
			return err
		}
		a.Printf("put %s back at %s", args[0], path)
		if kept != "" {
			a.Printf("what stood there is kept beside it, as %s", kept)
		}
		return nil
	})
}
