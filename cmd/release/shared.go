package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"regexp"
	"slices"
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
