package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var updateReadme = flag.Bool("update-readme", false, "write what the demo prints into the README")

// TestReadmeShowsTheDemo holds the status that the README shows against what the demo prints at the clock of the scripts.
func TestReadmeShowsTheDemo(t *testing.T) {
	const begin, end, path = "<!-- demo -->\n```\n", "```\n<!-- /demo -->", "../../README.md"
	readme, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(readme), begin)
	shown, tail, closed := strings.Cut(rest, end)
	if !ok || !closed {
		t.Fatal("the README has no place for the demo")
	}
	now, err := time.Parse(time.RFC3339, testNow)
	if err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if code := run(context.Background(), []string{"demo"}, strings.NewReader(""), &out, &errOut, os.Getenv, func() time.Time { return now }); code != 0 {
		t.Fatalf("demo ends with %d: %s", code, errOut.String())
	}
	if *updateReadme {
		if err := os.WriteFile(path, []byte(head+begin+out.String()+end+tail), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if shown != out.String() {
		t.Errorf("the README shows\n%s\nthe demo prints\n%s\nrenew it with: go test ./cmd/leadline -run TestReadmeShowsTheDemo -update-readme", shown, out.String())
	}
}

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
