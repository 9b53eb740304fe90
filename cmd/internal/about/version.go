package about

import (
	"strings"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
)

func newVersion(a *app.App) *cobra.Command {
	return a.Prints(shape.Version{}, usage.Command("version",
		"what was built, from which sources", "", func([]string) error { return PrintVersion(a) }))
}

// PrintVersion prints what was built.
func PrintVersion(a *app.App) error {
	v := shape.Built()
	if a.JSON {
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
}
