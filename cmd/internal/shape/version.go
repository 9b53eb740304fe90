package shape

import (
	"runtime"
	"runtime/debug"
)

// Built is what the build noted about itself.
func Built() Version {
	v := Version{Version: "(unknown)", Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return v
	}
	if info.Main.Version != "" {
		v.Version = info.Main.Version
	}
	noted := map[string]string{}
	for _, s := range info.Settings {
		noted[s.Key] = s.Value
	}
	v.Revision, v.Time, v.Changed = noted["vcs.revision"], noted["vcs.time"], noted["vcs.modified"] == "true"
	return v
}

// Version says what was built.
type Version struct {
	Version  string `json:"version"`
	Revision string `json:"revision"`
	Time     string `json:"time"`    // of the revision; "" where it is not known
	Changed  bool   `json:"changed"` // the sources differed from the revision
	Go       string `json:"go"`
	Platform string `json:"platform"`
}
