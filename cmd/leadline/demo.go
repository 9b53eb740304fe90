package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/look"
	"leadline/cmd/internal/plain"
	"leadline/logbook"
	"leadline/testdata/demo"
)

func newDemo(a *app.App) *cobra.Command {
	return a.Prints(look.StatusJSON{}, &cobra.Command{
		Use:   "demo",
		Short: "look around in an invented logbook; your own is not touched",
		Example: `  # in the terminal interface
  leadline demo

  # only its status
  leadline demo | cat`,
		RunE: func(cmd *cobra.Command, _ []string) error { return showDemo(cmd.Context(), a) },
	})
}

func showDemo(ctx context.Context, a *app.App) error {
	folder, err := os.MkdirTemp("", "leadline-demo-*")
	if err != nil {
		return err
	}
	a.RemoveAtEnd(folder)
	book, err := demoBook(a, filepath.Join(folder, "demo.book"))
	if err != nil {
		return err
	}
	a.ShowIn(book)
	a.Say("an invented logbook at %s; it is removed at the end", book.Path())
	switch {
	case a.JSON:
	case a.PlainFlag, a.HasTerminal() && a.Talks():
		return plain.Talk(ctx, a, book)
	case a.HasTerminal():
		return openScreen(ctx, a, book, true)
	}
	return look.PrintStatus(a, book)
}

// demoBook makes the invented book, which ends today.
func demoBook(a *app.App, path string) (*logbook.Book, error) {
	log, err := demo.Log(a.Now())
	if err != nil {
		return nil, err
	}
	var batch logbook.Batch
	err = logbook.EachJSONL(bytes.NewReader(log), logbook.JSONLOptions{File: "demo", Parameters: logbook.Standard()}, batch.Add)
	if err != nil {
		return nil, err
	}
	book, err := logbook.Create(path)
	if err != nil {
		return nil, err
	}
	_, err = book.ImportBatch(&batch)
	return book, err
}
