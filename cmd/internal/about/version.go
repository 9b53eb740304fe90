package about

import (
	"strings"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
)

func newVersion(a *app.App) *cobra.Command {
	return a.Prints(shape.Version{}, &cobra.Command{
		Use:   "version",
		Short: "what was built, from which sources",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			v := shape.Built()
			if a.Json {
				return a.PrintJSON(v)
			}
			changed := ""
			if v.Changed {
				changed = ", changed since"
			}
			a.Printf("%s", strings.TrimSpace("leadline "+v.Version))
			if v.Revision != "" {
				a.Printf("revision %s of %s%s", v.Revision, v.Time, changed)
			}
			a.Printf("%s %s", v.Go, v.Platform)
			return nil
		},
	})
}
