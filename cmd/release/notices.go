package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// noticesOf gathers the licences of everything that is in a binary: our own, Go's, and those of its modules, the notice
// of the fonts' designers among them. A module without one stops the release.
func noticesOf(ctx context.Context, b binary, source string) ([]byte, error) {
	var notices bytes.Buffer
	notices.WriteString("leadline is made of its own sources and of the parts below. Each comes with its licence.\n")
	add := func(title, folder string) error {
		texts, err := licencesIn(folder)
		if err != nil {
			return fmt.Errorf("%s: %w", title, err)
		}
		fmt.Fprintf(&notices, "\n%s\n%s\n", strings.Repeat("=", 100), title)
		for _, t := range texts {
			fmt.Fprintf(&notices, "\n-- %s --\n\n%s\n", t.name, bytes.TrimSpace(t.data))
		}
		return nil
	}
	if err := add("leadline "+b.version, source); err != nil {
		return nil, err
	}
	root, err := output(ctx, source, "go", "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	if err := add("Go "+b.goes+", its standard library and runtime", strings.TrimSpace(string(root))); err != nil {
		return nil, err
	}
	folders, err := moduleFolders(ctx, b, source)
	if err != nil {
		return nil, err
	}
	for _, m := range b.modules {
		if err := add(m.Path+" "+m.Version, folders[m.Path]); err != nil {
			return nil, err
		}
	}
	return notices.Bytes(), nil
}

// licenceNames are the names that licences, and notices that have to go with them, are kept under.
var licenceNames = regexp.MustCompile(`(?i)^(licen[cs]e|copying|notice|copyright|ofl)`)

var licenceHead = regexp.MustCompile(`(?im)^#+ *licen[cs]e *$`)

// licencesIn reads the licences of a folder, and those of a folder of licences in it.
func licencesIn(folder string) ([]file, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var names []string
	for _, e := range entries {
		switch {
		case e.IsDir() && strings.EqualFold(e.Name(), "licenses"):
			inner, err := os.ReadDir(filepath.Join(folder, e.Name()))
			if err != nil {
				return nil, err
			}
			for _, f := range inner {
				names = append(names, e.Name()+"/"+f.Name())
			}
		case !e.IsDir() && licenceNames.MatchString(e.Name()) && !strings.HasSuffix(e.Name(), ".go"):
			names = append(names, e.Name())
		}
	}
	if len(names) == 0 { // a module may say it in a chapter of its own
		readme, err := readFiles(folder, "README.md")
		if err != nil || !licenceHead.Match(readme[0].data) {
			return nil, fmt.Errorf("no licence in %s", folder)
		}
		return readme, nil
	}
	slices.Sort(names)
	return readFiles(folder, names...)
}

// moduleFolders is where the sources of a binary's modules lie.
func moduleFolders(ctx context.Context, b binary, source string) (map[string]string, error) {
	args := []string{"list", "-m", "-f", "{{.Path}}\t{{.Dir}}"}
	for _, m := range b.modules {
		args = append(args, m.Path)
	}
	out, err := output(ctx, source, "go", args...)
	if err != nil {
		return nil, err
	}
	folders := map[string]string{}
	for line := range strings.Lines(string(out)) {
		path, folder, _ := strings.Cut(strings.TrimSuffix(line, "\n"), "\t")
		folders[path] = folder
	}
	return folders, nil
}
