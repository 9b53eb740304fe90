// Package about holds the commands that tell of the program itself: its manual, its schemas, its version.
package about

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func Commands(a *app.App, documents []Document) []*cobra.Command {
	return []*cobra.Command{newMan(a, documents), newVersion(a), newSchema(a)}
}

func newVersion(a *app.App) *cobra.Command {
	return a.Command("version", shape.Version{}, func([]string) error { return PrintVersion(a) })
}

// PrintVersion prints what was built.
func PrintVersion(a *app.App) error {
	v := shape.Built()
	return a.Answer(v, func() {
		changed := ""
		if v.Changed {
			changed = ", changed since"
		}
		a.Printf("%s", strings.TrimSpace("leadline "+v.Version))
		if v.Revision != "" {
			a.Printf("revision %s of %s%s", v.Revision, v.Time, changed)
		}
		a.Printf("%s %s", v.Go, v.Platform)
	})
}

// newSchema comes last, since it names what the commands beside it print.
func newSchema(a *app.App) *cobra.Command {
	names := slices.Sorted(maps.Keys(a.Published()))
	return &cobra.Command{
		Use: "schema COMMAND",
		Long: `The JSON Schema (draft 2020-12) of what a command prints with --json: one of
` + strings.Join(names, ", ") + `.
Fields may be added later, never renamed or dropped. What is unknown is null. An error is then the
last line of standard error, of the schema error.`,
		Args:      cobra.MinimumNArgs(1),
		ValidArgs: names,
		RunE: func(_ *cobra.Command, args []string) error {
			name := strings.Join(args, " ")
			printed, ok := a.Published()[name]
			if !ok {
				return usage.Errorf(logbook.DidYouMean(name, names, "one of "+strings.Join(names, ", ")),
					"%q prints no JSON of its own", name)
			}
			out, err := json.MarshalIndent(shape.SchemaOf(name, printed), "", "  ")
			if err != nil {
				return err
			}
			_, err = fmt.Fprintf(a.Out, "%s\n", out)
			return err
		},
	}
}
