package main

import (
	"runtime"
	"runtime/debug"
	"strings"

	"github.com/spf13/cobra"
)

func newVersion(a *app) *cobra.Command {
	return a.prints(versionJSON{}, &cobra.Command{
		Use:   "version",
		Short: "what was built, from which sources",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			v := built()
			if a.json {
				return a.printJSON(v)
			}
			changed := ""
			if v.Changed {
				changed = ", changed since"
			}
			a.printf("%s", strings.TrimSpace("leadline "+v.Version))
			if v.Revision != "" {
				a.printf("revision %s of %s%s", v.Revision, v.Time, changed)
			}
			a.printf("%s %s", v.Go, v.Platform)
			return nil
		},
	})
}

// built is what the build noted about itself.
func built() versionJSON {
	v := versionJSON{Version: "(unknown)", Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return v
	}
	if info.Main.Version != "" {
		v.Version = info.Main.Version
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			v.Revision = s.Value
		case "vcs.time":
			v.Time = s.Value
		case "vcs.modified":
			v.Changed = s.Value == "true"
		}
	}
	return v
}

// versionJSON says what was built.
type versionJSON struct {
	Version  string `json:"version"`
	Revision string `json:"revision"`
	Time     string `json:"time"`    // of the revision; "" where it is not known
	Changed  bool   `json:"changed"` // the sources differed from the revision
	Go       string `json:"go"`
	Platform string `json:"platform"`
}
