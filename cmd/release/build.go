package main

import (
	"context"
	"debug/buildinfo"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strings"
	"time"
)

// target is a system and a processor.
type target struct{ os, arch string }

func (t target) String() string { return t.os + "/" + t.arch }

func (t target) suffix() string {
	if t.os == "windows" {
		return ".exe"
	}
	return ""
}

func hostTarget() target { return target{runtime.GOOS, runtime.GOARCH} }

func allTargets() (all []target) {
	for _, system := range []string{"linux", "darwin", "windows"} {
		for _, arch := range []string{"amd64", "arm64"} {
			all = append(all, target{system, arch})
		}
	}
	return all
}

// targetsOf reads a list of targets; "" is all of them.
func targetsOf(list string) ([]target, error) {
	if list == "" {
		return allTargets(), nil
	}
	var targets []target
	for name := range strings.SplitSeq(list, ",") {
		i := slices.IndexFunc(allTargets(), func(t target) bool { return t.String() == name })
		if i < 0 {
			return nil, fmt.Errorf("-only: %q is none of %v", name, allTargets())
		}
		targets = append(targets, allTargets()[i])
	}
	return targets, nil
}

// binary is one built program, with what it says of itself.
type binary struct {
	target   target
	path     string
	version  string // as Go stamped it: a tag's name, or made of the time and the commit
	revision string
	time     time.Time // of the commit; every file carries it
	changed  bool      // the sources differ from the commit
	goes     string    // version of Go
	modules  []debug.Module
}

// build builds the program for a target. Paths, the machine and the number that names a build stay out of it.
func build(ctx context.Context, source, folder string, t target) (binary, error) {
	path := filepath.Join(folder, "leadline-"+t.os+"-"+t.arch+t.suffix())
	cmd := exec.CommandContext(ctx, "go", "build", "-trimpath", "-buildvcs=true", "-mod=readonly", "-ldflags",
		"-s -w -buildid=", "-o", path, "./cmd/leadline")
	cmd.Dir = source
	cmd.Env = append(os.Environ(), "CGO_ENABLED=0", "GOFLAGS=", "GOOS="+t.os, "GOARCH="+t.arch, "GOAMD64=v1",
		"GOARM64=v8.0", "GOWORK=off", "GOEXPERIMENT=")
	if out, err := cmd.CombinedOutput(); err != nil {
		return binary{}, fmt.Errorf("build for %s: %w\n%s", t, err, out)
	}
	return inspect(path, t)
}

// inspect reads from a binary what was built into it.
func inspect(path string, t target) (binary, error) {
	info, err := buildinfo.ReadFile(path)
	if err != nil {
		return binary{}, err
	}
	b := binary{target: t, path: path, version: info.Main.Version, goes: info.GoVersion}
	for _, m := range info.Deps {
		if m.Replace != nil {
			return binary{}, fmt.Errorf("%s is replaced by %s: a release is made of what its modules say", m.Path,
				m.Replace.Path)
		}
		b.modules = append(b.modules, *m)
	}
	for _, s := range info.Settings {
		switch s.Key {
		case "vcs.revision":
			b.revision = s.Value
		case "vcs.modified":
			b.changed = s.Value == "true"
		case "vcs.time":
			if b.time, err = time.Parse(time.RFC3339, s.Value); err != nil {
				return binary{}, err
			}
		}
	}
	if b.revision == "" || b.time.IsZero() {
		return binary{}, errors.New("the binary does not say from which commit it was built: the source has to be a clone " +
			"with git at hand")
	}
	b.time = b.time.UTC()
	return b, nil
}

func (b binary) plainVersion() string { return strings.TrimPrefix(b.version, "v") }

// debianVersion is the version as Debian orders it: what comes before a release sorts before it by a tilde, and the
// last hyphen parts the packaging's own number (Debian Policy 5.6.12).
func (b binary) debianVersion() string {
	head, rest, before := strings.Cut(b.plainVersion(), "-")
	if before {
		head += "~" + strings.ReplaceAll(rest, "-", ".")
	}
	return head + "-1"
}
