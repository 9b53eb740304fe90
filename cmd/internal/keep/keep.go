// Package keep holds the commands that keep and carry the book: exports, posts, merges, backups, checks.
package keep

import (
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newExport(a), newMerge(a), newCalendar(a), newBackup(a), newRestore(a), newVerify(a),
		newSalvage(a)}
}

func newBackup(a *app.App) *cobra.Command {
	return a.PrintsWords("leadline verify --json tells of the book", usage.Command("backup FILE",
		"write a checked copy of the book while it is in use", func(args []string) error {
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
		}))
}

func newRestore(a *app.App) *cobra.Command {
	return a.PrintsWords("leadline verify --json tells of the book", usage.Command("restore FILE",
		"put a backup in the place of the book; what stood there is kept beside it", func(args []string) error {
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
		}))
}
