package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
)

// shells are those whose completion is published, each with the name that its shell looks for.
func shells() map[string]string {
	return map[string]string{"bash": "completions/leadline.bash", "zsh": "completions/_leadline", "fish": "completions/leadline.fish", "powershell": "completions/leadline.ps1"}
}

// sharedFiles are those that every archive holds: the papers of the repository, and the manual and completions, which the
// program writes itself.
func sharedFiles(ctx context.Context, source string, own binary) (files []file, err error) {
	for name, from := range map[string]string{"LICENSE": "LICENSE", "README.md": "README.md"} {
		data, err := os.ReadFile(filepath.Join(source, filepath.FromSlash(from)))
		if err != nil {
			return nil, err
		}
		files = append(files, file{name: name, data: data})
	}
	files = append(files, file{name: "CHANGELOG.md", data: []byte(changelogText)})
	for shell, name := range shells() {
		script, err := output(ctx, own.path, "completion", shell)
		if err != nil {
			return nil, err
		}
		files = append(files, file{name: name, data: script})
	}
	folder, err := os.MkdirTemp("", "leadline-manual-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(folder)
	if _, err := output(ctx, own.path, "man", folder); err != nil {
		return nil, err
	}
	pages, err := filepath.Glob(filepath.Join(folder, "*.1"))
	if err != nil {
		return nil, err
	}
	if len(pages) == 0 {
		return nil, errors.New("the program wrote no manual")
	}
	for _, page := range pages {
		data, err := os.ReadFile(page)
		if err != nil {
			return nil, err
		}
		files = append(files, file{name: "man/" + filepath.Base(page), data: data})
	}
	return files, nil
}

// output is what the program prints; a home of its own keeps the files of whoever releases out of it.
func output(ctx context.Context, path string, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(ctx, path, args...)
	var out, errOut bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errOut
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("%s %v: %w: %s", filepath.Base(path), args, err, errOut.Bytes())
	}
	return out.Bytes(), nil
}
