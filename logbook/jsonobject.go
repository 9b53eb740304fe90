package logbook

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"time"
	"unicode/utf8"
)

// jsonField is one name and value of a JSON object. raw is good until the next line is read.
type jsonField struct {
	name string
	raw  []byte
	used bool
}

// jsonObject is a JSON object being taken apart field by field. Unlike encoding/json it knows names to the letter, sees
// a name that comes twice, and says of everything that is wrong where it stands. Its methods note what they refuse; the
// zero value stands for what is not there.
type jsonObject struct {
	path   string // of the object itself, "bands.nitrate."
	fields []jsonField
	refuse func(field string, r Refusal)
	keep   func([]byte) string
}

func (o *jsonObject) reset(line []byte) error {
	o.fields = o.fields[:0]
	if err := checkJSON(line); err != nil {
		return err
	}
	line = bytes.TrimLeft(line, " \t\r\n")
	if line[0] != '{' {
		return Refusal{Reason: "the line is not a JSON object",
			Hint: `one record a line, as in {"kind":"tank","tank":"forereef"}`}
	}
	eachJSONField(line, func(name, raw []byte) {
		o.fields = append(o.fields, jsonField{name: o.keep(unquoteJSON(name)), raw: raw})
	})
	for i, f := range o.fields {
		for _, g := range o.fields[:i] {
			if f.name == g.name {
				return Refusal{Field: o.path + f.name, Reason: "the field comes twice"}
			}
		}
	}
	return nil
}

func checkJSON(line []byte) error {
	if !utf8.Valid(line) {
		return Refusal{Reason: "the line is not UTF-8", Hint: utf8Hint}
	}
	if json.Valid(line) {
		return nil
	}
	var any json.RawMessage
	err := json.Unmarshal(line, &any)
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		return Refusal{Reason: fmt.Sprintf("the line is not JSON at byte %d: %s", syntax.Offset, Clean(err.Error()))}
	}
	return Refusal{Reason: "the line is not JSON"}
}

// eachJSONField walks the fields of an object. The line is valid JSON, so that only strings and brackets need care.
func eachJSONField(line []byte, fn func(name, raw []byte)) {
	i := bytes.IndexByte(line, '{') + 1
	for {
		i = skipBlanks(line, i)
		if line[i] == ',' {
			i = skipBlanks(line, i+1)
		}
		if line[i] == '}' {
			return
		}
		end := skipJSON(line, i)
		name := line[i:end]
		i = skipBlanks(line, skipBlanks(line, end)+1) // over the colon
		end = skipJSON(line, i)
		fn(name, line[i:end])
		i = end
	}
}

func skipBlanks(b []byte, i int) int {
	for b[i] == ' ' || b[i] == '\t' || b[i] == '\r' || b[i] == '\n' {
		i++
	}
	return i
}

// skipJSON is where the value that begins at i ends.
func skipJSON(b []byte, i int) int {
	if bytes.IndexByte([]byte(`"{[`), b[i]) < 0 { // a number or a word
		return i + bytes.IndexAny(b[i:], ",}] \t\r\n")
	}
	for depth := 0; ; i++ {
		switch b[i] {
		case '"':
			for i++; b[i] != '"'; i++ {
				if b[i] == '\\' {
					i++
				}
			}
		case '{', '[':
			depth++
		case '}', ']':
			depth--
		}
		if depth == 0 {
			return i + 1
		}
	}
}

// unquoteJSON is the text of a JSON string.
func unquoteJSON(raw []byte) []byte {
	inner := raw[1 : len(raw)-1]
	if bytes.IndexByte(inner, '\\') < 0 {
		return inner
	}
	var s string
	if json.Unmarshal(raw, &s) != nil {
		return inner // cannot be: the line is valid
	}
	return []byte(s)
}

// take finds a field and marks it as known; nil if it is not there or null.
func (o *jsonObject) take(name string) []byte {
	for i := range o.fields {
		if f := &o.fields[i]; f.name == name {
			f.used = true
			if string(f.raw) == "null" {
				return nil
			}
			return f.raw
		}
	}
	return nil
}

func (o *jsonObject) fail(name string, r Refusal) { o.refuse(o.path+name, r) }

// end refuses the fields that nothing asked for.
func (o *jsonObject) end() {
	for _, f := range o.fields {
		if !f.used {
			o.fail(f.name, Refusal{Value: string(f.raw), Reason: "the field is not known here"})
		}
	}
}

func (o *jsonObject) wrong(name string, raw []byte, want string) {
	o.fail(name, Refusal{Value: string(raw), Reason: cut(string(raw)) + " is not " + want})
}

// textBytes is a string, good until the next line is read.
func (o *jsonObject) textBytes(name string) []byte {
	raw := o.take(name)
	if raw == nil {
		return nil
	}
	if raw[0] != '"' {
		o.wrong(name, raw, "text in quotation marks")
		return nil
	}
	return unquoteJSON(raw)
}

func (o *jsonObject) name(name string) string {
	s := o.keep(o.textBytes(name))
	if s == "" {
		o.missing(name)
	}
	return s
}

// missing refuses a field that must be there, unless what is there was refused already.
func (o *jsonObject) missing(name string) {
	for _, f := range o.fields {
		if f.name == name && string(f.raw) != "null" && string(f.raw) != `""` {
			return
		}
	}
	o.fail(name, Refusal{Reason: "the field is missing"})
}

// valueText is a value as typed: text, or a number as it stands.
func (o *jsonObject) valueText(name string) []byte {
	raw := o.take(name)
	switch {
	case raw == nil:
		o.missing(name)
		return nil
	case raw[0] == '"':
		return unquoteJSON(raw)
	case raw[0] == '-' || (raw[0] >= '0' && raw[0] <= '9'):
		return raw
	}
	o.wrong(name, raw, "a value")
	return nil
}

// number is a number or nil.
func (o *jsonObject) number(name string) *float64 {
	raw := o.take(name)
	if raw == nil {
		return nil
	}
	n, err := strconv.ParseFloat(string(raw), 64)
	if err != nil {
		o.wrong(name, raw, "a number")
		return nil
	}
	n += 0 // not -0
	return &n
}

func (o *jsonObject) yes(name string) bool {
	raw := o.take(name)
	switch string(raw) {
	case "true":
		return true
	case "", "false":
		return false
	}
	o.wrong(name, raw, "true or false")
	return false
}

// time is a time in RFC 3339, the zero time if it is not there.
func (o *jsonObject) time(name string) time.Time {
	b := o.textBytes(name)
	if b == nil {
		return time.Time{}
	}
	t, ok := parseRFC3339(b)
	if !ok {
		_, err := ParseTime(string(b), nil, AnyOrder)
		if err == nil {
			err = refuse(string(b), "write 2026-03-07T09:10:00+13:00, or Z for UTC",
				"%s is not a time in RFC 3339 with its offset", quote(string(b)))
		}
		o.fail(name, asRefusal(err))
		return time.Time{}
	}
	if _, err := inYears(string(b), t); err != nil {
		o.fail(name, asRefusal(err))
	}
	return t
}

// object is an object inside this one; nil if it is not there.
func (o *jsonObject) object(name string) *jsonObject {
	raw := o.take(name)
	if raw == nil {
		return nil
	}
	if raw[0] != '{' {
		o.wrong(name, raw, "an object in braces")
		return nil
	}
	in := &jsonObject{path: o.path + name + ".", refuse: o.refuse, keep: o.keep}
	if err := in.reset(raw); err != nil {
		r := asRefusal(err) // of a field of the inner object, which it names in full
		o.refuse(r.Field, r)
		return nil
	}
	return in
}

func listOf[T any](o *jsonObject, name, want string) (list []T) {
	raw := o.take(name)
	if raw == nil {
		return nil
	}
	var all []json.RawMessage
	if json.Unmarshal(raw, &all) != nil {
		o.wrong(name, raw, "a list in brackets")
	}
	for _, raw := range all {
		var one T
		if string(raw) == "null" || json.Unmarshal(raw, &one) != nil {
			o.wrong(name, raw, want)
			return nil
		}
		list = append(list, one)
	}
	return list
}
