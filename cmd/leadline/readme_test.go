package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"leadline/cmd/internal/app"
	"leadline/testdata/server"
)

var updateReadme = flag.Bool("update-readme", false, "write what the demo prints into the README")

// TestReadmeShowsTheDemo holds the status that the guide shows against what the demo prints at the clock of the
// scripts.
func TestReadmeShowsTheDemo(t *testing.T) {
	const begin, end, path = "<!-- demo -->\n```\n", "```\n<!-- /demo -->", "GUIDE.md"
	readme, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	head, rest, ok := strings.Cut(string(readme), begin)
	shown, tail, closed := strings.Cut(rest, end)
	if !ok || !closed {
		t.Fatal("the guide has no place for the demo")
	}
	now, err := time.Parse(time.RFC3339, testNow)
	if err != nil {
		t.Fatal(err)
	}
	var out, errOut bytes.Buffer
	if code := run(context.Background(), []string{"demo"}, strings.NewReader(""), &out, &errOut, os.Getenv,
		func() time.Time { return now }); code != 0 {
		t.Fatalf("demo ends with %d: %s", code, errOut.String())
	}
	if *updateReadme {
		if err := os.WriteFile(path, []byte(head+begin+out.String()+end+tail), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if shown != out.String() {
		t.Errorf("the guide shows\n%s\nthe demo prints\n%s\nrenew it with: go test ./cmd/leadline -run "+
			"TestReadmeShowsTheDemo -update-readme", shown, out.String())
	}
}

// TestReadmeCommandsRun runs every command of the sh blocks of README and guide, in their order, as somebody would who
// follows them from an empty folder.
func TestReadmeCommandsRun(t *testing.T) {
	for path, least := range map[string]int{"../../README.md": 5, "GUIDE.md": 12} {
		if n := followDocument(t, path); n < least {
			t.Errorf("found only %d blocks of commands in %s", n, path)
		}
	}
}

// TestLinksLead: a link of a document leads to a file of the repository, and to a head where it names one.
func TestLinksLead(t *testing.T) {
	for _, path := range []string{"../../README.md", "../../DEVELOPERS.md", "../../logbook/PROMISES.md", "GUIDE.md",
		"SHARING.md", "TUTORIAL.md"} {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		links := regexp.MustCompile(`\]\(([^)#:]*)(?:#([^)]+))?\)|(?:src|srcset)="([^"]+)"`).FindAllStringSubmatch(
			string(text), -1)
		for _, m := range links {
			to, err := os.ReadFile(filepath.Join(filepath.Dir(path), filepath.FromSlash(m[1]+m[3])))
			if m[1]+m[3] == "" {
				to, err = text, nil
			}
			heads := strings.ToLower(strings.NewReplacer(" ", "-", "?", "", ",", "").Replace(string(to)))
			if err != nil || m[2] != "" && !strings.Contains(heads, "#-"+m[2]+"\n") {
				t.Errorf("%s: the link %s leads nowhere (%v)", path, m[0], err)
			}
		}
	}
}

// TestTutorialRuns does the same with the tutorial, and looks for the lines that it shows of the answers.
func TestTutorialRuns(t *testing.T) {
	if n := followDocument(t, "TUTORIAL.md"); n < 10 {
		t.Errorf("found only %d blocks of commands in the tutorial", n)
	}
}

// TestSharingRuns does the same with the page about sharing, on a port that nobody uses.
func TestSharingRuns(t *testing.T) {
	page, err := os.ReadFile("SHARING.md")
	if err != nil {
		t.Fatal(err)
	}
	script := filepath.Join(filepath.Dir(program(t)), "nats-server")
	if err := os.WriteFile(script, []byte(server.Script()), 0o700); err != nil {
		t.Fatal(err)
	}
	port := strconv.Itoa(server.FreePort(t))
	listens := "n=0; until [ -d streams/jetstream ] || [ $n = 300 ]; do n=$((n+1)); sleep 0.1; done; sleep 1"
	text := strings.NewReplacer("4222", port, "sleep 1", listens).Replace(string(page))
	path := filepath.Join(t.TempDir(), "SHARING.md")
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if n := followDocument(t, path); n < 3 {
		t.Errorf("found only %d blocks of commands", n)
	}
}

// TestReadmeCronScript runs the script for cron on a book with something open, on one without, and on none.
func TestReadmeCronScript(t *testing.T) {
	readme, err := os.ReadFile("GUIDE.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(readme), "### All that is open")
	_, rest, _ = strings.Cut(rest, "```\n")
	script, _, found := strings.Cut(rest, "```")
	if !found || !strings.Contains(script, "alerts --exit-code") {
		t.Fatal("the guide has no script for cron")
	}
	programs := t.TempDir()
	const mail = "#!/bin/sh\ncat > sent.txt; echo \"$@\" > to.txt\n"
	if err := os.WriteFile(filepath.Join(programs, "mail"), []byte(mail), 0o700); err != nil {
		t.Fatal(err)
	}
	now := func() time.Time { return time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC) }
	open := filepath.Join(t.TempDir(), "demo.book")
	if _, err := demoBook((&app.App{Now: now}), open); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name, book string
		code       int
		sent       bool
	}{{"open", open, 0, true}, {"quiet", testBook(t).Path(), 0, false},
		{"none", filepath.Join(t.TempDir(), "no.book"), 1, false}} {
		cmd := exec.Command("sh", "-c", script)
		cmd.Dir = t.TempDir()
		cmd.Env = append(os.Environ(), "PATH="+programs+":"+filepath.Dir(program(t))+":"+os.Getenv("PATH"),
			"LEADLINE_BOOK="+c.book)
		out, _ := cmd.CombinedOutput()
		if code := cmd.ProcessState.ExitCode(); code != c.code {
			t.Errorf("%s: ends with %d: %s", c.name, code, out)
		}
		sent, err := os.ReadFile(filepath.Join(cmd.Dir, "sent.txt"))
		if c.sent != (err == nil) || c.sent && !strings.Contains(string(sent), "phosphate") {
			t.Errorf("%s: sent %q (%v)", c.name, sent, err)
		}
	}
}

// TestGuideMessages runs the commands by which the guide has alerts told, with programs that write down what they get.
func TestGuideMessages(t *testing.T) {
	guide, err := os.ReadFile("GUIDE.md")
	if err != nil {
		t.Fatal(err)
	}
	crontab, err := os.ReadFile("examples/crontab")
	if err != nil {
		t.Fatal(err)
	}
	book := filepath.Join(t.TempDir(), "demo.book")
	now := func() time.Time { return time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC) }
	if _, err := demoBook((&app.App{Now: now}), book); err != nil {
		t.Fatal(err)
	}
	lines := regexp.MustCompile(`leadline (alerts --new --run '|calendar ).*`).FindAllString(string(guide)+string(crontab),
		-1)
	if len(lines) < 6 {
		t.Fatalf("only %d commands found", len(lines))
	}
	for _, line := range lines {
		_ = os.Remove(book + ".told") // the first of them leaves none
		told := strings.Contains(line, "alerts")
		said, folder := runWithMessengers(t, line, book)
		if told != strings.Contains(said, "forereef: phosphate") {
			t.Errorf("%s tells %q", line, said)
		}
		if _, err := os.Stat(filepath.Join(folder, "due.ics")); !told && err != nil {
			t.Errorf("%s: %v", line, err)
		}
	}
}

// messengers makes programs, in a folder that it gives, that write what they are told into $HOME/said.txt.
func messengers(t *testing.T) string {
	t.Helper()
	programs := t.TempDir()
	for _, name := range []string{"mail", "curl", "notify-send"} {
		const takes = "#!/bin/sh\n{ echo \"$0 $*: $LEADLINE_HEADLINE\"; cat; } >>\"$HOME/said.txt\"\n"
		if err := os.WriteFile(filepath.Join(programs, name), []byte(takes), 0o700); err != nil {
			t.Fatal(err)
		}
	}
	return programs
}

// runWithMessengers runs a line as cron does.
func runWithMessengers(t *testing.T, line, book string) (said, folder string) {
	t.Helper()
	folder = t.TempDir()
	cmd := exec.Command("sh", "-c", line)
	cmd.Dir = folder
	cmd.Env = []string{"PATH=" + messengers(t) + ":" + filepath.Dir(program(t)) + ":/usr/bin:/bin", "HOME=" + folder,
		"LOGNAME=keeper", "SHELL=/bin/sh", "LEADLINE_BOOK=" + book}
	if out, err := cmd.CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%s: %v %s", line, err, out)
	}
	text, _ := os.ReadFile(filepath.Join(folder, "said.txt"))
	return string(text), folder
}

// documentBlock is a block of commands, with the lines of an output block behind it.
type documentBlock struct{ commands, shown []string }

// readBlocks finds the blocks of a document. Those of another language are prose.
func readBlocks(t *testing.T, path string) (blocks []documentBlock) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	inside := ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, "\n")
		switch trimmed := strings.TrimSpace(line); {
		case inside == "" && strings.HasPrefix(trimmed, "```"):
			inside = strings.TrimPrefix(trimmed, "```")
			if inside == "sh" {
				blocks = append(blocks, documentBlock{})
			}
			if inside == "" {
				inside = "prose"
			}
		case trimmed == "```":
			inside = ""
		case inside == "sh":
			blocks[len(blocks)-1].commands = append(blocks[len(blocks)-1].commands, line)
		case inside == "output":
			blocks[len(blocks)-1].shown = append(blocks[len(blocks)-1].shown, trimmed)
		}
	}
	return blocks
}

// followDocument runs the commands of a document in one shell that stops at the first that fails.
func followDocument(t *testing.T, path string) (blocks int) {
	t.Helper()
	const mark = "-- end of a block --"
	all := readBlocks(t, path)
	script := "set -e\n"
	for _, b := range all {
		script += strings.Join(b.commands, "\n") + "\necho '" + mark + "'\n"
	}
	folder := t.TempDir()
	cmd := exec.Command("sh", "-x", "-c", script) // which prints the commands beside the answers
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "PATH="+messengers(t)+":"+filepath.Dir(program(t))+":"+os.Getenv("PATH"),
		"HOME="+folder,
		"LEADLINE_BOOK="+filepath.Join(folder, "my.book"))
	var errOut strings.Builder
	cmd.Stderr = &errOut
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, errOut.String())
	}
	answers := strings.Split(string(out), mark+"\n")
	for i, b := range all {
		for _, line := range b.shown {
			if !shows(answers[i], line) {
				t.Errorf("%s says after\n  %s\nthat it shows\n  %s\nand the program said\n%s", path,
					strings.Join(b.commands, "\n  "), line, answers[i])
			}
		}
	}
	return len(all)
}

// shows reports whether an answer has a line, whose … stand for anything, whatever its indent and the gaps between
// columns.
func shows(answer, line string) bool {
	parts := strings.Split(strings.Join(strings.Fields(line), " "), "…")
	for i := range parts {
		parts[i] = regexp.QuoteMeta(strings.TrimSpace(parts[i]))
	}
	wanted := regexp.MustCompile(strings.Join(parts, ".*"))
	for said := range strings.Lines(answer) {
		if wanted.MatchString(strings.Join(strings.Fields(said), " ")) {
			return true
		}
	}
	return false
}
