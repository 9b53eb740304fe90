package keep

import (
	"fmt"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/logbook"
)

func newMerge(a *app.App) *cobra.Command {
	var dryRun bool
	cmd := a.Command("merge OTHER.book", mergedJSON{}, func(args []string) error { return merge(a, args[0], dryRun) })
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
	if err := a.PrintOtherwise(book, done.Imported); err != nil {
		return err
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
		Otherwise: words.Of(done.Otherwise, logbook.Step.Name), Twins: []twinJSON{}}
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

	Otherwise []string `json:"otherwise,omitempty"` // definitions that say something else by it
}

// twinJSON is a reading of each of two books that may be one test.
type twinJSON struct {
	Ours   shape.Reading `json:"ours"`
	Theirs shape.Reading `json:"theirs"`
}
