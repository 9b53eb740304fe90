package main

import (
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// shapes are what --json prints, by command; of hindcast and of demand --hindcast it is one line.
func shapes() map[string]any {
	return map[string]any{
		"status": statusJSON{}, "trend": assessmentJSON{}, "hindcast": assessmentJSON{}, "demand": demandJSON{},
		"alerts": []alertJSON{}, "changed": changedJSON{}, "readings": []readingJSON{}, "plan": planJSON{},
		"what-if": whatIfJSON{}, "salinity": salinityJSON{}, "volume": volumeJSON{}, "chore list": []choreJSON{}, "stock list": []stockJSON{},
		"method check": []repeatJSON{}, "import": importedJSON{}, "mapping list": []mappingJSON{}, "merge": mergedJSON{}, "strike": strikeJSON{}, "verify": verifyJSON{}, "version": versionJSON{},
	}
}

func newSchema(a *app) *cobra.Command {
	names := slices.Sorted(maps.Keys(shapes()))
	return &cobra.Command{
		Use:   "schema COMMAND",
		Short: "the JSON Schema of what a command prints with --json",
		Long: `The JSON Schema (draft 2020-12) of what a command prints with --json: one of
` + strings.Join(names, ", ") + `.
Fields may be added later, never renamed or dropped. What is unknown is null.`,
		Example: `  # for a script that checks what it reads
  leadline schema status > status.schema.json

  # of one line of the hindcast
  leadline schema hindcast`,
		Args:      cobra.MinimumNArgs(1),
		ValidArgs: names,
		RunE: func(_ *cobra.Command, args []string) error {
			name := strings.Join(args, " ")
			shape, ok := shapes()[name]
			if !ok {
				return usagef(didYouMean(name, names, "one of "+strings.Join(names, ", ")), "%q prints no JSON of its own", name)
			}
			out, err := json.MarshalIndent(schemaOf(name, shape), "", "  ")
			if err != nil {
				return err
			}
			a.printf("%s", out)
			return nil
		},
	}
}

// schemaOf makes a schema from a Go type of json.go, so that the two cannot differ.
func schemaOf(name string, shape any) map[string]any {
	defs := map[string]any{}
	s := typeSchema(reflect.TypeOf(shape), defs)
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = "leadline " + name + " --json"
	if len(defs) > 0 {
		s["$defs"] = defs
	}
	return s
}

// typeSchema is the schema of a type; structs are put among the definitions and referred to.
func typeSchema(t reflect.Type, defs map[string]any) map[string]any {
	switch t {
	case reflect.TypeFor[number]():
		return map[string]any{"type": []string{"number", "null"}}
	case reflect.TypeFor[moment]():
		return map[string]any{"type": []string{"string", "null"}, "format": "date-time"}
	case reflect.TypeFor[json.RawMessage]():
		return map[string]any{}
	}
	switch t.Kind() {
	case reflect.String:
		return map[string]any{"type": "string"}
	case reflect.Bool:
		return map[string]any{"type": "boolean"}
	case reflect.Int, reflect.Int64:
		return map[string]any{"type": "integer"}
	case reflect.Float64:
		return map[string]any{"type": "number"}
	case reflect.Pointer:
		return map[string]any{"anyOf": []any{typeSchema(t.Elem(), defs), map[string]any{"type": "null"}}}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": typeSchema(t.Elem(), defs)}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": typeSchema(t.Elem(), defs)}
	case reflect.Struct:
		name := strings.TrimSuffix(t.Name(), "JSON")
		if _, known := defs[name]; !known {
			defs[name] = nil // a type may hold itself
			defs[name] = structSchema(t, defs)
		}
		return map[string]any{"$ref": "#/$defs/" + name}
	default: // an interface: anything
		return map[string]any{}
	}
}

func structSchema(t reflect.Type, defs map[string]any) map[string]any {
	properties, required := map[string]any{}, []string{}
	for _, f := range reflect.VisibleFields(t) {
		tag, found := f.Tag.Lookup("json")
		name, options, _ := strings.Cut(tag, ",")
		if !found || name == "-" || name == "" { // an embedded struct: its fields are visible ones of this
			continue
		}
		properties[name] = typeSchema(f.Type, defs)
		if !strings.Contains(options, "omitempty") {
			required = append(required, name)
		}
	}
	return map[string]any{"type": "object", "properties": properties, "required": required}
}
