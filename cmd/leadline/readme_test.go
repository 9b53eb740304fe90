package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestReadmeCommandsRun runs every command of the README's sh blocks, in their order, as somebody would who follows it
// from an empty folder.
func TestReadmeCommandsRun(t *testing.T) {
	path := program(t)
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var script []string
	inside := false
	for line := range strings.Lines(string(readme)) {
		switch line = strings.TrimSpace(line); {
		case line == "```sh":
			inside = true
		case line == "```":
			inside = false
		case inside && line != "":
			script = append(script, line)
		}
	}
	if len(script) < 20 {
		t.Fatalf("found only %d commands in the README", len(script))
	}
	folder := t.TempDir()
	for _, line := range script {
		cmd := exec.Command("sh", "-c", line)
		cmd.Dir = folder
		cmd.Env = append(os.Environ(), "PATH="+filepath.Dir(path)+":"+os.Getenv("PATH"), "LEADLINE_BOOK="+filepath.Join(folder, "my.book"))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", line, err, out)
		}
	}
}
