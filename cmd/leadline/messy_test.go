package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"leadline/cmd/internal/usage"
)

// Tables as spreadsheets leave them are imported as they are; see testdata/messy/README. A second import of them adds
// nothing, and neither does one of what the book exports.
func TestMessyTables(t *testing.T) {
	cases, err := filepath.Glob("../../testdata/messy/*.txt")
	if err != nil || len(cases) < 12 {
		t.Fatalf("%d tables, %v", len(cases), err)
	}
	messy, err := filepath.Abs("../../testdata/messy")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range cases {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		first, want, _ := strings.Cut(string(text), "\n")
		command := strings.Fields(first)
		t.Run(command[1], func(t *testing.T) {
			t.Chdir(messy)
			folder := t.TempDir()
			env := func(name string) string {
				return map[string]string{"LEADLINE_BOOK": filepath.Join(folder, "messy.book")}[name]
			}
			do := func(args ...string) string {
				var out bytes.Buffer
				if code := run(context.Background(), args, strings.NewReader(""), &out, &out, env, func() time.Time {
					return typedNow.AddDate(0, 1, 0)
				}); code != usage.ExitDone {
					t.Errorf("%v ends with %d", args, code)
				}
				return strings.ReplaceAll(out.String(), "\r\n", "\n")
			}
			left := ""
			for i, arg := range command {
				if arg == "left.csv" {
					left = filepath.Join(folder, arg)
					command[i] = left
				}
			}
			got := strings.ReplaceAll(do(command...), folder+string(filepath.Separator), "") + "\n" + do("export", "csv")
			if left != "" {
				listed, err := os.ReadFile(left)
				if err != nil {
					t.Fatal(err)
				}
				got += "\n" + string(listed)
				if err := os.Remove(left); err != nil {
					t.Fatal(err)
				}
			}
			if got != want {
				t.Errorf("got\n%s\nwant\n%s", got, want)
			}
			for _, args := range [][]string{command, {"import", filepath.Join(folder, "own.csv")},
				{"import", filepath.Join(folder, "wide.csv"), "--tank", "lagoon"}} {
				if args[0] == "import" && args[1] != command[1] {
					form := map[string][]string{"own.csv": nil, "wide.csv": {"--wide"}}[filepath.Base(args[1])]
					do(append([]string{"export", "csv", "-o", args[1]}, form...)...)
				}
				if again := do(args...); !strings.Contains(again, "\n0 added") && !strings.HasPrefix(again, "0 added") {
					t.Errorf("%v: %s", args, again)
				}
			}
		})
	}
}
