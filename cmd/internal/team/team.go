// Package team holds the commands that make the books of several people one, and what brings a book in step by itself.
package team

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/share"
)

func Commands(a *app.App) []*cobra.Command {
	cmd := usage.Group("share", newBegin(a, "create", true),
		newBegin(a, "join", false), newLeave(a), newStatus(a))
	return []*cobra.Command{cmd, newSync(a)}
}

func newBegin(a *app.App, name string, isNew bool) *cobra.Command {
	with, mine := logbook.Shared{Replicas: 1}, isNew
	cmd := a.CommandOf(name+" URL --name BOOK", app.Words("leadline share status --json tells how it stands"),
		func(cmd *cobra.Command, args []string) error {
			with.Servers = args[0]
			return shareBook(cmd.Context(), a, with, isNew, mine)
		})
	f := cmd.Flags()
	f.StringVar(&with.Name, "name", "", "`NAME` of the shared book")
	f.StringVar(&with.Member, "member", "",
		"`NAME` of this book among the members (else who notes down, else the computer)")
	f.StringVar(&with.Login, "login", "", "`FILE` of two lines: the name and the password that the server asks for")
	f.StringVar(&with.Creds, "creds", "", "`FILE` of credentials that the server asks for")
	f.StringVar(&with.CA, "ca", "", "`FILE` of the authority that signed the server's certificate, where it is your own")
	f.BoolVar(&with.Probes, "with-probes", false,
		"share all readings of a day with more than 12 of one parameter (else one in two hours)")
	if isNew {
		f.IntVar(&with.Replicas, "replicas", 1, "`NUMBER` of servers of a cluster that keep it")
	} else {
		f.BoolVar(&mine, "with-mine", false, "give the others what this book holds already, its tanks and bands too")
	}
	return cmd
}

var notInNames = regexp.MustCompile(`[^A-Za-z0-9_-]+`)

func shareBook(ctx context.Context, a *app.App, with logbook.Shared, isNew, mine bool) error {
	who, err := a.Who(with.Member)
	if err != nil {
		return err
	}
	if with.Member == "" {
		computer, _ := os.Hostname()
		with.Member = notInNames.ReplaceAllString(cmp.Or(who, computer, "member"), "-")
		with.Member = with.Member[:min(len(with.Member), share.LongestName)]
	}
	if err := cmp.Or(share.CheckServers(with.Servers), share.CheckName("shared book", with.Name),
		share.CheckName("member", with.Member)); err != nil {
		_, hint := usage.InWords(err)
		return usage.Wrong(err, hint)
	}
	for _, file := range []*string{&with.Login, &with.Creds, &with.CA} {
		if *file != "" {
			*file, _ = filepath.Abs(*file) // it is read from other folders later
		}
	}
	open := func() (*logbook.Book, error) {
		book, err := a.BookOrNew()
		if err != nil || mine {
			return book, err
		}
		// What was set here later than there would hold for everybody: a volume, from which doses are reckoned.
		tanks, err := logbook.Seen(book, (*logbook.View).Tanks)
		if state, _ := logbook.Seen(book, (*logbook.View).Shared); state.Name == "" && len(tanks) > 0 {
			return nil, usage.WithHint(fmt.Errorf("%s holds tanks already (%s), and what is set of them would hold for the "+
				"others too", book.Path(), words.List(tanks, func(t logbook.Tank) string { return words.OneLine(t.Name) })),
				"join with a new book, --book NEW.book; or --with-mine, where that is meant, as for a copy of the shared one")
		}
		return book, err
	}
	if book, err := a.Book(); err == nil { // before a server is asked
		if err := share.NotYet(book); err != nil {
			return err
		}
	}
	book, state, err := share.Begin(ctx, open, with, isNew, share.Options{})
	if err != nil {
		return err
	}
	if state.Member != with.Member {
		a.Warn(fmt.Sprintf("there is a member %s already, so this one is %s", with.Member, state.Member))
	}
	a.Printf("%s is shared as %s at %s; this is member %s", book.Path(), state.Name, state.Servers, state.Member)
	return bringInStep(ctx, a, book)
}

func newLeave(a *app.App) *cobra.Command {
	yes := false
	cmd := a.CommandOf("leave", app.Words("leadline share status --json tells how it stands"),
		func(cmd *cobra.Command, _ []string) error {
			book, err := a.Book()
			if err != nil {
				return err
			}
			waiting, err := share.Waiting(book)
			if err != nil {
				return err
			}
			if waiting > 0 && !yes {
				err := a.MustAgree(fmt.Sprintf("%s not sent yet: leave?", words.Plural(waiting, "line is", "lines are")),
					"leadline sync sends them; --yes leaves without")
				if err != nil {
					return err
				}
			}
			state, err := share.Leave(cmd.Context(), book, share.Options{})
			if err == nil {
				a.Printf("%s is shared as %s no more", book.Path(), state.Name)
			}
			return err
		})
	cmd.Flags().BoolVarP(&yes, "yes", "y", false, "also where something was not sent yet")
	return cmd
}

// statusJSON is how a shared book stands.
type statusJSON struct {
	Name      string        `json:"name"`
	Servers   string        `json:"servers"`
	Member    string        `json:"member"`
	Waiting   int           `json:"waiting"` // lines to be sent
	Reachable bool          `json:"reachable"`
	Members   []memberJSON  `json:"members"` // none where the server cannot be reached
	Refused   []refusedJSON `json:"refused"`
}

type memberJSON struct {
	Name    string       `json:"name"`
	Behind  int          `json:"behind"` // messages
	Waiting int          `json:"waiting"`
	Seen    shape.Moment `json:"seen"`
}

type refusedJSON struct {
	Member string `json:"member"`
	Lines  int    `json:"lines"` // that were not taken
	Why    string `json:"why"`
}

func newStatus(a *app.App) *cobra.Command {
	return a.CommandOf("status", statusJSON{}, func(cmd *cobra.Command, _ []string) error {
		book, err := a.Book()
		if err != nil {
			return err
		}
		return printStatus(cmd.Context(), a, book)
	})
}

func printStatus(ctx context.Context, a *app.App, book *logbook.Book) error {
	st, failed := share.StatusOf(ctx, book, share.Options{})
	if st.Name == "" {
		return failed
	}
	out := statusJSON{Name: st.Name, Servers: st.Servers, Member: st.Member, Waiting: st.Waiting, Reachable: failed == nil,
		Members: []memberJSON{}, Refused: []refusedJSON{}}
	var t words.Table
	t.AddAs(words.Head, "member", "behind by", "to send", "last in step")
	for _, m := range st.Members {
		out.Members = append(out.Members, memberJSON{m.Name, int(m.Behind), m.Waiting, shape.Moment(m.Seen)})
		behind, to := "nothing", "nothing"
		if m.Behind > 0 {
			behind = words.Plural(int(m.Behind), "message", "messages")
		}
		if m.Waiting > 0 {
			to = words.Plural(m.Waiting, "line", "lines")
		}
		t.Add(m.Name, behind, to, words.Moment(m.Seen.In(a.Now().Location())))
	}
	for _, name := range slices.Sorted(maps.Keys(st.Shared.Members)) {
		if s := st.Shared.Members[name]; s.Skipped > 0 {
			out.Refused = append(out.Refused, refusedJSON{name, s.Skipped, s.Why})
		}
	}
	err := a.Answer(out, func() {
		a.Printf("shared as %s at %s; this is member %s; %s to be sent", st.Name, st.Servers, st.Member,
			words.Plural(st.Waiting, "line is", "lines are"))
		if failed == nil {
			a.Table(t, "")
		}
		for _, r := range out.Refused {
			a.Printf("of member %s %s not taken: %s", r.Member, words.Plural(r.Lines, "line was", "lines were"), r.Why)
		}
	})
	return cmp.Or(err, failed)
}

// syncJSON is what a sync did.
type syncJSON struct {
	Sent    int `json:"sent"`
	Added   int `json:"added"`
	Thinned int `json:"thinned"` // readings of dense days that stay here

	Otherwise []string `json:"otherwise,omitempty"` // definitions that say something else by it
}

func newSync(a *app.App) *cobra.Command {
	follow := false
	cmd := a.CommandOf("sync", syncJSON{}, func(cmd *cobra.Command, _ []string) error {
		book, err := a.Book()
		if err != nil {
			return err
		}
		if follow {
			a.InStep = true
			return share.Follow(cmd.Context(), book, share.Options{Tell: func(text string) {
				a.Printf("%s", text)
				_ = a.Out.Flush()
			}})
		}
		return bringInStep(cmd.Context(), a, book)
	})
	cmd.Flags().BoolVar(&follow, "follow", false, "go on until interrupted")
	return cmd
}

func bringInStep(ctx context.Context, a *app.App, book *logbook.Book) error {
	a.InStep = true
	progress := a.ShowProgress("asking the server", 0)
	say := func(text string) { a.Say("%s", text) }
	done, err := share.Sync(ctx, book, share.Options{Tell: say, Progress: progress.Doing})
	a.EndProgress()
	if err != nil {
		return err
	}
	var failed error
	err = a.Answer(syncJSON{done.Sent, done.Added, done.Thinned, words.Of(done.Otherwise, logbook.Step.Name)}, func() {
		a.Printf("in step: %s sent, %d new here", words.Plural(done.Sent, "line", "lines"), done.Added)
		failed = a.PrintOtherwise(book, logbook.Imported{Otherwise: done.Otherwise, Overruled: done.Overruled})
		if done.Thinned > 0 {
			a.Printf("%s of days with many stay here; whoever joins --with-probes shares them",
				words.Plural(done.Thinned, "reading", "readings"))
		}
	})
	return cmp.Or(err, failed)
}

// Background keeps a book in step if it is shared, until the function that it gives is called; tell is told what is
// new, and reached, unless it is nil, whether the others are.
func Background(ctx context.Context, a *app.App, book *logbook.Book, tell func(text string),
	reached func(bool)) (stop func()) {
	if state, err := logbook.Seen(book, (*logbook.View).Shared); err != nil || state.Name == "" {
		return func() {}
	}
	a.InStep = true
	ctx, cancel := context.WithCancel(ctx)
	done := make(chan struct{})
	go func() {
		defer close(done)
		defer func() { // the screens go on without it
			if why := recover(); why != nil {
				tell(fmt.Sprintf("keeping in step ended: %v", why))
			}
		}()
		_ = share.Follow(ctx, book, share.Options{Tell: tell, Reached: reached}) // it ends where the book is shared no more
	}()
	return func() {
		cancel()
		<-done
	}
}

// mostAfter is how long a command that noted something goes on for the others' sake.
const mostAfter = 300 * time.Millisecond

// After sends what a command noted in a shared book, if that is soon done.
func After(ctx context.Context, a *app.App) {
	if a.InStep || a.Opened == nil || !a.Opened.Wrote() {
		return
	}
	state, err := logbook.Seen(a.Opened, (*logbook.View).Shared)
	if err != nil || state.Name == "" {
		return
	}
	ctx, cancel := context.WithTimeout(ctx, mostAfter)
	defer cancel()
	if _, err := share.Sync(ctx, a.Opened, share.Options{Within: mostAfter}); err != nil {
		what, _ := usage.InWords(err)
		a.Say("it is in this book, and goes to the others with the next sync: %s", words.OneLine(what))
	}
}
