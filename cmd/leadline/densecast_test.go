package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// TestDenseLog reads three days of a probe that writes every half hour: answers rest on a few of its readings and say
// so, and a hindcast still has a line for every one.
func TestDenseLog(t *testing.T) {
	end := time.Date(2026, 3, 7, 7, 0, 0, 0, time.UTC)
	folder := t.TempDir()
	file := filepath.Join(folder, "probe.csv")
	rows := strings.Builder{}
	rows.WriteString("time,tank,parameter,value\n")
	const readings = 3 * 48
	for i := range readings {
		fmt.Fprintf(&rows, "%s,lagoon,temperature,%.1f\n",
			end.Add(time.Duration(i-readings+1)*30*time.Minute).Format(time.RFC3339), 25.3+0.1*float64(i%3))
	}
	if err := os.WriteFile(file, []byte(rows.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	runs := func(line string) (out, errOut string) {
		t.Helper()
		var o, e bytes.Buffer
		env := func(name string) string {
			return map[string]string{"LEADLINE_BOOK": filepath.Join(folder, "my.book")}[name]
		}
		if code := run(context.Background(), strings.Split(line, "|"), strings.NewReader(""), &o, &e, env, func() time.Time {
			return end
		}); code != 0 {
			t.Fatalf("%s: exit code %d: %s", line, code, e.String())
		}
		return o.String(), e.String()
	}
	runs("import|" + file)
	out, _ := runs("trend|temp")
	if !strings.Contains(out, "5 readings from") ||
		!strings.Contains(out, "chosen from a dense log (more than 12 readings a day)") {
		t.Errorf("trend says\n%s", out)
	}
	out, _ = runs("trend|temp|--json")
	var now struct {
		N       int  `json:"n"`
		Thinned bool `json:"thinned"`
	}
	if err := json.Unmarshal([]byte(out), &now); err != nil || now.N != 5 || !now.Thinned {
		t.Errorf("%v, %+v: of three days and a bit four readings, and the last", err, now)
	}
	if out, _ = runs("changed|--around|2026-03-06"); !strings.Contains(out,
		"one reading a day is compared of what a probe wrote: temperature") {
		t.Errorf("changed says\n%s", out)
	}
	for _, command := range []string{"hindcast|temp", "demand|temp|--hindcast"} {
		_, said := runs(command)
		if !strings.Contains(said, "note: temperature of lagoon is a dense log: of the days with more than 12 readings one "+
			"is told") {
			t.Errorf("%s says %q", command, said)
		}
		out, _ := runs(command + "|--json")
		lines := strings.Split(strings.TrimSpace(out), "\n")
		for i, line := range lines {
			var l struct {
				AsOf time.Time `json:"as_of"`
			}
			if err := json.Unmarshal([]byte(line), &l); err != nil ||
				!l.AsOf.Equal(end.Add(time.Duration(i-readings+1)*30*time.Minute)) {
				t.Fatalf("%s: line %d: %v, %s", command, i, err, line)
			}
		}
		if len(lines) != readings {
			t.Errorf("%s: %d lines of %d readings", command, len(lines), readings)
		}
		out, _ = runs(command + "|--json|--as-of|2026-03-05T12:00:00Z")
		if n := strings.Count(out, "\n"); n != 58 {
			t.Errorf("%s: %d lines up to the middle of the second day", command, n)
		}
	}
}
