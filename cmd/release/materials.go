package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"time"

	cdx "github.com/CycloneDX/cyclonedx-go"
)

// billOfMaterials says what a binary is made of, in CycloneDX 1.6: all of it read from the binary, and the licences by
// module.
func billOfMaterials(b binary, program []byte, licences map[string]string) ([]byte, error) {
	sum := sha256.Sum256(program)
	bom := cdx.NewBOM()
	bom.SpecVersion = cdx.SpecVersion1_6
	bom.JSONSchema = "http://cyclonedx.org/schema/bom-1.6.schema.json"
	u := [16]byte(sum[:16]) // a UUID of the version that is free to its maker (RFC 9562, version 8)
	u[6], u[8] = u[6]&0x0f|0x80, u[8]&0x3f|0x80
	bom.SerialNumber = fmt.Sprintf("urn:uuid:%x-%x-%x-%x-%x", u[:4], u[4:6], u[6:8], u[8:10], u[10:])
	module := func(path, version string) cdx.Component {
		url := "pkg:golang/" + path + "@" + version
		c := cdx.Component{BOMRef: url, Type: cdx.ComponentTypeLibrary, Name: path, Version: version, PackageURL: url}
		if licences[path] != "" {
			c.Licenses = &cdx.Licenses{{Expression: licences[path]}}
		}
		return c
	}
	main := module("leadline", b.version)
	main.Type = cdx.ComponentTypeApplication
	main.Description = "a logbook for the water of coral aquariums"
	main.Hashes = &[]cdx.Hash{{Algorithm: cdx.HashAlgoSHA256, Value: fmt.Sprintf("%x", sum)}}
	main.Properties = &[]cdx.Property{{Name: "target", Value: b.target.String()}, {Name: "revision", Value: b.revision}}
	bom.Metadata = &cdx.Metadata{Timestamp: b.time.Format(time.RFC3339), Component: &main}

	language := module("std", b.goes)
	language.Name, language.Description = "go", "the standard library and runtime of Go"
	components := []cdx.Component{language}
	parts := []string{language.BOMRef}
	for _, m := range b.modules {
		c := module(m.Path, m.Version)
		c.Properties = &[]cdx.Property{{Name: "go.sum", Value: m.Sum}}
		components = append(components, c)
		parts = append(parts, c.BOMRef)
	}
	bom.Components = &components
	bom.Dependencies = &[]cdx.Dependency{{Ref: main.BOMRef, Dependencies: &parts}}

	var out bytes.Buffer
	err := cdx.NewBOMEncoder(&out, cdx.BOMFileFormatJSON).SetPretty(true).SetEscapeHTML(false).EncodeVersion(bom,
		cdx.SpecVersion1_6)
	return out.Bytes(), err
}
