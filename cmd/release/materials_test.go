package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
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
	return bom
}

func TestBillOfMaterials(t *testing.T) {
	b := fakeBinary("amd64")
	b.modules = []debug.Module{{Path: "go.etcd.io/bbolt", Version: "v1.5.0", Sum: "h1:x"}}
	text, err := billOfMaterials(b, []byte("a program"))
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
	again, err := billOfMaterials(b, []byte("a program"))
	if err != nil || !bytes.Equal(text, again) {
		t.Errorf("two bills of one binary differ (%v)", err)
	}
}
