// Command release makes everything that is published of one version, by one command:
//
//	go run ./cmd/release -o ../leadline-release
//
// Static binaries for linux, darwin and windows on amd64 and arm64, each in an archive with the manual, the completions
// and the licences, and with a bill of materials; Debian packages; the sums of all of them. The same commit gives the
// same bytes in every folder and on every machine with the same Go: nothing here reads the clock, the name of the
// machine or of a folder. What is said of a binary is read from the binary itself.
package main

import (
	"cmp"
	"context"
	"crypto/sha256"
	"flag"
	"fmt"
	"io"
	"maps"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, os.Args[1:], os.Stderr); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// options are what one release is made of and where it goes.
type options struct {
	source  string // folder of the repository
	out     string // folder that is made
	targets []target
	changed bool // make it although the sources differ from the commit
}

func run(ctx context.Context, args []string, messages io.Writer) error {
	flags := flag.NewFlagSet("release", flag.ContinueOnError)
	flags.SetOutput(messages)
	var opt options
	var only string
	flags.StringVar(&opt.source, "source", ".", "`FOLDER` of the repository")
	flags.StringVar(&opt.out, "o", "dist", "`FOLDER` to make; it must not be there yet, or be empty")
	flags.StringVar(&only, "only", "", "only these `TARGETS`, such as linux/amd64,darwin/arm64")
	flags.BoolVar(&opt.changed, "changed", false,
		"go on although the sources differ from the commit; the version then says so")
	if err := flags.Parse(args); err != nil {
		return err
	}
	var err error
	if opt.targets, err = targetsOf(only); err != nil {
		return err
	}
	began := time.Now()
	names, err := release(ctx, opt)
	if err != nil {
		return err
	}
	fmt.Fprintf(messages, "%d files in %s after %.0f s\n  %s\n", len(names), opt.out, time.Since(began).Seconds(),
		strings.Join(names, "\n  "))
	return nil
}

// release makes the folder and names the files in it.
func release(ctx context.Context, opt options) (names []string, err error) {
	if err := emptyFolder(opt.out); err != nil {
		return nil, err
	}
	work, err := os.MkdirTemp("", "leadline-release-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)

	own, err := build(ctx, opt.source, work, hostTarget())
	if err != nil {
		return nil, err
	}
	if own.changed && !opt.changed {
		return nil, fmt.Errorf("the sources differ from commit %.12s: commit them first, or pass -changed", own.revision)
	}
	history, err1 := parseChangelog(changelogText, own.time)
	shared, err2 := sharedFiles(ctx, opt.source, own)
	if err := cmp.Or(err1, err2); err != nil {
		return nil, err
	}
	sums := map[string]string{} // the lines of the list that sha256sum --check reads
	keep := func(name string, data []byte) error {
		names = append(names, name)
		sums[name] = fmt.Sprintf("%x  %s\n", sha256.Sum256(data), name)
		return os.WriteFile(filepath.Join(opt.out, name), data, 0o644)
	}
	for _, t := range opt.targets {
		b, err := builtFor(ctx, opt, work, t, own)
		if err != nil {
			return nil, err
		}
		if err := publish(ctx, keep, b, shared, history, opt.source); err != nil {
			return nil, fmt.Errorf("%s: %w", t, err)
		}
		if err := os.Remove(b.path); err != nil && t != own.target {
			return nil, err
		}
	}
	var list strings.Builder
	for _, name := range slices.Sorted(maps.Keys(sums)) {
		list.WriteString(sums[name])
	}
	err = keep("SHA256SUMS", []byte(list.String()))
	return names, err
}

func emptyFolder(path string) error {
	if there, err := os.ReadDir(path); err == nil && len(there) > 0 {
		return fmt.Errorf("%s: it is not empty", path)
	}
	return os.MkdirAll(path, 0o755)
}

// builtFor is the binary for a target: that of this machine, or another of the same sources.
func builtFor(ctx context.Context, opt options, work string, t target, own binary) (b binary, err error) {
	if t == own.target {
		return own, nil
	}
	b, err = build(ctx, opt.source, work, t)
	if err == nil && (b.version != own.version || b.changed != own.changed) {
		err = fmt.Errorf("%s is of %s and not of %s: the sources changed meanwhile, or %s lies among them and git does not "+
			"ignore it", t, b.version, own.version, opt.out)
	}
	return b, err
}

// publish makes what is published of one binary.
func publish(ctx context.Context, keep func(string, []byte) error, b binary, shared []file, history changelog,
	source string) error {
	program, err1 := os.ReadFile(b.path)
	notices, licences, err2 := noticesOf(ctx, b, source)
	if err := cmp.Or(err1, err2); err != nil {
		return err
	}
	files := append([]file{{name: "leadline" + b.target.suffix(), data: program, program: true},
		{name: "NOTICES.txt", data: notices}}, shared...)
	name := fmt.Sprintf("leadline_%s_%s_%s", b.plainVersion(), b.target.os, b.target.arch)
	pack, suffix := tarGz, ".tar.gz"
	if b.target.os == "windows" {
		pack, suffix = zipped, ".zip"
	}
	archive, err := pack(name, files, b.time)
	if err != nil {
		return err
	}
	if err := keep(name+suffix, archive); err != nil {
		return err
	}
	materials, err := billOfMaterials(b, program, licences)
	if err != nil {
		return err
	}
	if err := keep(name+".cdx.json", materials); err != nil {
		return err
	}
	if b.target.os != "linux" {
		return nil
	}
	deb, err := debian(b, files, history)
	if err != nil {
		return err
	}
	return keep(fmt.Sprintf("leadline_%s_%s.deb", b.debianVersion(), b.target.arch), deb)
}
