package keep

import (
	"fmt"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newMerge(a *app.App) *cobra.Command {
	var dryRun bool
	cmd := a.Prints(mergedJSON{}, usage.Command("merge OTHER.book",
		"take in what another book of the same tanks holds, all of it or nothing", `  # look first what it would do
  leadline merge /media/stick/bench.book --dry-run

  # then do it
  leadline merge /media/stick/bench.book`, func(args []string) error { return merge(a, args[0], dryRun) }))
	cmd.Long = `Take into the book in use what another book holds and it does not: of the laptop and of the computer at the
bench, say. Either all of it is taken or nothing; the other book is only read. Merging this one into the other gives the
same book, and merging again adds nothing.

A line that was noted in both books, with the same time, is one line. What is struck in either is struck; of two strikes
of one line the one that names a successor is kept, then the earlier. Of what both books
say of a tank, a band or a method, what was noted last counts; leadline tank history shows all. Readings that may be one
test noted twice, at different minutes, are kept and named. Test days that are being typed are left alone.`
	cmd.Flags().BoolVarP(&dryRun, "dry-run", "n", false, "say what would be done; write nothing")
	return cmd
}

func merge(a *app.App, other string, dryRun bool) error {
	book, err := a.Book()
	if err != nil {
		return err
	}
	merge := book.TryMerge
	if !dryRun {
		book.BackupNow()
		merge = book.Merge
	}
	done, err := merge(other)
	if err != nil {
		return err
	}
	if a.JSON {
		return printMergedJSON(a, book, done, dryRun)
	}
	detail := words.Counts(done.ByKind)
	if dryRun {
		a.Printf("%d would be added%s, %d are there already; nothing was written", done.Added, detail, done.Already)
	} else {
		a.Printf("%d added%s, %d there already", done.Added, detail, done.Already)
	}
	for _, t := range done.Twins {
		tails, err := a.Tails(t.Ours.ID, t.Theirs.ID)
		if err != nil {
			return err
		}
		a.Printf("perhaps one test noted twice: %s %s and %s %s", tails[0], words.Known{}.Line(t.Ours), tails[1],
			words.Known{}.Line(t.Theirs))
	}
	if len(done.Twins) > 0 {
		a.Say(`hint: if it was one test: leadline strike ID --why "noted twice"`)
	}
	return nil
}

func printMergedJSON(a *app.App, book *logbook.Book, done logbook.Merged, dryRun bool) error {
	out := mergedJSON{DryRun: dryRun, Records: done.Records, Added: done.Added, Already: done.Already, ByKind: done.ByKind,
		Twins: []twinJSON{}}
	err := book.View(func(v *logbook.View) error {
		for _, t := range done.Twins {
			p, err := v.Parameter(t.Ours.Parameter)
			if err != nil {
				return fmt.Errorf("reading %s: %w", t.Ours.ID, err)
			}
			out.Twins = append(out.Twins, twinJSON{shape.ReadingOf(t.Ours, p), shape.ReadingOf(t.Theirs, p)})
		}
		return nil
	})
	if err != nil {
		return err
	}
	return a.PrintJSON(out)
}

// mergedJSON says what a merge did or, after --dry-run, would do.
type mergedJSON struct {
	DryRun  bool                 `json:"dry_run"`
	Records int                  `json:"records"` // of the other book
	Added   int                  `json:"added"`
	Already int                  `json:"already"`
	ByKind  map[logbook.Kind]int `json:"by_kind"` // the added ones
	Twins   []twinJSON           `json:"perhaps_twice"`
}

// twinJSON is a reading of each of two books that may be one test.
type twinJSON struct {
	Ours   shape.Reading `json:"ours"`
	Theirs shape.Reading `json:"theirs"`
}
