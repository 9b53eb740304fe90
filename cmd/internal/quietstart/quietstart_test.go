package quietstart

import (
	"go/parser"
	"go/token"
	"os"
	"testing"
)

// TestSilentUntilRestored: from initialisation on the terminal is dumb, and Restore brings back what was there.
func TestSilentUntilRestored(t *testing.T) {
	if got := os.Getenv("TERM"); got != "dumb" {
		t.Fatalf("TERM is %q after initialisation, want dumb", got)
	}
	Restore()
	got, ok := os.LookupEnv("TERM")
	if got != term || ok != known {
		t.Errorf("after Restore TERM is %q (set: %v), want %q (set: %v)", got, ok, term, known)
	}
}

// TestImportsOnlyOS holds the reason why this package is initialised early enough.
func TestImportsOnlyOS(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "quietstart.go", nil, parser.ImportsOnly)
	if err != nil {
		t.Fatal(err)
	}
	if len(f.Imports) != 1 || f.Imports[0].Path.Value != `"os"` {
		t.Errorf("imports %v, want only os", f.Imports)
	}
}
