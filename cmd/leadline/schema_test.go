package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
)

// TestSchemas validates what every command prints with --json against its published schema.
func TestSchemas(t *testing.T) {
	now := func() time.Time { return time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC) }
	folder := t.TempDir()
	book := filepath.Join(folder, "demo.book")
	if _, err := (&app{now: now}).demoBook(book); err != nil {
		t.Fatal(err)
	}
	file := importFile(t, 0, 3)
	prints := func(line string) []byte {
		t.Helper()
		var out, errOut bytes.Buffer
		env := func(name string) string { return map[string]string{"LEADLINE_BOOK": book}[name] }
		if code := run(context.Background(), strings.Split(line, "|"), strings.NewReader(""), &out, &errOut, env, now); code != 0 {
			t.Fatalf("%s: exit code %d: %s", line, code, errOut.String())
		}
		return out.Bytes()
	}
	other := filepath.Join(folder, "other.book")
	if _, err := (&app{now: now}).demoBook(other); err != nil {
		t.Fatal(err)
	}
	otherBook, err := logbook.Open(other)
	if err != nil {
		t.Fatal(err)
	}
	twin := logbook.Reading{Time: now().Add(time.Minute), Tank: "forereef", Parameter: "nitrate", Text: "7", Unit: "mg/L", Value: 7}
	if _, err := otherBook.Append(twin, logbook.Tank{Name: "lagoon", VolumeL: 1}); err != nil {
		t.Fatal(err)
	}
	var added []struct {
		ID string `json:"id"`
	}
	if err := json.Unmarshal(prints("add|nitrate=7|--tank|forereef|--json"), &added); err != nil || len(added) != 1 {
		t.Fatalf("add: %v, %v", err, added)
	}
	lines := map[string][]string{
		"status":       {"status"},
		"trend":        {"trend|po4|--tank|forereef", "trend|boron|--tank|forereef", "trend|no3|--tank|lagoon|--as-of|2025-10-01"},
		"hindcast":     {"hindcast|po4|--all-tanks"},
		"demand":       {"demand|alkalinity|--tank|forereef", "demand|boron|--tank|lagoon", "demand|no3|--all-tanks|--hindcast"},
		"alerts":       {"alerts", "alerts|--all|--as-of|2026-06-01"},
		"changed":      {"changed|--around|2026-01-17|--tank|forereef"},
		"readings":     {"readings|no3|--tank|lagoon"},
		"plan":         {"plan|alkalinity|--to|8|--supplement|soda ash|--tank|forereef"},
		"what-if":      {"what-if|phosphate|--tank|forereef|--dosing|0.001"},
		"salinity":     {"salinity|--sg|1.0264|--reference|25/25"},
		"volume":       {"volume|alkalinity|--dose|500mL|--rise|9|--strength|10 mL raise 100 L by 1 dKH|--sd|0.1"},
		"chore list":   {"chore|list"},
		"stock list":   {"stock|list"},
		"method check": {"method|check|photometer-p"},
		"import":       {"import|" + file + "|--dry-run", "import|" + file + "|--preview"},
		"mapping list": {"mapping|list"},
		"merge":        {"merge|" + other + "|--dry-run", "merge|" + other},
		"strike":       {"strike|" + added[0].ID + "|--why|a slip"},
		"verify":       {"verify"},
		"version":      {"version"},
	}
	if got, want := slices.Sorted(maps.Keys(lines)), slices.Sorted(maps.Keys(shapes())); !slices.Equal(got, want) {
		t.Errorf("tried %v, published %v", got, want)
	}
	for name, commands := range lines {
		var schema map[string]any
		if err := json.Unmarshal(prints("schema|"+strings.ReplaceAll(name, " ", "|")), &schema); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, line := range commands {
			values := 0
			for d := json.NewDecoder(bytes.NewReader(prints(line + "|--json"))); d.More(); values++ {
				var v any
				if err := d.Decode(&v); err != nil {
					t.Fatalf("%s: %v", line, err)
				}
				if err := valid(schema, schema, v, "$"); err != nil {
					t.Errorf("%s: %v", line, err)
				}
			}
			if values == 0 {
				t.Errorf("%s prints nothing", line)
			}
		}
	}
}

// valid checks a value against the part of JSON Schema 2020-12 that schemaOf writes; any other keyword is an error.
func valid(root, schema map[string]any, v any, at string) error {
	for keyword, arg := range schema {
		switch keyword {
		case "$schema", "title", "$defs":
		case "$ref":
			def, ok := root["$defs"].(map[string]any)[strings.TrimPrefix(arg.(string), "#/$defs/")].(map[string]any)
			if !ok {
				return fmt.Errorf("%s: no definition %v", at, arg)
			}
			if err := valid(root, def, v, at); err != nil {
				return err
			}
		case "type":
			names, many := arg.([]any)
			if !many {
				names = []any{arg}
			}
			if !slices.ContainsFunc(names, func(n any) bool { return isOf(v, n.(string)) }) {
				return fmt.Errorf("%s: %v is no %v", at, v, arg)
			}
		case "format":
			if s, ok := v.(string); ok {
				if _, err := time.Parse(time.RFC3339, s); err != nil || arg != "date-time" {
					return fmt.Errorf("%s: %q is no %v", at, s, arg)
				}
			}
		case "anyOf":
			if !slices.ContainsFunc(arg.([]any), func(s any) bool { return valid(root, s.(map[string]any), v, at) == nil }) {
				return fmt.Errorf("%s: %v fits none of %v", at, v, arg)
			}
		case "items":
			list, _ := v.([]any)
			for i, item := range list {
				if err := valid(root, arg.(map[string]any), item, fmt.Sprintf("%s[%d]", at, i)); err != nil {
					return err
				}
			}
		case "required":
			object, _ := v.(map[string]any)
			for _, name := range arg.([]any) {
				if _, there := object[name.(string)]; !there {
					return fmt.Errorf("%s: no field %v", at, name)
				}
			}
		case "properties":
			object, _ := v.(map[string]any)
			for name, value := range object {
				s, known := arg.(map[string]any)[name].(map[string]any)
				if !known {
					return fmt.Errorf("%s: field %q is not published", at, name)
				}
				if err := valid(root, s, value, at+"."+name); err != nil {
					return err
				}
			}
		case "additionalProperties":
			object, _ := v.(map[string]any)
			for name, value := range object {
				if err := valid(root, arg.(map[string]any), value, at+"."+name); err != nil {
					return err
				}
			}
		default:
			return fmt.Errorf("%s: keyword %q", at, keyword)
		}
	}
	return nil
}

func isOf(v any, name string) bool {
	switch v := v.(type) {
	case nil:
		return name == "null"
	case bool:
		return name == "boolean"
	case string:
		return name == "string"
	case float64:
		return name == "number" || name == "integer" && v == float64(int64(v))
	case []any:
		return name == "array"
	default:
		return name == "object"
	}
}

// TestValid shows that the validator refuses what does not fit.
func TestValid(t *testing.T) {
	var schema map[string]any
	text, err := json.Marshal(schemaOf("status", statusJSON{}))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &schema); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{`null`, `[]`, `{}`, `{"as_of":null}`, `{"as_of":"noon","tanks":[]}`, `{"as_of":null,"tanks":null}`,
		`{"as_of":null,"tanks":[{}]}`, `{"as_of":null,"tanks":[],"more":1}`} {
		var v any
		if err := json.Unmarshal([]byte(bad), &v); err != nil {
			t.Fatal(err)
		}
		if valid(schema, schema, v, "$") == nil {
			t.Errorf("%s passes", bad)
		}
	}
}
