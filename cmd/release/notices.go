package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// noticesOf gathers the licences of everything that is in a binary: our own, Go's, and those of its modules, the notice of
// the fonts' designers among them. A module without one stops the release.
func noticesOf(b binary, source string) ([]byte, error) {
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
	root, err := goEnvironment(source, "GOROOT")
	if err != nil {
		return nil, err
	}
	if err := add("Go "+b.goes+", its standard library and runtime", root); err != nil {
		return nil, err
	}
	folders, err := moduleFolders(b, source)
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
func licencesIn(folder string) (texts []file, err error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		path := filepath.Join(folder, e.Name())
		switch {
		case e.IsDir() && strings.EqualFold(e.Name(), "licenses"):
			inner, err := os.ReadDir(path)
			if err != nil {
				return nil, err
			}
			for _, f := range inner {
				data, err := os.ReadFile(filepath.Join(path, f.Name()))
				if err != nil {
					return nil, err
				}
				texts = append(texts, file{name: e.Name() + "/" + f.Name(), data: data})
			}
		case !e.IsDir() && licenceNames.MatchString(e.Name()) && !strings.HasSuffix(e.Name(), ".go"):
			data, err := os.ReadFile(path)
			if err != nil {
				return nil, err
			}
			texts = append(texts, file{name: e.Name(), data: data})
		}
	}
	if len(texts) == 0 { // a module may say it in a chapter of its own
		readme, err := os.ReadFile(filepath.Join(folder, "README.md"))
		if err != nil || !licenceHead.Match(readme) {
			return nil, fmt.Errorf("no licence in %s", folder)
		}
		texts = append(texts, file{name: "README.md", data: readme})
	}
	slices.SortFunc(texts, func(a, b file) int { return strings.Compare(a.name, b.name) })
	return texts, nil
}

// moduleFolders is where the sources of a binary's modules lie.
func moduleFolders(b binary, source string) (map[string]string, error) {
	args := []string{"list", "-m", "-f", "{{.Path}}\t{{.Version}}\t{{.Dir}}"}
	for _, m := range b.modules {
		args = append(args, m.Path)
	}
	cmd := exec.Command("go", args...)
	cmd.Dir = source
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list -m: %w", err)
	}
	folders := map[string]string{}
	for line := range strings.Lines(string(out)) {
		if parts := strings.Split(strings.TrimSuffix(line, "\n"), "\t"); len(parts) == 3 {
			folders[parts[0]] = parts[2]
		}
	}
	return folders, nil
}

func goEnvironment(source, name string) (string, error) {
	cmd := exec.Command("go", "env", name)
	cmd.Dir = source
	out, err := cmd.Output()
	return strings.TrimSpace(string(out)), err
}
