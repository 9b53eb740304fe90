package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

var followKills = flag.Int("follow-kills", 4,
	"at how many moments TestFollowIsKilled kills an import that follows a file")

// TestFollowIsKilled kills an import that follows a file at random moments, while rows are appended, in halves too, and
// the file is rotated. In the end every row is in the book, and none twice.
func TestFollowIsKilled(t *testing.T) {
	folder := t.TempDir()
	log, env := filepath.Join(folder, "probe.csv"), append(os.Environ(), "LEADLINE_BOOK="+filepath.Join(folder, "my.book"),
		"LEADLINE_CONFIG="+filepath.Join(folder, "config.toml"))
	leadline := func(args ...string) []byte {
		t.Helper()
		cmd := exec.Command(program(t), args...)
		cmd.Env = env
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("leadline %v: %v", args, err)
		}
		return out
	}
	write := func(text string) {
		t.Helper()
		f, err := os.OpenFile(log, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		if err == nil {
			_, err = f.WriteString(text)
			f.Close()
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(folder, "config.toml"), nil, 0o600); err != nil {
		t.Fatal(err)
	}
	leadline("tank", "add", "forereef", "--timezone", "UTC")
	leadline("parameter", "add", "potential", "--unit", "mV")
	write("when,mV\n2025-12-31T00:00,1\n")
	leadline("import", log, "--map", "time=when,potential=mV", "--tank", "forereef", "--save-mapping", "probe")
	random := rand.New(rand.NewPCG(1, 2))
	rows, rotations := 1, 0
	want := map[string]string{"2025-12-31T00:00:00Z": "1"}
	row := func() string {
		rows++
		at := time.Date(2026, 1, 1, 0, rows/3, 0, 0, time.UTC) // three rows of a minute
		value := fmt.Sprint(rows)
		want[at.Add(time.Duration(rows%3)*time.Second).Format("2006-01-02T15:04:05Z07:00")] = value
		return at.Add(time.Duration(rows%3)*time.Second).Format("2006-01-02T15:04:05,") + value + "\n"
	}
	for range *followKills {
		cmd := exec.Command(program(t), "import", "--follow", log, "--mapping", "probe")
		cmd.Env = env
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		end := time.Now().Add(time.Duration(random.IntN(900)) * time.Millisecond)
		for time.Now().Before(end) {
			switch line := row(); random.IntN(25) {
			case 0: // in two halves
				write(line[:len(line)/2])
				time.Sleep(time.Duration(random.IntN(30)) * time.Millisecond)
				write(line[len(line)/2:])
			case 1: // rotated, with a header or without
				if random.IntN(2) == 0 { // its last line is not ended
					line = strings.TrimSuffix(line, "\n")
				}
				write(line)
				rotations++
				if err := os.Rename(log, fmt.Sprintf("%s.%d", log, rotations)); err != nil {
					t.Fatal(err)
				}
				if random.IntN(2) == 0 {
					write("when,mV\n")
				}
				write(row())
			default:
				write(line)
			}
			time.Sleep(time.Duration(random.IntN(20)) * time.Millisecond)
		}
		if err := cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		_ = cmd.Wait()
	}
	cmd := exec.Command(program(t), "import", "--follow", log, "--mapping", "probe")
	cmd.Env = env
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
	var got []struct{ Time, Value string }
	for limit := time.Now().Add(time.Minute); len(got) < len(want) &&
		time.Now().Before(limit); time.Sleep(50 * time.Millisecond) {
		if err := json.Unmarshal(leadline("readings", "potential", "--json"), &got); err != nil {
			t.Fatal(err)
		}
	}
	for _, r := range got {
		if want[r.Time] != r.Value {
			t.Errorf("the book has %s of %s, want %q", r.Value, r.Time, want[r.Time])
		}
		delete(want, r.Time)
	}
	if len(want) > 0 {
		t.Errorf("%d of %d rows are not in the book, such as %v", len(want), rows, want)
	}
	t.Logf("%d rows, %d rotations, %d kills", rows, rotations, *followKills)
}

// What is refused of a followed file is told once, and counted as it is told; after a new start only how much it is.
func TestFollowTellsOnce(t *testing.T) {
	folder := t.TempDir()
	log, said := filepath.Join(folder, "probe.csv"), filepath.Join(folder, "said.txt")
	env := append(os.Environ(), "LEADLINE_BOOK="+filepath.Join(folder, "my.book"),
		"LEADLINE_CONFIG="+filepath.Join(folder, "config.toml"))
	write := func(path, text string) {
		t.Helper()
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	run := func(do func(sees func(text string))) (all string) {
		t.Helper()
		out, err := os.Create(said)
		if err != nil {
			t.Fatal(err)
		}
		defer out.Close()
		cmd := exec.Command(program(t), "import", "--follow", log, "--tank", "forereef", "--parameter", "nitrate")
		cmd.Env, cmd.Stdout, cmd.Stderr = env, out, out
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		defer func() { _ = cmd.Process.Kill(); _ = cmd.Wait() }()
		do(func(text string) {
			t.Helper()
			for limit := time.Now().Add(time.Minute); !strings.Contains(all, text); time.Sleep(20 * time.Millisecond) {
				b, err := os.ReadFile(said)
				if all = string(b); err != nil || time.Now().After(limit) {
					t.Fatalf("does not say %q but\n%s", text, all)
				}
			}
		})
		return all
	}
	write(filepath.Join(folder, "config.toml"), "")
	write(log, "time,value\n2026-01-01T00:00Z,4\n2026-01-01T00:01Z,x\n2026-01-01T00:02Z\n")
	all := run(func(sees func(text string)) {
		sees("1 added (1 reading), 0 there already, 2 left out")
		sees("the row has 1 field")
		if err := os.Rename(log, log+".1"); err != nil {
			t.Fatal(err)
		}
		write(log, "time,value\n2026-01-01T00:03Z,5\n2026-01-01T00:04Z,y\n")
		sees(`"y" is not a number`)
	})
	if strings.Count(all, `"x" is not a number`) != 1 {
		t.Errorf("one refusal is told more than once:\n%s", all)
	}
	all = run(func(sees func(text string)) {
		sees("probe.csv.1: 2 lines are refused, and all others are in the book")
		sees("probe.csv: 1 line is refused, and all others are in the book")
		write(log, "time,value\n2026-01-01T00:03Z,5\n2026-01-01T00:04Z,y\n2026-01-01T00:05Z,z\n")
		sees(`probe.csv:4: column value: "z" is not a number`)
	})
	if strings.Contains(all, `"x"`) || strings.Contains(all, `"y"`) {
		t.Errorf("what a run before told is told again:\n%s", all)
	}
}
