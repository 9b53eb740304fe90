package main

import (
	"github.com/spf13/cobra"

	"leadline/logbook"
)

func newBackup(a *app) *cobra.Command {
	return a.printsWords("leadline verify --json tells of the book", &cobra.Command{
		Use:   "backup FILE",
		Short: "write a checked copy of the book while it is in use",
		Example: `  # a copy of today
  leadline backup leadline-2026-03-07.book`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			a.withoutSettings()
			book, err := a.book()
			if err != nil {
				return err
			}
			if err := book.Backup(args[0]); err != nil {
				return err
			}
			a.printf("copied %s to %s", book.Path(), args[0])
			return nil
		},
	})
}

func newRestore(a *app) *cobra.Command {
	return a.printsWords("leadline verify --json tells of the book", &cobra.Command{
		Use:   "restore FILE",
		Short: "put a backup in the place of the book; what stood there is kept beside it",
		Example: `  # the book was lost
  leadline restore leadline-2026-03-07.book`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			path, err := a.bookPath()
			if err != nil {
				return err
			}
			kept, err := logbook.Restore(args[0], path)
			if err != nil {
				return err
			}
			a.printf("put %s back at %s", args[0], path)
			if kept != "" {
				a.printf("what stood there is kept beside it, as %s", kept)
			}
			return nil
		},
	})
}
