package shape

import (
	"encoding/json"
	"reflect"
	"strings"
)

// SchemaOf makes a schema from the Go type that is printed, so that the two cannot differ.
func SchemaOf(name string, shape any) map[string]any {
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
	case reflect.TypeFor[Number]():
		return map[string]any{"type": []string{"number", "null"}}
	case reflect.TypeFor[Moment]():
		return map[string]any{"type": []string{"string", "null"}, "format": "date-time"}
	case reflect.TypeFor[json.RawMessage]():
		return map[string]any{}
	case reflect.TypeFor[Record](): // its fields are those of its kind
		return map[string]any{"type": "object", "properties": map[string]any{"kind": map[string]any{"type": "string"}},
			"required": []string{"kind"}, "additionalProperties": true, "description": "a record, as export jsonl writes it"}
	}
	plain := map[reflect.Kind]string{reflect.String: "string", reflect.Bool: "boolean", reflect.Int: "integer", reflect.Int64: "integer", reflect.Float64: "number"}
	if name, is := plain[t.Kind()]; is {
		return map[string]any{"type": name}
	}
	switch t.Kind() {
	case reflect.Pointer:
		return map[string]any{"anyOf": []any{typeSchema(t.Elem(), defs), map[string]any{"type": "null"}}}
	case reflect.Slice:
		return map[string]any{"type": "array", "items": typeSchema(t.Elem(), defs)}
	case reflect.Map:
		return map[string]any{"type": "object", "additionalProperties": typeSchema(t.Elem(), defs)}
	case reflect.Struct:
		name := strings.TrimSuffix(t.Name(), "JSON")
		name = strings.ToLower(name[:1]) + name[1:]
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
