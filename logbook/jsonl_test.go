package logbook

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

func readJSONL(t *testing.T, lines ...string) []Record {
	t.Helper()
	recs, err := collectJSONL(strings.NewReader(strings.Join(lines, "\n")),
		JSONLOptions{File: "book.jsonl", Parameters: Standard()})
	if err != nil {
		t.Fatal(err)
	}
	return recs
}

// The published examples of every kind, and what they mean.
func TestJSONLExamples(t *testing.T) {
	when := time.Date(2026, 3, 7, 9, 10, 0, 0, time.FixedZone("", 13*3600))
	id, err := ParseID("01JNQ4Z5C0000000000000000A")
	if err != nil {
		t.Fatal(err)
	}
	other, err := ParseID("01JNQ4Z5C0000000000000000B")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		line string
		want Record
	}{
		{
			`{"kind":"tank","tank":"forereef","volume_l":450,"timezone":"Pacific/Auckland","bands":{"nitrate":{"low":3,"high":12,"floor":2,"unit":"mg/L"}}}`,
			Tank{Name: "forereef", VolumeL: 450, Timezone: "Pacific/Auckland", Bands: map[string]Band{
				"nitrate": {Low: pointer(3), High: pointer(12), Floor: pointer(2), Unit: "mg/L"}}}},
		{
			`{"kind":"method","method":"nitrate-card","parameter":"nitrate","unit":"mg/L","marks":[0,1,2,5,10,20,50],"sd_steps":0.35}`,
			Method{Name: "nitrate-card", Parameter: "nitrate", Unit: "mg/L", Marks: []float64{0, 1, 2, 5, 10, 20, 50},
				SDSteps: 0.35}},
		{
			`{"kind":"method","method":"photometer-p","parameter":"phosphate","unit":"ppb P","step":1,"sd":3,"sd_rel":0.0,"limit":1}`,
			Method{Name: "photometer-p", Parameter: "phosphate", Unit: "ppb P", Step: 1, SD: 3, Limit: 1}},
		{
			`{"kind":"reading","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"phosphate","value":"<1","unit":"ppb P","method":"photometer-p","note":""}`,
			// 94.970/30.974 by the atomic weights of 2021, testdata/reference/units.json.
			Reading{Time: when, Tank: "forereef", Parameter: "phosphate", Text: "<1", Unit: "ppb P", Bound: Below,
				Value: 94.970 / 30.974 / 1000, Method: "photometer-p"}},
		{`{"kind":"reading","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"NO3","value":4.20}`,
			Reading{Time: when, Tank: "forereef", Parameter: "nitrate", Text: "4.20", Unit: "mg/L", Value: 4.2}},
		{
			`{"kind":"dosing","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"alkalinity","per_day":0.9,"unit":"dKH","supplement":"soda ash"}`,
			Dosing{Time: when, Tank: "forereef", Parameter: "alkalinity", PerDay: 0.9, Unit: "dKH", Supplement: "soda ash"}},
		{
			`{"kind":"dose","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"nitrate","amount":1.5,"unit":"mg/L","supplement":"sodium nitrate"}`,
			Dose{Time: when, Tank: "forereef", Parameter: "nitrate", Amount: 1.5, Unit: "mg/L", Supplement: "sodium nitrate"}},
		{
			`{"kind":"water_change","time":"2026-03-07T09:10:00+13:00","tank":"forereef","fraction":0.15,"new":{"alkalinity":{"value":8.3,"unit":"dKH"}}}`,
			WaterChange{Time: when, Tank: "forereef", Fraction: 0.15, New: map[string]Amount{"alkalinity": {8.3, "dKH"}}}},
		{
			`{"kind":"event","time":"2026-03-07T09:10:00+13:00","tank":"forereef","tags":["coral"],"subject":"cup coral 3","text":"stays closed by day"}`,
			Event{Time: when, Tank: "forereef", Tags: []string{"coral"}, Subject: "cup coral 3", Text: "stays closed by day"}},
		{`{"kind":"chore","tank":"forereef","chore":"reactor media","every_days":42}`,
			Chore{Tank: "forereef", Name: "reactor media", EveryDays: 42}},
		{`{"kind":"chore_done","time":"2026-03-07T09:10:00+13:00","tank":"forereef","chore":"reactor media","note":"x"}`,
			ChoreDone{Time: when, Tank: "forereef", Chore: "reactor media", Note: "x"}},
		{
			`{"kind":"acknowledgement","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"po4","rule":"bottoming_out","until":"2026-03-07T09:10:00+13:00"}`,
			Acknowledgement{Time: when, Tank: "forereef", Parameter: "phosphate", Rule: "bottoming_out", Until: when}},
		{`{"kind":"supplement","supplement":"soda ash","salt":"Na2CO3","grams_per_l":60,"purity":0.99}`,
			Supplement{Name: "soda ash", Salt: "Na2CO3", GramsPerL: 60, Purity: 0.99}},
		{
			`{"kind":"supplement","supplement":"two in one","label":{"ml":10,"litres":100,"raises":{"Alk":{"value":1,"unit":"dKH"},"calcium":{"value":7}}}}`,
			Supplement{Name: "two in one", LabelML: 10, LabelL: 100,
				Label: []LabelRise{{"alkalinity", 1, "dKH"}, {"calcium", 7, "mg/L"}}}},
		{`{"kind":"supplement","supplement":"limewater","limewater":true}`, Supplement{Name: "limewater", Limewater: true}},
		{`{"kind":"stock","tank":"forereef","stock":"soda ash reservoir","unit":"mL","supplement":"soda ash"}`,
			Stock{Tank: "forereef", Name: "soda ash reservoir", Unit: "mL", Supplement: "soda ash"}},
		{`{"kind":"stock","tank":"forereef","stock":"reagent","unit":"tests","parameter":"po4","method":"photometer-p"}`,
			Stock{Tank: "forereef", Name: "reagent", Unit: "tests", Parameter: "phosphate", Method: "photometer-p"}},
		{`{"kind":"stock","tank":"forereef","stock":"floss","unit":"m","per_day":0.25}`,
			Stock{Tank: "forereef", Name: "floss", Unit: "m", PerDay: 0.25}},
		{
			`{"kind":"refill","time":"2026-03-07T09:10:00+13:00","tank":"forereef","stock":"reagent","amount":50,"expires":"2027-01-31","note":"new box"}`,
			Refill{Time: when, Tank: "forereef", Stock: "reagent", Amount: 50, Expires: "2027-01-31", Note: "new box"}},
		{
			`{"kind":"parameter","parameter":"chromium","code":"cr","unit":"ug/L","digits":2,"min":0,"max":1000,"generic":{"unit":"ug/L","sd":0.1}}`,
			Parameter{Name: "chromium", Code: "cr", Unit: "ug/L", Digits: 2, Max: 1000,
				Generic: Method{Parameter: "chromium", Unit: "ug/L", SD: 0.1}}},
		{
			`{"kind":"strike","time":"2026-03-07T09:10:00+13:00","id":"01JNQ4Z5C0000000000000000A","why":"typed ppb as ppm","successor":"01JNQ4Z5C0000000000000000B"}`,
			Strike{Target: id, Time: when, Why: "typed ppb as ppm", Successor: other}},
	} {
		recs := readJSONL(t, c.line)
		near := cmp.Comparer(func(a, b float64) bool { return a == b || (a-b)*(a-b) <= 1e-24*a*a })
		sameTime := cmp.Comparer(func(a, b time.Time) bool { return FormatTime(a) == FormatTime(b) })
		if diff := cmp.Diff([]Record{c.want}, recs, near, sameTime, cmp.Comparer(sameShown)); diff != "" {
			t.Errorf("%s\n%s", c.line, diff)
			continue
		}
		// Written and read again it says the same; package json reads it as well.
		var l jsonLine
		b := l.of(recs[0])
		if diff := cmp.Diff(recs, readJSONL(t, string(b)), sameTime, cmp.Comparer(sameShown)); diff != "" {
			t.Errorf("%s\n%s", b, diff)
		}
		var m map[string]any
		if err := json.Unmarshal(b, &m); err != nil || m["kind"] != string(c.want.Kind()) {
			t.Errorf("%s: %v", b, err)
		}
	}
}

func TestJSONLReadingIsWrittenAsPublished(t *testing.T) {
	const line = `{"kind":"reading","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"phosphate","value":"<1","unit":"ppb P","method":"photometer-p","note":""}`
	var l jsonLine
	if b := l.of(readJSONL(t, line)[0]); string(b) != line+"\n" {
		t.Errorf("%s", b)
	}
}

func TestJSONLDefinesParametersOnTheWay(t *testing.T) {
	recs := readJSONL(t, "\ufeff", `{"kind":"parameter","parameter":"chromium","unit":"ug/L"}`, ``,
		`{"kind":"reading","time":"2026-03-07T09:10:00Z","tank":"a","parameter":"Chromium","value":"0.002","unit":"mg/L"}`+
			"\r", "")
	r := recs[1].(Reading)
	if r.Parameter != "chromium" || r.Value != 2 {
		t.Errorf("%+v", r)
	}
	// The same after a reading of the same name was refused.
	recs, err := collectJSONL(strings.NewReader(
		`{"kind":"reading","time":"2026-03-07T09:10:00Z","tank":"a","parameter":"chromium","value":"2"}
{"kind":"parameter","parameter":"chromium","unit":"ug/L"}
{"kind":"reading","time":"2026-03-07T09:10:00Z","tank":"a","parameter":"chromium","value":"2"}`),
		JSONLOptions{Parameters: Standard()})
	var rs Refusals
	if !errors.As(err, &rs) || len(rs) != 1 || rs[0].Line != 1 {
		t.Errorf("%v, %v", recs, err)
	}
}

func TestJSONLOfNothing(t *testing.T) {
	if recs := readJSONL(t, "", "\n\r\n"); len(recs) > 0 {
		t.Errorf("%v", recs)
	}
}

func TestJSONLRefuses(t *testing.T) {
	reading := func(change string) string {
		return `{"kind":"reading","time":"2026-03-07T09:10:00Z","tank":"a",` + change + `}`
	}
	for _, c := range []struct{ name, line, want string }{
		{"not JSON", `{"kind":`, "book.jsonl:2: the line is not JSON at byte 8"},
		{"two objects", `{"kind":"tank","tank":"a"}{}`, "the line is not JSON at byte 27"},
		{"a list", `[]`, "not a JSON object"},
		{"a word", `null`, "not a JSON object"},
		{"not UTF-8", "{\"kind\":\"tank\",\"tank\":\"a\xff\"}", "the line is not UTF-8"},
		{"no kind", `{"tank":"a"}`, "field kind: the field is missing"},
		{"kind", `{"kind":"Tank","tank":"a"}`, `field kind: "Tank" is not a kind`},
		{"unknown field", `{"kind":"tank","tank":"a","colour":"red"}`, "field colour: the field is not known here"},
		{"upper case field", `{"kind":"tank","tank":"a","Volume_L":3}`, "field Volume_L: the field is not known here"},
		{"unknown field inside", `{"kind":"tank","tank":"a","bands":{"no3":{"hi":3}}}`,
			"field bands.no3.hi: the field is not known here"},
		{"twice", `{"kind":"tank","tank":"a","tank":"b"}`, "field tank: the field comes twice"},
		{"twice inside", `{"kind":"tank","tank":"a","bands":{"no3":{"low":1,"low":2}}}`,
			"field bands.no3.low: the field comes twice"},
		{"two bands", `{"kind":"tank","tank":"a","bands":{"no3":{"low":1},"nitrate":{"low":2}}}`, "two bands of nitrate"},
		{"band of nothing", `{"kind":"tank","tank":"a","bands":{"chlorine":{"low":1}}}`,
			`field bands.chlorine: "chlorine" is not a parameter`},
		{"unit of a band", `{"kind":"tank","tank":"a","bands":{"no3":{"low":1,"unit":"dKH"}}}`,
			`field bands.no3.unit: unit "dKH" is not known for nitrate`},
		{"number as text", `{"kind":"tank","tank":"a","volume_l":"450"}`, `field volume_l: "450" is not a number`},
		{"huge number", `{"kind":"tank","tank":"a","volume_l":1e400}`, `field volume_l: 1e400 is not a number`},
		{"text as number", `{"kind":"tank","tank":7}`, `field tank: 7 is not text`},
		{"no tank", `{"kind":"reading","time":"2026-03-07T09:10:00Z","parameter":"no3","value":"1"}`,
			"field tank: the field is missing"},
		{"no time", `{"kind":"reading","tank":"a","parameter":"no3","value":"1"}`, "field time: the field is missing"},
		{"no offset", `{"kind":"reading","time":"2026-03-07T09:10:00","tank":"a","parameter":"no3","value":"1"}`,
			"field time: \"2026-03-07T09:10:00\" is not a time in RFC 3339"},
		{"no such day", `{"kind":"reading","time":"2026-02-30T09:10:00Z","tank":"a","parameter":"no3","value":"1"}`,
			"February 2026 has 28 days"},
		{"no parameter", reading(`"value":"1"`), "field parameter: the field is missing"},
		{"parameter", reading(`"parameter":"chlorine","value":"1"`), `field parameter: "chlorine" is not a parameter`},
		{"no value", reading(`"parameter":"no3"`), "field value: the field is missing"},
		{"null value", reading(`"parameter":"no3","value":null`), "field value: the field is missing"},
		{"empty value", reading(`"parameter":"no3","value":""`), "field value: the value is empty"},
		{"value", reading(`"parameter":"no3","value":"x"`), `field value: "x" is not a number`},
		{"huge value", reading(`"parameter":"no3","value":1e400`), `field value: "1e400" is too large`},
		{"value of a kind", reading(`"parameter":"no3","value":true`), `field value: true is not a value`},
		{"salinity", reading(`"parameter":"sal","value":350`), "field value: 350 PSU is not possible"},
		{"unit", reading(`"parameter":"no3","value":"1","unit":"dKH"`), `field unit: unit "dKH" is not known for nitrate`},
		{"id", reading(`"parameter":"no3","value":"1","id":"x"`), `field id: "x" is not an entry's id`},
		{"dosing without an amount", `{"kind":"dosing","time":"2026-03-07T09:10:00Z","tank":"a","parameter":"alk"}`,
			"field per_day: the field is missing"},
		{"dosing in a scale that bends",
			`{"kind":"dosing","time":"2026-03-07T09:10:00Z","tank":"a","parameter":"sal","per_day":1.026,"unit":"SG 25/25"}`,
			"field per_day: a change of 1.026 SG 25/25 is too large to convert"},
		{"impossible dose",
			`{"kind":"dose","time":"2026-03-07T09:10:00Z","tank":"a","parameter":"no3","amount":1e9,"unit":"mg/L"}`,
			"field amount: a rise of 1000000000.0 mg/L is not possible"},
		{"new water below nothing",
			`{"kind":"water_change","time":"2026-03-07T09:10:00Z","tank":"a","fraction":0.1,"new":{"no3":{"value":-5,"unit":"mg/L"}}}`, "field new.no3.value: -5 mg/L is below zero"},
		{"impossible new water",
			`{"kind":"water_change","time":"2026-03-07T09:10:00Z","tank":"a","fraction":0.1,"new":{"sal":{"value":350}}}`,
			"field new.sal.value: 350 PSU is not possible"},
		{"marks", `{"kind":"method","method":"m","parameter":"no3","marks":[1,"2"]}`, `field marks: "2" is not a number`},
		{"tags", `{"kind":"event","time":"2026-03-07T09:10:00Z","tank":"a","tags":"coral"}`,
			"field tags: \"coral\" is not a list"},
		{"new", `{"kind":"water_change","time":"2026-03-07T09:10:00Z","tank":"a","fraction":0.1,"new":[]}`,
			"field new: [] is not an object"},
		{"strike of nothing", `{"kind":"strike","time":"2026-03-07T09:10:00Z"}`, "field id: the field is missing"},
		{"blank parameter", `{"kind":"parameter","parameter":" ","unit":"ug/L"}`, "field parameter: the name is blank"},
		{"canonical unit", `{"kind":"parameter","parameter":"potassium","unit":"ug/L"}`,
			"field unit: potassium is kept in mg/L"},
		{"taken name", `{"kind":"parameter","parameter":"Nitrate","unit":"mg/L"}`,
			`field parameter: "Nitrate" is taken by nitrate`},
		{"taken code", `{"kind":"parameter","parameter":"chromium","code":"no3","unit":"mg/L"}`,
			`field code: "no3" is taken by nitrate`},
		{"long line", `{"kind":"tank","tank":"` + strings.Repeat("x", longestRow) + `"}`,
			"book.jsonl:2: the line does not end within 1 MiB"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := collectJSONL(strings.NewReader("{\"kind\":\"tank\",\"tank\":\"a\"}\n"+c.line+"\n"),
				JSONLOptions{File: "book.jsonl", Parameters: Standard()})
			var rs Refusals
			if !errors.As(err, &rs) {
				t.Fatalf("%v; want refusals", err)
			}
			if rs[0].Line != 2 || !strings.Contains(rs[0].Error(), c.want) {
				t.Errorf("%v", rs)
			}
			if len(rs) > 1 {
				t.Errorf("%d refusals: %v", len(rs), rs)
			}
		})
	}
}

func FuzzJSONL(f *testing.F) {
	for _, s := range []string{
		`{"kind":"tank","tank":"forereef","volume_l":450,"bands":{"nitrate":{"low":3,"high":12,"unit":"mg/L"}}}`,
		`{"kind":"reading","time":"2026-03-07T09:10:00+13:00","tank":"forereef","parameter":"phosphate","value":"<1","unit":"ppb P","note":"a\nb"}`,
		`{"kind":"water_change","time":"2026-03-07T09:10:00Z","tank":"a","fraction":0.15,"new":{"alkalinity":{"value":8.3,"unit":"dKH"}}}`,
		`{"kind":"event","time":"2026-03-07T09:10:00Z","tank":"a","tags":["coral","\u00e9"],"text":"x"}`,
		`{"kind":"parameter","parameter":"chromium","code":"cr","unit":"ug/L","generic":{"marks":[1,2]}}`,
		`{"kind":"strike","time":"2026-03-07T09:10:00Z","id":"01JNQ4Z5C0000000000000000A"}`,
		`{"kind":"acknowledgement","time":"2026-03-07T09:10:00Z","tank":"a","rule":"r","until":"2026-03-07T09:10:00Z"}`,
		`{"kind":"supplement","supplement":"s","label":{"ml":10,"litres":100,"raises":{"alk":{"value":1,"unit":"dKH"}}}}`,
		`{"kind":"supplement","supplement":"s","salt":"CaCl2·2H2O","grams_per_l":60,"purity":0.99}`,
		`{"kind":"stock","tank":"a","stock":"s","unit":"mL","supplement":"s"}`,
		`{"kind":"refill","time":"2026-03-07T09:10:00Z","tank":"a","stock":"s","amount":5,"expires":"2026-10-31"}`,
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		write := func(text []byte) ([]byte, error) {
			var out []byte
			var l jsonLine
			err := EachJSONL(bytes.NewReader(text), JSONLOptions{File: "f", Parameters: Standard()}, func(rec Record) error {
				if r, ok := rec.(*Reading); ok {
					rec = *r
				}
				if err := Validate(rec); err != nil {
					return err
				}
				out = append(out, l.of(rec)...)
				return nil
			})
			return out, err
		}
		out, err := write(text)
		if err != nil {
			var rs Refusals
			if !errors.As(err, &rs) {
				t.Fatalf("%v is not refusals", err)
			}
			for _, r := range rs {
				if r.Reason == "" || strings.ContainsAny(r.Error()+r.Hint, "\n\x1b\x00") {
					t.Errorf("refusal %+v", r)
				}
			}
			return
		}
		again, err := write(out)
		if err != nil || !bytes.Equal(out, again) {
			t.Errorf("wrote %q\nread back as %q, %v", out, again, err)
		}
	})
}

// collectJSONL is EachJSONL collected.
func collectJSONL(r io.Reader, opt JSONLOptions) ([]Record, error) {
	var recs []Record
	err := EachJSONL(r, opt, func(rec Record) error {
		if r, ok := rec.(*Reading); ok {
			rec = *r
		}
		recs = append(recs, rec)
		return nil
	})
	return recs, err
}
