package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"leadline/logbook"
	"leadline/testdata/demo"
)

func newDemo(a *app) *cobra.Command {
	return a.prints(statusJSON{}, &cobra.Command{
		Use:   "demo",
		Short: "look around in an invented logbook; your own is not touched",
		Example: `  # in the terminal interface
  leadline demo

  # only its status
  leadline demo | cat`,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error { return a.demo(cmd.Context()) },
	})
}

func (a *app) demo(ctx context.Context) error {
	folder, err := os.MkdirTemp("", "leadline-demo-*")
	if err != nil {
		return err
	}
	a.leaveBehind(folder)
	book, err := a.demoBook(filepath.Join(folder, "demo.book"))
	if err != nil {
		return err
	}
	a.say("an invented logbook at %s; it is removed at the end", book.Path())
	switch {
	case a.json:
	case a.plainFlag, a.hasTerminal() && a.talks():
		return a.talk(ctx, book)
	case a.hasTerminal():
		return a.openScreen(ctx, book, true)
	}
	return a.statusOf(book)
}

// demoBook makes the invented book, which ends today.
func (a *app) demoBook(path string) (*logbook.Book, error) {
	log, err := demo.Log(a.now())
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
