// Package shape holds the shapes of what --json prints, and their schemas. A function …Of gives the published form of
// what a package below tells.
package shape

import (
	"encoding/json"
	"math"
	"reflect"
	"runtime"
	"runtime/debug"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// What --json prints is published; a shape that one command prints stands beside it. Fields may be added, never renamed
// or dropped. Numbers are in the parameter's canonical unit; what is unknown is null. Times are RFC 3339 in the zone
// they were logged with, or the tank's.

// Number is a number that may be unknown: NaN and the infinities become null.
type Number float64

func (n Number) MarshalJSON() ([]byte, error) {
	if f := float64(n); math.IsNaN(f) || math.IsInf(f, 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// Moment is a time that may be unknown: the zero time becomes null.
type Moment time.Time

// DayOf is the moment of a day counted as alerts.Day does; NaN and the infinities are unknown.
func DayOf(day float64, zone *time.Location) Moment {
	if math.IsNaN(day) || math.IsInf(day, 0) {
		return Moment{}
	}
	return Moment(alerts.TimeOf(day, zone))
}

func (m Moment) MarshalJSON() ([]byte, error) {
	if time.Time(m).IsZero() {
		return []byte("null"), nil
	}
	return json.Marshal(logbook.FormatTime(time.Time(m)))
}

func (m *Moment) UnmarshalJSON(text []byte) error {
	var t time.Time
	if err := json.Unmarshal(text, &t); err != nil {
		return err
	}
	*m = Moment(t)
	return nil
}

func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// Record is a record in the form of JSON Lines; see printRecords.
type Record struct {
	Kind string `json:"kind"`
}

// Records are what most commands print that note or list something.
type Records []Record

// Failure is what went wrong, as --json says it in the last line of standard error.
type Failure struct {
	Error    string            `json:"error"`
	Hint     *string           `json:"hint"`
	ExitCode int               `json:"exit_code"`
	Refused  []logbook.Refusal `json:"refused"` // of a file, everything that was refused
}

func FailureOf(what, hint string, code int, rs logbook.Refusals) Failure {
	return Failure{Error: what, Hint: textOrNull(hint), ExitCode: code, Refused: append([]logbook.Refusal{}, rs...)}
}

// Built is what the build noted about itself.
func Built() Version {
	v := Version{Version: "(unknown)", Go: runtime.Version(), Platform: runtime.GOOS + "/" + runtime.GOARCH}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return v
	}
	if info.Main.Version != "" {
		v.Version = info.Main.Version
	}
	noted := map[string]string{}
	for _, s := range info.Settings {
		noted[s.Key] = s.Value
	}
	v.Revision, v.Time, v.Changed = noted["vcs.revision"], noted["vcs.time"], noted["vcs.modified"] == "true"
	return v
}

// Version says what was built.
type Version struct {
	Version  string `json:"version"`
	Revision string `json:"revision"`
	Time     string `json:"time"`    // of the revision; "" where it is not known
	Changed  bool   `json:"changed"` // the sources differed from the revision
	Go       string `json:"go"`
	Platform string `json:"platform"`
}

// SchemaOf makes a schema from the Go type that is printed, so that the two cannot differ.
func SchemaOf(name string, shape any) map[string]any {
	defs := map[string]any{}
	s := typeSchema(reflect.TypeOf(shape), defs)
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	// a name: it leads nowhere
	s["$id"] = "https://leadline.invalid/schema/" + strings.ReplaceAll(name, " ", "-") + ".json"
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
	plain := map[reflect.Kind]string{reflect.String: "string", reflect.Bool: "boolean", reflect.Int: "integer",
		reflect.Int64: "integer", reflect.Float64: "number"}
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
