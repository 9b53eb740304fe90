package main

import (
	"bytes"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

var updateSentences = flag.Bool("update-sentences", false, "write what the program can say into testdata/sentences.txt")

// words is two words or more of running text, not a path, a tag or a template.
var words = regexp.MustCompile(`[\pL%][\pL\d'’,.:;)]* [\pL\d(%"]`)

// What the program can say stands in one file, so that a change of words is read like a text.
func TestSentences(t *testing.T) {
	const golden = "../../testdata/sentences.txt"
	var said bytes.Buffer
	for _, room := range []string{"logbook", "trend", "alerts", "tui", "cmd"} {
		err := filepath.WalkDir(filepath.Join("../..", room), func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") ||
				strings.Contains(path, "cmd/release") {
				return err
			}
			if lines := sentencesOf(t, path); len(lines) > 0 {
				fmt.Fprintf(&said, "## %s\n\n%s\n\n", strings.TrimPrefix(filepath.ToSlash(path), "../../"),
					strings.Join(lines, "\n"))
			}
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	if *updateSentences {
		if err := os.WriteFile(golden, said.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if got := said.Bytes(); !bytes.Equal(got, bytes.ReplaceAll(want, []byte("\r\n"), []byte("\n"))) {
		t.Errorf("%s is not what the program says; go test ./cmd/leadline -run TestSentences -update-sentences writes it: "+
			"read the change", golden)
	}
	help, err := os.ReadFile("../internal/usage/help.txt") // a text of its own, which is read as it stands
	if err != nil {
		t.Fatal(err)
	}
	said.Write(help)
	for _, phrase := range []string{"as likely as not", "one chance in ten", "takes no value that cannot be",
		"is described in 0 ways", "mend it", "was never noted",
		"is far from what", "Keep and carry", "Reckon:"} {
		if bytes.Contains(said.Bytes(), []byte(phrase)) {
			t.Errorf("%q is said again", phrase)
		}
	}
}

// sentencesOf are the texts of a file that hold running words, in their order. Those of a panic are for programmers.
func sentencesOf(t *testing.T, path string) (lines []string) {
	t.Helper()
	file, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.SkipObjectResolution)
	if err != nil {
		t.Fatal(err)
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.Field: // its tag is no text
			return false
		case *ast.CallExpr:
			if name, is := n.Fun.(*ast.Ident); is && name.Name == "panic" {
				return false
			}
		case ast.Expr:
			text, is := literal(n)
			if is && words.MatchString(text) && !slices.Contains(lines, text) {
				lines = append(lines, strings.TrimSpace(text))
			}
			return !is
		}
		return true
	})
	return lines
}

// literal is a text written in one piece or, over several lines, in pieces.
func literal(n ast.Expr) (text string, is bool) {
	switch n := n.(type) {
	case *ast.BasicLit:
		text, err := strconv.Unquote(n.Value)
		return text, n.Kind == token.STRING && err == nil
	case *ast.BinaryExpr:
		a, first := literal(n.X)
		b, second := literal(n.Y)
		return a + b, first && second && n.Op == token.ADD
	}
	return "", false
}
