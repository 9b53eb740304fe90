package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	bolt "go.etcd.io/bbolt"

	"leadline/logbook"
)

// bashCompletion is the package that cobra's script builds on, where systems keep it.
func bashCompletion(t *testing.T) string {
	t.Helper()
	if _, err := exec.LookPath("bash"); err != nil {
		t.Skip("needs bash")
	}
	for _, path := range []string{"/usr/share/bash-completion/bash_completion", "/usr/local/share/bash-completion/bash_completion",
		"/opt/homebrew/share/bash-completion/bash_completion", "/etc/bash_completion"} {
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	t.Skip("needs the package bash-completion")
	return ""
}

// bashOffers is what a real bash offers when tab is pressed behind the words; the last one is the one being typed.
func bashOffers(t *testing.T, book string, words ...string) []string {
	t.Helper()
	const script = `
compopt() { :; }   # bash allows it only while a person presses tab
source "$1"; shift
source <(leadline completion bash)
COMP_WORDS=("$@")
COMP_CWORD=$(($# - 1))
COMP_LINE="$*"
COMP_POINT=${#COMP_LINE}
COMP_TYPE=9
COMP_KEY=9
__start_leadline
printf '%s\n' "${COMPREPLY[@]}"
`
	cmd := exec.Command("bash", append([]string{"--norc", "-c", script, "bash", bashCompletion(t), "leadline"}, words...)...)
	cmd.Dir = t.TempDir()
	cmd.Env = append(os.Environ(), "PATH="+filepath.Dir(program(t))+":"+os.Getenv("PATH"), "LEADLINE_BOOK="+book)
	var errOut strings.Builder
	cmd.Stderr = &errOut
	out, err := cmd.Output()
	if err != nil || errOut.Len() > 0 {
		t.Errorf("%v: %v: %s", words, err, errOut.String())
	}
	if left, _ := os.ReadDir(cmd.Dir); len(left) > 0 {
		t.Errorf("%v: completing ran something that left %v", words, left)
	}
	var offers []string
	for line := range strings.Lines(string(out)) {
		if line = strings.TrimSpace(line); line != "" {
			offers = append(offers, line)
		}
	}
	return offers
}

// completedBook has names that need quoting, and one that a careless script would run.
func completedBook(t *testing.T) *logbook.Book {
	t.Helper()
	book, err := logbook.Create(filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	_, err = book.Append(logbook.Tank{Name: "forereef"}, logbook.Tank{Name: "lagoon"}, logbook.Tank{Name: "$(touch ran)`touch ran`"},
		logbook.Method{Name: "photometer-p", Parameter: "phosphate", Unit: "ppb P", Step: 1},
		logbook.Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: 100})
	if err != nil {
		t.Fatal(err)
	}
	return book
}

func TestBashCompletes(t *testing.T) {
	book := completedBook(t).Path()
	for _, c := range []struct {
		words []string
		want  string // one of the offers, as it is put on the line
		only  bool
	}{
		{[]string{"wat"}, "water-change", true},
		{[]string{"band", "cl"}, "clear", true},
		{[]string{"status", "--tank", "la"}, "lagoon", true},
		{[]string{"status", "--tank=fo"}, "forereef", false},
		{[]string{"trend", "phos"}, "phosphate", true},
		{[]string{"add", "nitr"}, "nitrate=", false},
		{[]string{"chart", "nitrate", "alk"}, "alkalinity", true},
		{[]string{"add", "po4=9", "--method", "ph"}, "photometer-p", true},
		{[]string{"method", "check", "ph"}, "photometer-p", true},
		{[]string{"dosing", "alk=1", "--supplement", "so"}, `soda\ ash`, true},
		{[]string{"add", "--no"}, "--note", true},
		{[]string{"export", "j"}, "jsonl", true},
		{[]string{"schema", "st"}, "", false},
	} {
		offers := bashOffers(t, book, c.words...)
		names := make([]string, len(offers))
		for i, o := range offers {
			names[i] = strings.TrimSpace(strings.SplitN(o, "  ", 2)[0])
			if strings.ContainsAny(o, "`\x1b\t") {
				t.Errorf("%v: %q is not clean", c.words, o)
			}
		}
		if c.want != "" && !slices.Contains(names, c.want) || c.only && len(names) != 1 {
			t.Errorf("%v: %q, want %q", c.words, offers, c.want)
		}
	}
	if offers := bashOffers(t, book, "status", "--tank", ""); len(offers) != 3 {
		t.Errorf("tanks: %q", offers)
	}
	if offers := bashOffers(t, book, "status", ""); len(offers) > 0 {
		t.Errorf("status takes no argument, and %q is offered", offers)
	}
}

// TestCompletionWithoutBook: a book that is missing, damaged or held by another process offers nothing from it, silently
// and at once.
func TestCompletionWithoutBook(t *testing.T) {
	path := program(t)
	book := completedBook(t)
	damaged := filepath.Join(t.TempDir(), "damaged.book")
	if err := os.WriteFile(damaged, []byte(strings.Repeat("no book ", 5000)), 0o600); err != nil {
		t.Fatal(err)
	}
	held, err := bolt.Open(book.Path(), 0o600, nil) // locks the file
	if err != nil {
		t.Fatal(err)
	}
	defer held.Close()
	settings := filepath.Join(t.TempDir(), "config.toml")
	if err := os.WriteFile(settings, []byte("book ="), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, env := range map[string]string{"missing": "LEADLINE_BOOK=" + filepath.Join(t.TempDir(), "no.book"), "damaged": "LEADLINE_BOOK=" + damaged,
		"held": "LEADLINE_BOOK=" + book.Path(), "broken settings": "LEADLINE_CONFIG=" + settings} {
		for _, c := range []struct {
			args []string
			want string
		}{{[]string{"status", "--tank", ""}, ""}, {[]string{"trend", "phos"}, "phosphate"}, {[]string{"stat"}, "status"}} {
			cmd := exec.Command(path, append([]string{"__completeNoDesc"}, c.args...)...)
			cmd.Env = append(os.Environ(), "LEADLINE_BOOK=", "XDG_DATA_HOME="+t.TempDir(), env)
			began := time.Now()
			out, err := cmd.Output()
			took := time.Since(began)
			offers, _, _ := strings.Cut(string(out), ":")
			if err != nil || c.want == "" && strings.TrimSpace(offers) != "" || !strings.Contains(offers, c.want) {
				t.Errorf("%s: %v: %v, %q", name, c.args, err, out)
			}
			if took > time.Second {
				t.Errorf("%s: %v took %v", name, c.args, took)
			}
			if out, _ := exec.Command(path, "version").CombinedOutput(); strings.Contains(string(out), "warning") {
				t.Errorf("%s", out)
			}
		}
	}
}
