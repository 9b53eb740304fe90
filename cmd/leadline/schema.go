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
	all := map[string]any{
		"status": statusJSON{}, "demo": statusJSON{}, "trend": assessmentJSON{}, "hindcast": assessmentJSON{}, "demand": demandJSON{},
		"alerts": []alertJSON{}, "alerts acknowledge": []alertJSON{}, "alerts snooze": []alertJSON{},
		"changed": changedJSON{}, "readings": []readingJSON{}, "add": []readingJSON{}, "plan": planJSON{}, "what-if": whatIfJSON{},
		"salinity": salinityJSON{}, "volume": volumeJSON{}, "chore add": []choreJSON{}, "chore list": []choreJSON{},
		"stock add": []stockJSON{}, "stock list": []stockJSON{}, "method check": []repeatJSON{}, "import": importedJSON{},
		"mapping list": []mappingJSON{}, "merge": mergedJSON{}, "strike": strikeJSON{}, "verify": verifyJSON{}, "version": versionJSON{},
		"supplement add": supplementJSON{}, "supplement show": supplementJSON{},
		"config": configJSON{}, "config show": configJSON{}, "config path": configPathJSON{},
	}
	for _, name := range []string{"tank add", "tank list", "tank set", "tank show", "band", "band set", "band clear", "band list", "method add", "method list",
		"method show", "parameter add", "parameter list", "supplement list",
		"dose", "dosing", "water-change", "event", "chore done", "stock refill"} {
		all[name] = []recordJSON{}
	}
	return all
}

// wordsOnly are the commands whose results are a file or a line for people, each with what has the numbers instead.
// Of export, only jsonl is JSON.
func wordsOnly() map[string]string {
	return map[string]string{
		"chart": "leadline trend PARAMETER --json has the numbers", "calendar": "leadline status --json has what is due",
		"backup": "leadline verify --json tells of the book", "restore": "leadline verify --json tells of the book",
		"man": "leadline COMMAND --help says the same", "mapping remove": "leadline mapping list --json has those that are left",
		"completion bash": "", "completion fish": "", "completion powershell": "", "completion zsh": "", "help": "",
	}
}

// refuseJSON makes --json wrong usage where nothing is printed as JSON, rather than have a script take words for it.
func refuseJSON(a *app, root *cobra.Command) {
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		name := strings.TrimPrefix(cmd.CommandPath(), root.Name()+" ")
		hint, found := wordsOnly()[name]
		if does := cmd.RunE; found && does != nil {
			cmd.RunE = func(cmd *cobra.Command, args []string) error {
				if a.json {
					return usagef(hint, "leadline %s prints no JSON", name)
				}
				return does(cmd, args)
			}
		}
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	walk(root)
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
