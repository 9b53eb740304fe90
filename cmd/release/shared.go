package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
)

// sharedFiles are those that every archive holds: the papers of the repository, and the manual and completions, which
// the program writes itself.
func sharedFiles(ctx context.Context, source string, own binary) ([]file, error) {
	files, err := readFiles(source, "LICENSE", "README.md")
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
	pages, err := fs.Glob(os.DirFS(folder), "*.1")
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
