package logbook

import (
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"time"

	"leadline/logbook/water"
)

// Every type that is a record stands in one of the lists of kinds, so that no encoding can pass it over.
func TestEveryKindIsListed(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	method := regexp.MustCompile(`(?m)^func \((?:\w+ )?(\w+)\) Kind\(\) Kind `)
	n := 0
	for _, file := range files {
		source, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range method.FindAllStringSubmatch(string(source), -1) {
			if m[1] == "Change" { // of one of the others
				continue
			}
			if n++; kindOfType(m[1]) == "" {
				t.Errorf("%s: %s stands in no list of kinds", file, m[1])
			}
		}
	}
	if n != len(blanks()) {
		t.Errorf("%d types are records, and %d are listed", n, len(blanks()))
	}
}

// A record all of whose fields are set comes back whole from the book and from JSON Lines, whatever fields it has.
func TestEveryFieldIsKept(t *testing.T) {
	names := []string{""}
	number := func(name string) uint32 {
		names = append(names, name)
		return uint32(len(names) - 1)
	}
	for _, rec := range blanks() {
		rec = filled(rec)
		kind := string(rec.Kind())
		var back Record
		switch d := rec.(type) {
		case Strike:
			struck, err := readStruck(d.Target, appendStruck(struckValue{kind: KindDose, strike: d}))
			if back = struck.strike; err != nil {
				t.Errorf("%s: %v", kind, err)
			}
		case Entry:
			value := appendEntry(nil, d, number)
			subject, tank := number(subjectOf(d)), number(d.TankName())
			var err error
			back, err = readEntry(d.Kind(), newSeriesKey(tank, subject, d.When().UnixNano(), d.EntryID()), value,
				func(n uint32) string { return names[n] })
			if err != nil {
				t.Errorf("%s: %v", kind, err)
			}
		default:
			key, value := appendDefinition(rec)
			var err error
			if back, _, err = readDefinition(rec.Kind(), key, value); err != nil {
				t.Errorf("%s: %v", kind, err)
			}
		}
		diff(t, kind+" from the book", back, rec)
		diff(t, kind+" from JSON Lines", readJSONL(t, string(RecordJSON(rec)))[0], rec)
	}
}

// filled sets all fields of a record to something that its line can say.
func filled(rec Record) Record {
	v := reflect.New(reflect.TypeOf(rec)).Elem()
	fill(v, "")
	if p, is := v.Interface().(Parameter); is {
		p.Name, p.Code, p.Generic.Parameter = "chromium", "cr", "chromium"
		return p
	}
	return v.Interface().(Record)
}

func fill(v reflect.Value, name string) {
	switch {
	case v.Type() == reflect.TypeFor[time.Time]():
		v.Set(reflect.ValueOf(testTime(1, 30)))
	case v.Type() == reflect.TypeFor[ID]():
		v.Set(reflect.ValueOf(NewID(testTime(1, 30), "elsewhere"+name, 0)))
	case v.Type() == reflect.TypeFor[water.Unit](): // that of Parameter.Shown, which the book does not keep
	case v.Kind() == reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), v.Type().Field(i).Name)
		}
	case v.Kind() == reflect.String:
		text := map[string]string{"Parameter": "nitrate", "Order": "nitrate", "Bands": "nitrate", "New": "nitrate",
			"Unit": "mg/L", "Text": "<4.2"}[name]
		if text == "" {
			text = strings.ToLower(name)
		}
		v.SetString(text)
	case v.Kind() == reflect.Float64:
		v.SetFloat(4.2)
	case v.Kind() == reflect.Int, v.Kind() == reflect.Int8:
		v.SetInt(1)
	case v.Kind() == reflect.Bool:
		v.SetBool(true)
	case v.Kind() == reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), name)
	case v.Kind() == reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fill(v.Index(0), name)
	case v.Kind() == reflect.Map:
		key, value := reflect.New(v.Type().Key()).Elem(), reflect.New(v.Type().Elem()).Elem()
		fill(key, name)
		fill(value, name)
		v.Set(reflect.MakeMap(v.Type()))
		v.SetMapIndex(key, value)
	default:
		panic("fill a " + v.Type().String())
	}
}
