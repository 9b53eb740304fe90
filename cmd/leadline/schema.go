package main

import (
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"

	"github.com/spf13/cobra"
)

// prints notes what a command prints with --json; of hindcast and of demand --hindcast it is one line.
func (a *app) prints(shape any, cmd *cobra.Command) *cobra.Command {
	if a.shapes == nil {
		a.shapes = map[*cobra.Command]any{}
	}
	a.shapes[cmd] = shape
	return cmd
}

// printsRecords notes that a command prints records with --json.
func (a *app) printsRecords(cmd *cobra.Command) *cobra.Command { return a.prints([]recordJSON{}, cmd) }

// printsWords notes that the results of a command are a file or a line for people, and what has the numbers instead.
func (a *app) printsWords(instead string, cmd *cobra.Command) *cobra.Command {
	return a.prints(wordsOnly(instead), cmd)
}

// wordsOnly is the shape of what is no JSON: the hint of a command that refuses --json.
type wordsOnly string

// published are the shapes of what --json prints, by command.
func (a *app) published() map[string]any {
	all := map[string]any{}
	for cmd, shape := range a.shapes {
		if _, words := shape.(wordsOnly); !words {
			all[nameOf(cmd)] = shape
		}
	}
	return all
}

// nameOf is the name of a command as it is typed behind leadline.
func nameOf(cmd *cobra.Command) string {
	return strings.TrimPrefix(cmd.CommandPath(), cmd.Root().Name()+" ")
}

// refuseJSON makes --json wrong usage where nothing is printed as JSON, rather than have a script take words for it.
func (a *app) refuseJSON() {
	for cmd, shape := range a.shapes {
		instead, words := shape.(wordsOnly)
		if does := cmd.RunE; words && does != nil {
			cmd.RunE = func(cmd *cobra.Command, args []string) error {
				if a.json {
					return usagef(string(instead), "leadline %s prints no JSON", nameOf(cmd))
				}
				return does(cmd, args)
			}
		}
	}
}

// newSchema comes last, since it names what the commands beside it print.
func newSchema(a *app) *cobra.Command {
	names := slices.Sorted(maps.Keys(a.published()))
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
			printed, ok := a.published()[name]
			if !ok {
				return usagef(didYouMean(name, names, "one of "+strings.Join(names, ", ")), "%q prints no JSON of its own", name)
			}
			out, err := json.MarshalIndent(schemaOf(name, printed), "", "  ")
			if err != nil {
				return err
			}
			a.printf("%s", out)
			return nil
		},
	}
}

// schemaOf makes a schema from the Go type that is printed, so that the two cannot differ.
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
	case reflect.TypeFor[recordJSON](): // its fields are those of its kind
		return map[string]any{"type": "object", "properties": map[string]any{"kind": map[string]any{"type": "string"}},
			"required": []string{"kind"}, "additionalProperties": true, "description": "a record, as export jsonl writes it"}
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
