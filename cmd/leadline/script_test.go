package main

import (
	"context"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/adrg/xdg"
	"github.com/rogpeppe/go-internal/testscript"
	bolt "go.etcd.io/bbolt"

	"leadline/cmd/internal/quietstart"
	"leadline/testdata/server"
)

// testNow is the clock of the scripts; NOW overrides it.
const testNow = "2026-03-07T09:10:00+13:00"

func TestMain(m *testing.M) {
	server.BeOne()
	quietstart.Restore()
	testscript.Main(inOwnFolder{m}, map[string]func(){
		"leadline": func() {
			now := func() time.Time {
				text := testNow
				if set := os.Getenv("NOW"); set != "" {
					text = set
				}
				when, err := time.Parse(time.RFC3339, text)
				if err != nil {
					panic(err)
				}
				return when
			}
			os.Exit(run(context.Background(), os.Args[1:], os.Stdin, os.Stdout, os.Stderr, os.Getenv, now))
		},
	})
}

// testFolder holds what the tests share: the built program, and no settings.
var testFolder string

// inOwnFolder runs the tests with a folder of theirs, which is removed at the end. The file of settings of whoever runs
// them is kept out; a script has a home of its own.
type inOwnFolder struct{ *testing.M }

func (m inOwnFolder) Run() int {
	var err error
	if testFolder, err = os.MkdirTemp("", "leadline-test-*"); err != nil {
		panic(err)
	}
	defer func() { _ = os.RemoveAll(testFolder) }()
	for name, value := range map[string]string{"XDG_CONFIG_HOME": filepath.Join(testFolder, "config"),
		"LEADLINE_CONFIG": "", "LEADLINE_TANK": "",
		"XDG_STATE_HOME": filepath.Join(os.DevNull, "none")} {
		if err := os.Setenv(name, value); err != nil {
			panic(err)
		}
	}
	xdg.Reload()
	return m.M.Run()
}

// TestScripts runs every script of testdata. They check results, messages and exit codes of whole commands.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata",
		UpdateScripts: os.Getenv("UPDATE_SCRIPTS") != "",
		Setup: func(env *testscript.Env) error {
			env.Setenv("HOME", filepath.Join(env.WorkDir, "home"))
			env.Setenv("XDG_DATA_HOME", "")
			env.Setenv("LEADLINE_BOOK", filepath.Join(env.WorkDir, "my.book"))
			env.Setenv("TZ", "UTC")
			env.Setenv("USER", "keeper")
			sheets, err := filepath.Abs("../../logbook/sheet/testdata")
			env.Setenv("SHEETS", sheets)
			return err
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"ends":    ends,
			"printf":  printFile,
			"tail0":   cutShort,
			"plain":   plainText,
			"oneline": oneLineOfStderr,
			"newer":   makeNewer,
			"server":  runServer(t),
		},
	})
}

// runServer makes the command server, which starts a server of streams and puts its address into $SERVER; server stop
// stops it, and server again starts it again.
func runServer(t *testing.T) func(ts *testscript.TestScript, neg bool, args []string) {
	running := map[string]*server.Server{}
	var mu sync.Mutex
	return func(ts *testscript.TestScript, neg bool, args []string) {
		mu.Lock()
		defer mu.Unlock()
		at := ts.Getenv("WORK")
		switch {
		case len(args) == 0:
			running[at] = server.New(t, "").Start()
			ts.Setenv("SERVER", running[at].URL())
		case args[0] == "stop":
			running[at].Stop()
		case args[0] == "again":
			running[at].Start()
		}
	}
}

// ends CODE COMMAND... runs a command that must end with the exit code.
func ends(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: ends CODE COMMAND...")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		got = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

// printf FILE TEXT writes the text, with Go's escapes read, into a file.
func printFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: printf FILE TEXT")
	}
	text, err := strconv.Unquote(`"` + strings.ReplaceAll(args[1], `"`, `\"`) + `"`)
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o600))
}

// tail0 FILE BYTES cuts a file to its first bytes.
func cutShort(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: tail0 FILE BYTES")
	}
	n, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	ts.Check(os.Truncate(ts.MkAbs(args[0]), n))
}

// plainText stdout|stderr|FILE fails on anything that a terminal could take for a command or that turns the direction
// of writing.
func plainText(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) == 0 {
		ts.Fatalf("usage: plain stdout|stderr|FILE...")
	}
	for _, name := range args {
		for i, r := range ts.ReadFile(name) {
			if bad := (r < ' ' && r != '\n') || (r >= 0x7f && r < 0xa0) || r == 0x200e || r == 0x200f ||
				(r >= 0x202a && r <= 0x202e) || (r >= 0x2066 && r <= 0x2069); bad {
				ts.Fatalf("%s holds %U at byte %d", name, r, i)
			}
		}
	}
}

// oneline fails unless stderr is one line, or one line and a hint, without a stack trace.
func oneLineOfStderr(ts *testscript.TestScript, neg bool, args []string) {
	text := ts.ReadFile("stderr")
	lines := strings.Split(strings.TrimSuffix(text, "\n"), "\n")
	if text == "" || len(lines) > 2 || (len(lines) == 2 && !strings.HasPrefix(lines[1], "hint: ")) ||
		strings.Contains(text, "goroutine") {
		ts.Fatalf("stderr is not one clear line:\n%s", text)
	}
}

// newer FILE gives a book the number of a layout that no program knows yet. It writes the field as logbook's layout.go
// draws it, since the package itself never writes such a book.
func makeNewer(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: newer FILE")
	}
	db, err := bolt.Open(ts.MkAbs(args[0]), 0o600, nil)
	ts.Check(err)
	key, value := []byte("schema"), binary.AppendUvarint(nil, 999)
	table := crc32.MakeTable(crc32.Castagnoli)
	sum := crc32.Update(crc32.Update(0, table, key), table, value)
	err = db.Update(func(tx *bolt.Tx) error {
		return tx.Bucket([]byte("meta")).Put(key, binary.BigEndian.AppendUint32(value, sum))
	})
	ts.Check(err)
	ts.Check(db.Close())
}
