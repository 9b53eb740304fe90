package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"testing"

	cdx "github.com/CycloneDX/cyclonedx-go"
	"github.com/santhosh-tekuri/jsonschema/v6"
)

// checkMaterials reads a bill with the library's decoder, and holds it to the published schema, which the library
// carries among its sources.
func checkMaterials(t *testing.T, text []byte) *cdx.BOM {
	t.Helper()
	bom := new(cdx.BOM)
	if err := cdx.NewBOMDecoder(bytes.NewReader(text), cdx.BOMFileFormatJSON).Decode(bom); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", "github.com/CycloneDX/cyclonedx-go").Output()
	if err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(strings.TrimSpace(string(out)), "schema")
	compiler := jsonschema.NewCompiler()
	for name, path := range map[string]string{"bom-1.6.schema.json": "bom-1.6.schema.json",
		"spdx.schema.json": "spdx.schema.json", "jsf-0.82.schema.json": "jsf-0.82.schemax.json"} {
		data, err := os.ReadFile(filepath.Join(folder, path))
		if os.IsNotExist(err) {
			data, err = os.ReadFile(filepath.Join(folder, name))
		}
		if err != nil {
			t.Skipf("the schema is not among the library's sources: %v", err)
		}
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := compiler.AddResource("http://cyclonedx.org/schema/"+name, doc); err != nil {
			t.Fatal(err)
		}
	}
	schema, err := compiler.Compile("http://cyclonedx.org/schema/bom-1.6.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(doc); err != nil {
		t.Errorf("%v", err)
	}
	checkAdvisories(t, bom)
	return bom
}

// checkAdvisories holds a bill to what was once found wrong in a module of it: the program needs no network to see that
// it is not there again. What is new is for govulncheck.
func checkAdvisories(t *testing.T, bom *cdx.BOM) {
	t.Helper()
	for _, once := range []struct{ module, fixed, what string }{
		{"golang.org/x/image", "v0.43.0", "GO-2026-4962, and two of its reader of TIFF"},
		{"github.com/mattn/go-runewidth", "v0.0.30", "24 ms and more at every start, mattn/go-runewidth#104"},
	} {
		for _, c := range *bom.Components {
			if c.Name == once.module && !atLeast(c.Version, once.fixed) {
				t.Errorf("%s %s is older than %s: %s", c.Name, c.Version, once.fixed, once.what)
			}
		}
	}
}

// atLeast compares two versions of the form v1.2.3.
func atLeast(version, least string) bool {
	numbers := func(text string) []int {
		n := make([]int, 3)
		if _, err := fmt.Sscanf(text, "v%d.%d.%d", &n[0], &n[1], &n[2]); err != nil {
			return nil
		}
		return n
	}
	return slices.Compare(numbers(version), numbers(least)) >= 0
}

// TestModulesHaveNoAdvisory looks at the modules that a release would be made of today.
func TestModulesHaveNoAdvisory(t *testing.T) {
	out, err := exec.Command("go", "list", "-deps", "-f",
		"{{with .Module}}{{if .Version}}{{.Path}} {{.Version}}{{end}}{{end}}",
		"../leadline").Output()
	if err != nil {
		t.Fatal(err)
	}
	b := fakeBinary("amd64")
	for line := range strings.Lines(string(out)) {
		path, version, _ := strings.Cut(strings.TrimSpace(line), " ")
		if m := (debug.Module{Path: path, Version: version}); path != "" && !slices.Contains(b.modules, m) {
			b.modules = append(b.modules, m)
		}
	}
	if len(b.modules) < 20 {
		t.Fatalf("only %v", b.modules)
	}
	_, licences, err := noticesOf(context.Background(), b, "../..")
	if err != nil {
		t.Fatal(err)
	}
	text, err := billOfMaterials(b, []byte("a program"), licences)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range *checkMaterials(t, text).Components {
		if c.Licenses == nil {
			t.Errorf("%s has no licence", c.Name)
		}
	}
	for module, want := range map[string]string{"leadline": "MIT", "std": "BSD-3-Clause",
		"codeberg.org/go-fonts/liberation": "BSD-3-Clause AND OFL-1.1",
		"github.com/golang/freetype":       "FTL OR GPL-2.0-or-later"} {
		if licences[module] != want {
			t.Errorf("%s: %q, want %s", module, licences[module], want)
		}
	}
	if atLeast("v0.42.9", "v0.43.0") || !atLeast("v0.43.0", "v0.43.0") || !atLeast("v1.0.0", "v0.43.0") {
		t.Error("versions are compared wrong")
	}
}

func TestBillOfMaterials(t *testing.T) {
	b := fakeBinary("amd64")
	b.modules = []debug.Module{{Path: "go.etcd.io/bbolt", Version: "v1.5.0", Sum: "h1:x"}}
	text, err := billOfMaterials(b, []byte("a program"), map[string]string{"std": "BSD-3-Clause"})
	if err != nil {
		t.Fatal(err)
	}
	bom := checkMaterials(t, text)
	components := *bom.Components
	if len(components) != 2 || components[0].Name != "go" ||
		components[1].PackageURL != "pkg:golang/go.etcd.io/bbolt@v1.5.0" {
		t.Errorf("%+v", components)
	}
	// The sum of "a program", by sha256sum of GNU coreutils.
	const sum = "d69ea8cda2433733c1ce02de65da8f48e6a3dbba6bb18876a2062908e54ef7cb"
	if hashes := *bom.Metadata.Component.Hashes; hashes[0].Value != sum {
		t.Errorf("%v", hashes)
	}
	again, err := billOfMaterials(b, []byte("a program"), map[string]string{"std": "BSD-3-Clause"})
	if err != nil || !bytes.Equal(text, again) {
		t.Errorf("two bills of one binary differ (%v)", err)
	}
}
