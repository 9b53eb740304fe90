package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	cdx "github.com/CycloneDX/cyclonedx-go"
)

// sharedFiles are those that every archive holds: the papers of the repository, and the manual and completions, which
// the program writes itself.
func sharedFiles(ctx context.Context, source string, own binary) ([]file, error) {
	files, err := linkedFiles(source, "LICENSE", "README.md")
	if err != nil {
		return nil, err
	}
	files = append(files, file{name: "CHANGELOG.md", data: []byte(changelogText)})
	for shell, name := range map[string]string{"bash": "leadline.bash", "zsh": "_leadline", "fish": "leadline.fish",
		"powershell": "leadline.ps1"} {
		script, err := output(ctx, "", own.path, "completion", shell)
		if err != nil {
			return nil, err
		}
		files = append(files, file{name: "completions/" + name, data: script})
	}
	folder, err := os.MkdirTemp("", "leadline-manual-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	if _, err := output(ctx, "", own.path, "man", folder); err != nil {
		return nil, err
	}
	pages, err := fs.Glob(os.DirFS(folder), "*.[17]")
	if err != nil {
		return nil, err
	}
	if len(pages) == 0 {
		return nil, errors.New("the program wrote no manual")
	}
	manual, err := readFiles(folder, pages...)
	for _, page := range manual {
		page.name = "man/" + page.name
		files = append(files, page)
	}
	return files, err
}

// links are the links of a document to files beside it.
var links = regexp.MustCompile(`\]\(([^)#:]+)(?:#[^)]*)?\)|(?:src|srcset)="([^":]+)"`)

// linkedFiles reads files of a folder, and those that their links lead to, and so on.
func linkedFiles(folder string, names ...string) (files []file, err error) {
	for i := 0; i < len(names); i++ {
		read, err := readFiles(folder, names[i])
		if err != nil {
			return nil, err
		}
		files = append(files, read...)
		if path.Ext(names[i]) != ".md" {
			continue
		}
		for _, m := range links.FindAllSubmatch(read[0].data, -1) {
			to := path.Join(path.Dir(names[i]), string(m[1])+string(m[2]))
			if !slices.Contains(names, to) {
				names = append(names, to)
			}
		}
	}
	return files, nil
}

// readFiles reads files of a folder; their names are those below it.
func readFiles(folder string, names ...string) (files []file, err error) {
	for _, name := range names {
		data, err := os.ReadFile(filepath.Join(folder, filepath.FromSlash(name)))
		if err != nil {
			return nil, err
		}
		files = append(files, file{name: name, data: data})
	}
	return files, nil
}

// output is what a program prints that runs in a folder.
func output(ctx context.Context, folder, path string, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, path, args...)
	cmd.Dir = folder
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("%s %v: %w: %s", filepath.Base(path), args, err, errOut.Bytes())
	}
	return out.Bytes(), nil
}

// noticesOf gathers the licences of everything that is in a binary: our own, Go's, and those of its modules, the notice
// of the fonts' designers among them, and names them by module. A module without one stops the release.
func noticesOf(ctx context.Context, b binary, source string) ([]byte, map[string]string, error) {
	var notices bytes.Buffer
	ids := map[string]string{}
	notices.WriteString("leadline is made of its own sources and of the parts below. Each comes with its licence.\n")
	add := func(module, title, folder string) error {
		texts, err := licencesIn(folder)
		if err != nil {
			return fmt.Errorf("%s: %w", title, err)
		}
		if ids[module] = licenceOf(texts); ids[module] == "" {
			return fmt.Errorf("%s: its licence is none that is known here", title)
		}
		fmt.Fprintf(&notices, "\n%s\n%s\n", strings.Repeat("=", 100), title)
		for _, t := range texts {
			fmt.Fprintf(&notices, "\n-- %s --\n\n%s\n", t.name, bytes.TrimSpace(t.data))
		}
		return nil
	}
	if err := add("leadline", "leadline "+b.version, source); err != nil {
		return nil, nil, err
	}
	root, err := output(ctx, source, "go", "env", "GOROOT")
	if err != nil {
		return nil, nil, err
	}
	if err := add("std", "Go "+b.goes+", its standard library and runtime", strings.TrimSpace(string(root))); err != nil {
		return nil, nil, err
	}
	folders, err := moduleFolders(ctx, b, source)
	if err != nil {
		return nil, nil, err
	}
	for _, m := range b.modules {
		if err := add(m.Path, m.Path+" "+m.Version, folders[m.Path]); err != nil {
			return nil, nil, err
		}
	}
	return notices.Bytes(), ids, nil
}

// licenceOf names licences as an expression of SPDX, seen by words that no other of them has; "" where none is known.
// Of two that are offered for choice it says so.
func licenceOf(texts []file) string {
	all, and := "", " AND "
	for _, t := range texts {
		all += strings.Join(strings.Fields(string(t.data)), " ")
	}
	var ids []string
	for _, of := range [][2]string{{"MIT", `to deal in the Software without restriction|\bMIT\b`},
		{"BSD-3-Clause", `Redistribution and use .*Neither the names? of`}, {"Apache-2.0", `Apache License,? Version 2\.0`},
		{"FTL", `The FreeType Project LICENSE`}, {"GPL-2.0-or-later", `GNU GENERAL PUBLIC LICENSE`},
		{"OFL-1.1", `SIL OPEN FONT LICENSE Version 1\.1`}, {"CC-BY-4.0", `Creative Commons Attribution 4\.0`}} {
		if regexp.MustCompile(of[1]).MatchString(all) {
			ids = append(ids, of[0])
		}
	}
	if strings.Contains(all, "your choice of exactly one") {
		and = " OR "
	}
	return strings.Join(ids, and)
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

// billOfMaterials says what a binary is made of, in CycloneDX 1.6: all of it read from the binary, and the licences by
// module.
func billOfMaterials(b binary, program []byte, licences map[string]string) ([]byte, error) {
	sum := sha256.Sum256(program)
	bom := cdx.NewBOM()
	bom.SpecVersion = cdx.SpecVersion1_6
	bom.JSONSchema = "http://cyclonedx.org/schema/bom-1.6.schema.json"
	u := [16]byte(sum[:16]) // a UUID of the version that is free to its maker (RFC 9562, version 8)
	u[6], u[8] = u[6]&0x0f|0x80, u[8]&0x3f|0x80
	bom.SerialNumber = fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:])
	module := func(path, version string) cdx.Component {
		url := "pkg:golang/" + path + "@" + version
		c := cdx.Component{BOMRef: url, Type: cdx.ComponentTypeLibrary, Name: path, Version: version, PackageURL: url}
		if licences[path] != "" {
			c.Licenses = &cdx.Licenses{{Expression: licences[path]}}
		}
		return c
	}
	main := module("leadline", b.version)
	main.Type = cdx.ComponentTypeApplication
	main.Description = "a logbook for the water of coral aquariums"
	main.Hashes = &[]cdx.Hash{{Algorithm: cdx.HashAlgoSHA256, Value: fmt.Sprintf("%x", sum)}}
	main.Properties = &[]cdx.Property{{Name: "target", Value: b.target.String()}, {Name: "revision", Value: b.revision}}
	bom.Metadata = &cdx.Metadata{Timestamp: b.time.Format(time.RFC3339), Component: &main}

	language := module("std", b.goes)
	language.Name, language.Description = "go", "the standard library and runtime of Go"
	components := []cdx.Component{language}
	parts := []string{language.BOMRef}
	for _, m := range b.modules {
		c := module(m.Path, m.Version)
		c.Properties = &[]cdx.Property{{Name: "go.sum", Value: m.Sum}}
		components = append(components, c)
		parts = append(parts, c.BOMRef)
	}
	bom.Components = &components
	bom.Dependencies = &[]cdx.Dependency{{Ref: main.BOMRef, Dependencies: &parts}}

	var out bytes.Buffer
	err := cdx.NewBOMEncoder(&out, cdx.BOMFileFormatJSON).SetPretty(true).SetEscapeHTML(false).EncodeVersion(bom,
		cdx.SpecVersion1_6)
	return out.Bytes(), err
}
