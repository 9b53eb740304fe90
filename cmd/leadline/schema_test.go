package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/look"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/testdata/server"
)

// TestSchemas validates what every command prints with --json against its published schema.
func TestSchemas(t *testing.T) {
	now := func() time.Time { return time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC) }
	folder := t.TempDir()
	book := filepath.Join(folder, "demo.book")
	if _, err := demoBook((&app.App{Now: now}), book); err != nil {
		t.Fatal(err)
	}
	file := importFile(t, 0, 3)
	prints := func(line string) []byte {
		t.Helper()
		if wrong, found := strings.CutPrefix(line, "error:"); found {
			var errOut bytes.Buffer
			run(context.Background(), strings.Split(wrong, "|"), strings.NewReader("time,nitrate\nnoon,x\n"), io.Discard,
				&errOut,
				func(string) string { return "" }, now)
			return errOut.Bytes()
		}
		var out, errOut bytes.Buffer
		env := func(name string) string {
			return map[string]string{"LEADLINE_BOOK": book, "XDG_CONFIG_HOME": folder}[name]
		}
		if code := run(context.Background(), strings.Split(line, "|"), strings.NewReader(""), &out, &errOut, env,
			now); code != 0 {
			t.Fatalf("%s: exit code %d: %s", line, code, errOut.String())
		}
		return out.Bytes()
	}
	other := filepath.Join(folder, "other.book")
	if _, err := demoBook((&app.App{Now: now}), other); err != nil {
		t.Fatal(err)
	}
	otherBook, err := logbook.Open(other)
	if err != nil {
		t.Fatal(err)
	}
	twin := logbook.Reading{Time: now().Add(time.Minute), Tank: "forereef", Parameter: "nitrate", Text: "7", Unit: "mg/L",
		Value: 7}
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
		"status": {"status"},
		"trend": {"trend|po4|--tank|forereef", "trend|boron|--tank|forereef",
			"trend|no3|--tank|lagoon|--as-of|2025-10-01"},
		"hindcast": {"hindcast|po4|--all-tanks"},
		"demand": {"demand|alkalinity|--tank|forereef", "demand|boron|--tank|lagoon",
			"demand|no3|--all-tanks|--hindcast"},
		"alerts":       {"alerts", "alerts|--all|--as-of|2026-06-01"},
		"changed":      {"changed|--around|2026-01-17|--tank|forereef"},
		"compare":      {"compare|no3|--tank|lagoon|--who|ann,ben"},
		"readings":     {"readings|no3|--tank|lagoon"},
		"table":        {"table|--tank|lagoon"},
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
		"strike":       {"strike|" + added[0].ID + "|--why|a slip", "strike|last|2|--why|a slip", "strike|--back|last"},
		"correct":      {"correct|last|2|--at|09:00"},
		"undo":         {"undo|--yes"},
		"verify":       {"verify"},
		"share status": {"share|status"}, "sync": {"sync"},
		"version": {"version"},
		"error":   {"error:statsu", "error:import|-|--book|" + filepath.Join(folder, "no.book")},
	}
	prints("share|create|" + server.New(t, "").Start().URL() + "|--name|reef")
	for name, line := range map[string]string{
		"demo": "demo", "add": "add|nitrate=7.1|--tank|forereef",
		"alerts acknowledge": "alerts|acknowledge|phosphate|--rule|bottoming_out|--tank|forereef",
		"alerts snooze":      "alerts|snooze|calcium|--for|3d|--tank|forereef",
		"chore add":          "chore|add|skimmer|--tank|lagoon",
		"chore done":         "chore|done|skimmer|--tank|lagoon",
		"stock add":          "stock|add|fleece|--per-day|0.3|--unit|m|--tank|lagoon",
		"stock refill":       "stock|refill|fleece|25|--tank|lagoon", "config": "config", "config show": "config|show",
		"config path": "config|path", "config set": "config|set|mouse|true",
		"tank add": "tank|add|mooring", "tank list": "tank|list", "tank set": "tank|set|mooring|--volume|80",
		"tank show":   "tank|show|mooring",
		"tank rename": "tank|rename|mooring|anchorage", "tank retire": "tank|retire|mooring",
		"tank return": "tank|return|mooring", "tank merge": "tank|merge|mooring|lagoon|--yes",
		"band": "band|nitrate|--low|2|--tank|mooring", "band set": "band|set|nitrate|--low|3|--tank|mooring",
		"band list": "band|list", "band clear": "band|clear|nitrate|--tank|mooring",
		"method add": "method|add|card|--parameter|nitrate|--step|1", "method list": "method|list",
		"method show":  "method|show|card",
		"tank history": "tank|history|mooring", "band history": "band|history|mooring|nitrate",
		"method history": "method|history|card", "supplement history": "supplement|history|part one",
		"chore history": "chore|history|media|--tank|mooring", "stock history": "stock|history|fleece|--tank|mooring",
		"parameter add": "parameter|add|molybdenum|--unit|ug/L", "parameter list": "parameter|list",
		"supplement add":  "supplement|add|part one|--ml|10|--litres|100|--raises|alkalinity=1",
		"supplement list": "supplement|list", "supplement salts": "supplement|salts",
		"supplement show": "supplement|show|part one",
		"dose":            "dose|nitrate=0.5|--tank|mooring", "dosing": "dosing|alkalinity=0.2|--tank|mooring",
		"water-change": "water-change|10%|--tank|mooring",
		"event":        "event|moved|--tank|mooring",
	} {
		lines[name] = append(lines[name], line)
	}
	if got, want := slices.Sorted(maps.Keys(lines)), publishing(now); !slices.Equal(got, want) {
		t.Errorf("tried %v, published %v", got, want)
	}
	for _, name := range slices.SortedFunc(maps.Keys(lines), inTurn) {
		schema := compiled(t, prints("schema|"+strings.ReplaceAll(name, " ", "|")))
		for _, line := range lines[name] {
			values := 0
			for d := json.NewDecoder(bytes.NewReader(prints(line + "|--json"))); d.More(); values++ {
				var one json.RawMessage
				if err := d.Decode(&one); err != nil {
					t.Fatalf("%s: %v", line, err)
				}
				if err := fits(schema, one); err != nil {
					t.Errorf("%s: %v", line, err)
				}
			}
			if values == 0 {
				t.Errorf("%s prints nothing", line)
			}
		}
	}
}

// inTurn puts a command before those that need what it makes, and the merge, which takes in another demo, and the undo
// last.
func inTurn(a, b string) int {
	rank := func(name string) int {
		switch _, verb, _ := strings.Cut(name, " "); {
		case name == "undo":
			return 4
		case name == "merge":
			return 3
		case verb == "add":
			return 0
		case verb == "clear":
			return 2
		}
		return 1
	}
	if d := rank(a) - rank(b); d != 0 {
		return d
	}
	return strings.Compare(a, b)
}

// publishing names the commands that publish what they print.
func publishing(now func() time.Time) []string {
	a := &app.App{Out: bufio.NewWriter(io.Discard), Env: func(string) string { return "" }, Now: now}
	newRoot(a)
	return slices.Sorted(maps.Keys(a.Published()))
}

// TestEveryCommandIsTold: a command says in short what it does, and either publishes what --json prints or refuses the
// flag.
func TestEveryCommandIsTold(t *testing.T) {
	a := &app.App{Out: bufio.NewWriter(io.Discard), Env: func(string) string { return "" }, Now: time.Now}
	root := newRoot(a)
	usage.Describe(root)
	n := 0
	var walk func(cmd *cobra.Command)
	walk = func(cmd *cobra.Command) {
		if cmd.Short == "" {
			t.Errorf("help.txt does not say in short what %s does", cmd.CommandPath())
		}
		name := strings.TrimPrefix(cmd.CommandPath(), "leadline ")
		_, told := a.Shapes[cmd]
		switch {
		case told:
			n++
		case usage.HoldsOnly(cmd) || cmd.Hidden || name == "schema" || name == "export":
			// schema is JSON itself; of export see its script
		default:
			t.Errorf("%s neither publishes what --json prints nor refuses it", name)
		}
		for _, c := range cmd.Commands() {
			walk(c)
		}
	}
	for _, c := range root.Commands() {
		walk(c)
	}
	if want := len(a.Shapes); n != want {
		t.Errorf("%d commands looked at, and %d told of", n, want)
	}
}

// compiled compiles a published schema for a test: it has to be a schema of draft 2020-12, dates are looked at, and a
// field that is not published is an error here, though later versions may add some.
func compiled(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if s := doc.(map[string]any)["$schema"]; s != "https://json-schema.org/draft/2020-12/schema" {
		t.Fatalf("a schema of %v", s)
	}
	closeObjects(doc)
	c := jsonschema.NewCompiler()
	c.AssertFormat()
	const name = "https://leadline.invalid/schema.json" // a bare name is looked for in the working folder
	if err := c.AddResource(name, doc); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile(name)
	if err != nil {
		t.Fatal(err)
	}
	return schema
}

func closeObjects(v any) {
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			closeObjects(item)
		}
	case map[string]any:
		_, isObject := v["properties"].(map[string]any)
		if _, told := v["additionalProperties"]; isObject && !told {
			v["additionalProperties"] = false
		}
		for _, item := range v {
			closeObjects(item)
		}
	}
}

func fits(schema *jsonschema.Schema, text []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		return err
	}
	return schema.Validate(v)
}

// TestSchemaRefuses shows that the schema refuses what does not fit.
func TestSchemaRefuses(t *testing.T) {
	text, err := json.Marshal(shape.SchemaOf("status", look.StatusJSON{}))
	if err != nil {
		t.Fatal(err)
	}
	schema := compiled(t, text)
	if err := fits(schema, []byte(`{"as_of":null,"tanks":[],"last_backup":null}`)); err != nil {
		t.Error(err)
	}
	for _, bad := range []string{`null`, `[]`, `{}`, `{"as_of":null}`, `{"as_of":"noon","tanks":[],"last_backup":null}`,
		`{"as_of":null,"tanks":null,"last_backup":null}`,
		`{"as_of":null,"tanks":[{}],"last_backup":null}`, `{"as_of":null,"tanks":[],"last_backup":null,"more":1}`} {
		if fits(schema, []byte(bad)) == nil {
			t.Errorf("%s passes", bad)
		}
	}
}
