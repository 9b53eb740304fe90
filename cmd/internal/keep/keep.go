// Package keep holds the commands that keep and carry the book: exports, posts, merges, backups, checks.
package keep

import (
	"cmp"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
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

// sayMissing says how much of a book that was replaced is not in the one that took its place, and what brings it back.
// Where that cannot be read it says nothing: the copy is back all the same.
func sayMissing(a *app.App, replaced string) {
	book, err := a.Book()
	if err != nil {
		return
	}
	if missing, err := book.TryMerge(replaced); err == nil && missing.Added > 0 {
		a.Say("warning: %s not in the copy%s; leadline merge %q brings back what was noted since",
			words.Plural(missing.Added, "line of it is", "lines of it are"), words.Counts(missing.ByKind), replaced)
	}
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
			sayMissing(a, kept)
		}
		return nil
	})
}

func newSalvage(a *app.App) *cobra.Command {
	return a.Command("salvage DAMAGED NEW", app.Words("leadline verify --json tells of the book"),
		func(args []string) error { return salvage(a, args[0], args[1]) })
}

// mostLost is how many stretches are told; a disk that fails all over makes hundreds.
const mostLost = 20

func salvage(a *app.App, damaged, path string) error {
	a.WithoutSettings()
	done, err := logbook.Salvage(damaged, path)
	if err != nil {
		return err
	}
	a.Printf("%s in %s%s", words.Plural(done.Added, "record is", "records are"), path, words.Counts(done.ByKind))
	if len(done.Missing) > 0 {
		a.Printf("missing, by the book's own count%s", words.Counts(done.Missing))
	}
	if done.Uncounted {
		a.Printf("how many lines it held is not known: some may be missing")
	}
	if done.Nameless > 0 {
		a.Printf("%s lost: what bore them is called by its number", words.Plural(done.Nameless, "name is", "names are"))
	}
	for _, l := range done.Lost[:min(len(done.Lost), mostLost)] {
		from, to := "the first", "the last"
		if !l.From.IsZero() {
			from = words.Day(l.From)
		}
		if !l.To.IsZero() {
			to = words.Day(l.To)
		}
		a.Printf("pages that cannot be read held %s of %s, from %s to %s", words.Kinds(l.Kind),
			words.OneLine(cmp.Or(l.Tank, "any tank")+" "+l.Parameter), from, to)
	}
	if more := len(done.Lost) - mostLost; more > 0 {
		a.Printf("and %s more", words.Plural(more, "stretch", "stretches"))
	}
	a.Say("hint: look through it with leadline --book %s, then put it in place with leadline restore %[1]s", path)
	return nil
}
