package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	bolt "go.etcd.io/bbolt"

	"leadline/logbook"
)

// bashCompletion is the package that cobra's script builds on, where systems keep it.
func bashCompletion(t *testing.T) string {
	t.Helper()
	if _, err := exec.LookPath("bash"); err != nil {
		t.Skip("needs bash")
	}
	for _, path := range []string{"/usr/share/bash-completion/bash_completion",
		"/usr/local/share/bash-completion/bash_completion",
		"/opt/homebrew/share/bash-completion/bash_completion", "/etc/bash_completion"} {
		if _, err := os.Stat(path); err == nil {
			return path
		}
	}
	t.Skip("needs the package bash-completion")
	return ""
}

// bashOffers is what a real bash offers when tab is pressed behind each row of words, the last of which is the one
// being typed.
func bashOffers(t *testing.T, book string, rows [][]string) [][]string {
	t.Helper()
	const script = `
compopt() { :; }   # bash allows it only while a person presses tab
source "$1"
source <(leadline completion bash)
while IFS= read -r row; do
	IFS='|' read -ra COMP_WORDS <<<"leadline|$row"
	[[ $row == *'|' ]] && COMP_WORDS+=("")
	COMP_CWORD=$((${#COMP_WORDS[@]} - 1))
	COMP_LINE="${COMP_WORDS[*]}"
	COMP_POINT=${#COMP_LINE}
	COMP_TYPE=9
	COMP_KEY=9
	COMPREPLY=()
	__start_leadline
	printf '%s\n' "${COMPREPLY[@]}" --end--
done
`
	var in, errOut strings.Builder
	for _, row := range rows {
		in.WriteString(strings.Join(row, "|") + "\n")
	}
	cmd := exec.Command("bash", "--norc", "-c", script, "bash", bashCompletion(t))
	cmd.Dir = t.TempDir()
	cmd.Env = append(os.Environ(), "PATH="+filepath.Dir(program(t))+":"+os.Getenv("PATH"), "LEADLINE_BOOK="+book)
	cmd.Stdin, cmd.Stderr = strings.NewReader(in.String()), &errOut
	out, err := cmd.Output()
	if err != nil || errOut.Len() > 0 {
		t.Fatalf("%v: %s", err, errOut.String())
	}
	if left, _ := os.ReadDir(cmd.Dir); len(left) > 0 {
		t.Errorf("completing ran something that left %v", left)
	}
	answers := strings.Split(strings.TrimSuffix(string(out), "--end--\n"), "--end--\n")
	if len(answers) != len(rows) {
		t.Fatalf("%d answers to %d rows: %s", len(answers), len(rows), out)
	}
	offers := make([][]string, len(rows))
	for i, answer := range answers {
		offers[i] = strings.FieldsFunc(strings.TrimSpace(answer), func(r rune) bool { return r == '\n' })
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
	_, err = book.Append(logbook.Tank{Name: "forereef"}, logbook.Tank{Name: "lagoon"},
		logbook.Tank{Name: "$(touch ran)`touch ran`"},
		logbook.Method{Name: "photometer-p", Parameter: "phosphate", Unit: "ppb P", Step: 1},
		logbook.Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: 100})
	if err != nil {
		t.Fatal(err)
	}
	return book
}

func TestBashCompletes(t *testing.T) {
	cases := []struct {
		words []string
		want  string // one of the offers, as it is put on the line
		n     int    // how many offers; 0: at least one
	}{
		{[]string{"wat"}, "water-change", 1},
		{[]string{"band", "cl"}, "clear", 1},
		{[]string{"status", "--tank", "la"}, "lagoon", 1},
		{[]string{"status", "--tank", ""}, "forereef", 3},
		{[]string{"status", "--tank=fo"}, "forereef", 1},
		{[]string{"trend", "phos"}, "phosphate", 1},
		{[]string{"add", "nitr"}, "nitrate=", 0},
		{[]string{"chart", "nitrate", "alk"}, "alkalinity", 1},
		{[]string{"add", "po4=9", "--method", "ph"}, "photometer-p", 1},
		{[]string{"method", "check", "ph"}, "photometer-p", 1},
		{[]string{"dosing", "alk=1", "--supplement", "so"}, `soda\ ash`, 1},
		{[]string{"add", "--no"}, "--note", 1},
		{[]string{"add", "--"}, "--unit", 0},
		{[]string{"export", "j"}, "jsonl", 1},
		{[]string{"status", ""}, "", 0},
	}
	var rows [][]string
	for _, c := range cases {
		rows = append(rows, c.words)
	}
	for i, offers := range bashOffers(t, completedBook(t).Path(), rows) {
		c := cases[i]
		names := make([]string, len(offers))
		for i, o := range offers {
			names[i] = strings.TrimSpace(strings.SplitN(o, "  ", 2)[0])
			if strings.HasPrefix(o, "--") && strings.ContainsAny(o, "`\x1b\t") {
				t.Errorf("%v: %q is not clean", c.words, o)
			}
		}
		if c.want == "" && len(names) > 0 || c.want != "" && !slices.Contains(names, c.want) || c.n > 0 && len(names) != c.n {
			t.Errorf("%v: %q, want %q", c.words, offers, c.want)
		}
	}
}

// TestCompletionWithoutBook: a book that is missing, damaged or held by another process offers nothing from it,
// silently.
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
	for name, env := range map[string]string{"missing": "LEADLINE_BOOK=" + filepath.Join(t.TempDir(), "no.book"),
		"damaged": "LEADLINE_BOOK=" + damaged,
		"held":    "LEADLINE_BOOK=" + book.Path(), "broken settings": "LEADLINE_CONFIG=" + settings} {
		for _, c := range []struct {
			args []string
			want string
		}{{[]string{"status", "--tank", ""}, ""}, {[]string{"trend", "phos"}, "phosphate"}, {[]string{"stat"}, "status"}} {
			cmd := exec.Command(path, append([]string{"__completeNoDesc"}, c.args...)...)
			cmd.Env = append(os.Environ(), "LEADLINE_BOOK=", "XDG_DATA_HOME="+t.TempDir(), env)
			out, err := cmd.Output()
			offers, _, _ := strings.Cut(string(out), ":")
			if err != nil || c.want == "" && strings.TrimSpace(offers) != "" || !strings.Contains(offers, c.want) {
				t.Errorf("%s: %v: %v, %q", name, c.args, err, out)
			}
			if out, _ := exec.Command(path, "version").CombinedOutput(); strings.Contains(string(out), "warning") {
				t.Errorf("%s", out)
			}
		}
	}
}
