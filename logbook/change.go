package logbook

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"time"

	bolt "go.etcd.io/bbolt"
)

// Change is what was noted of a definition at one moment. What a definition says now is derived from all its changes:
// of each of its sections the one noted last counts.
type Change struct {
	Of      Record    // the definition, with the fields that were set and no others
	Noted   time.Time // see clock.go; zero in lines that tell none: these never overrule what was noted at a moment
	Who     string
	Without []string // the sections that were taken away: "about", "bands.nitrate"; of a chore, "chore" is all of it

	kept string // its key in the book that it was read from
}

func (c Change) Kind() Kind { return c.Of.Kind() }

func (c Change) fields(v visitor) Record {
	c = c.defining(v)
	c.noting(v)
	return c
}

// noting goes through what a change says of itself, and defining through what it says of the definition.
func (c *Change) noting(v visitor) {
	v.moment("noted", "the moment of the change", &c.Noted, 0)
	v.text("who", "who noted it", &c.Who, freeText)
	v.texts("without", "a section", &c.Without, 0)
}

func (c Change) defining(v visitor) Change {
	if slices.Contains(c.Without, string(c.Kind())) {
		v = &namesOnly{to: v}
	}
	c.Of = c.Of.fields(v)
	return c
}

// namesOnly goes through the names in the key of a definition alone.
type namesOnly struct {
	checker
	to visitor
}

func (n *namesOnly) key(at keyPart, name, what string, s *string, r rule) {
	n.to.key(at, name, what, s, r)
}

// changeOf is a record as a change: a definition that tells no moment is one without.
func changeOf(rec Record) Change {
	if c, is := rec.(Change); is {
		return c
	}
	return Change{Of: rec}
}

// definitionIn is the definition that a record is, or is a change of; nil where it is neither.
func definitionIn(rec Record) Record {
	if rec = changeOf(rec).Of; kindPlace(rec.Kind()) == 0 {
		return nil
	}
	return rec
}

// kindPlace is the number of a kind of definition inside values, which is its place in definitions, from 1.
func kindPlace(kind Kind) int {
	return 1 + slices.IndexFunc(definitions(), func(d Record) bool { return d.Kind() == kind })
}

// ID is derived from what the change says, its moment and its author.
func (c Change) ID() ID { return NewID(laterOf(c.Noted, firstTime()), lineOf(c), 0) }

// key is the key of a change: its moment in nanoseconds since 1970 and 1, or 0 where it tells none; and its ID. So
// changes lie in the order in which they count.
func (c Change) key() []byte {
	if c.kept != "" {
		return []byte(c.kept)
	}
	moment := uint64(0)
	if !c.Noted.IsZero() {
		moment = uint64(c.Noted.UnixNano()) + 1
	}
	id := c.ID()
	return append(binary.BigEndian.AppendUint64(nil, moment), id[:]...)
}

func appendChange(c Change) []byte {
	var w fieldWriter
	key, value := appendDefinition(c.Of)
	w.uint(uint64(kindPlace(c.Kind())))
	w.text(string(key))
	w.text(string(value))
	w.text(c.Who)
	w.texts(c.Without)
	return w.b
}

func readChange(key, value []byte) (c Change, err error) {
	r := fieldReader{b: value}
	kinds := definitions()
	kind, name, of := r.uint(), r.bytes(), r.bytes()
	c.Who, c.Without = r.text(), r.texts()
	if kind < 1 || kind > uint64(len(kinds)) || len(key) != 8+len(ID{}) {
		r.fail()
	}
	if r.err != nil {
		return c, r.err
	}
	if moment := binary.BigEndian.Uint64(key); moment > 0 {
		c.Noted = time.Unix(0, int64(moment-1)).UTC()
	}
	c.kept = string(key)
	c.Of, _, err = readDefinition(kinds[kind-1].Kind(), name, of)
	return c, err
}

// isGenuine reports whether a change that was read is what its key says.
func (c Change) isGenuine() bool {
	fresh := c
	fresh.kept = ""
	return bytes.Equal(fresh.key(), c.key())
}

const changesName = "changes"

func changesBucket(tx *bolt.Tx) *bolt.Bucket { return tx.Bucket([]byte(changesName)) }

// changes are those of the book in the order in which they count.
func (v *View) changes() (all []Change) {
	eachSealed(changesBucket(v.tx), "change", func(k, value []byte) error {
		c, err := readChange(k, value)
		all = append(all, c)
		return err
	})
	return all
}

// A section of a definition is what is noted, and taken away, as one: a field of a tank, the band of one parameter.
// What makes no sense without the rest, such as the step of a method without its unit, is one section with it.
func sectionOf(kind Kind, field string) string {
	switch kind {
	case KindTank:
		return field
	case KindParameter:
		if slices.Contains([]string{"code", "digits", "every_days", "wobble", "nutrient"}, field) {
			return field
		}
		return "unit"
	}
	return string(kind)
}

// isWhole reports whether definitions of a kind are one section, and so can be taken away.
func isWhole(kind Kind) bool { return kind != KindTank && kind != KindParameter }

// tankNaming are the fields of a tank that tell their own moments, see tankname.go.
var tankNaming = []string{"was", "renamed", "retired", "returned", "apart"}

// sections are the sections that a definition has, each with its fields that are set.
type sections map[string]map[string]any

// sectionVisitor is the visitor that reads the sections of a definition, or sets them.
type sectionVisitor struct {
	inOrder
	kind    Kind
	names   [3]string // of the key, by keyPart
	of      sections
	set     bool
	known   []string // the sections that such a definition may have
	section string   // that is being gone through, where an object says so,
	within  string   // and the names of the objects
}

func sectionsOf(def Record) sections {
	return readSections(def).of
}

func readSections(def Record) *sectionVisitor {
	v := &sectionVisitor{kind: def.Kind(), of: sections{}}
	if isWhole(v.kind) {
		v.of[string(v.kind)] = map[string]any{}
	}
	def.fields(v)
	return v
}

// madeOf is the definition of the name of another that has these sections.
func madeOf(named Record, of sections) Record {
	v := &sectionVisitor{kind: named.Kind(), of: of, set: true, names: readSections(named).names}
	return blank(v.kind).fields(v)
}

func sectionField[T any](p *sectionVisitor, name string, field *T) {
	if p.kind == KindTank && slices.Contains(tankNaming, name) {
		return
	}
	section := cmp.Or(p.section, sectionOf(p.kind, name))
	p.known = append(p.known, section)
	name = p.within + name
	if p.set {
		if value, is := p.of[section][name]; is {
			*field = value.(T)
		}
		return
	}
	if f := reflect.ValueOf(field).Elem(); f.IsZero() || f.Kind() == reflect.Slice && f.Len() == 0 {
		return
	}
	if p.of[section] == nil {
		p.of[section] = map[string]any{}
	}
	p.of[section][name] = *field
}

func (p *sectionVisitor) key(at keyPart, _, _ string, s *string, _ rule) {
	if p.set {
		*s = p.names[at]
	}
	p.names[at] = *s
}

func (p *sectionVisitor) entry(*ID, *time.Time, *string)              {}
func (p *sectionVisitor) value(*Reading)                              {}
func (p *sectionVisitor) id(string, *ID, rule)                        {}
func (p *sectionVisitor) text(name, _ string, s *string, _ rule)      { sectionField(p, name, s) }
func (p *sectionVisitor) texts(name, _ string, ss *[]string, _ rule)  { sectionField(p, name, ss) }
func (p *sectionVisitor) number(name, _ string, f *float64, _ rule)   { sectionField(p, name, f) }
func (p *sectionVisitor) numbers(name, _ string, fs *[]float64)       { sectionField(p, name, fs) }
func (p *sectionVisitor) maybe(name, _ string, f **float64, _ rule)   { sectionField(p, name, f) }
func (p *sectionVisitor) count(name string, n *int)                   { sectionField(p, name, n) }
func (p *sectionVisitor) yes(name string, b *bool)                    { sectionField(p, name, b) }
func (p *sectionVisitor) moment(name, _ string, t *time.Time, _ rule) { sectionField(p, name, t) }
func (p *sectionVisitor) object(name string, _ bool, fields func()) {
	p.inside(sectionOf(p.kind, name), name+".", fields)
}

func (p *sectionVisitor) inside(section, within string, fields func()) {
	was, wasWithin := p.section, p.within
	p.section, p.within = cmp.Or(p.section, section), p.within+within
	fields()
	p.section, p.within = was, wasWithin
}

// each takes every parameter of a tank for a section, and all those of another definition for one.
func (p *sectionVisitor) each(name, _ string, parameters []string, fields func(int, string)) {
	if p.kind != KindTank {
		sectionField(p, name, &parameters)
		for i, parameter := range parameters {
			p.inside(sectionOf(p.kind, name), fmt.Sprintf("%s.%d.", name, i), func() { fields(i, parameter) })
		}
		return
	}
	if p.known = append(p.known, name+"."); p.set {
		for _, section := range sortedKeys(p.of) {
			if parameter, of := strings.CutPrefix(section, name+"."); of {
				parameters = append(parameters, parameter)
			}
		}
	}
	for i, parameter := range parameters {
		section := name + "." + parameter
		if p.of[section] == nil {
			p.of[section] = map[string]any{}
		}
		p.inside(section, "", func() { fields(i, parameter) })
	}
}

// isSection reports whether definitions of a kind may have a section.
func isSection(kind Kind, section string) bool {
	return isWhole(kind) && section == string(kind) ||
		slices.ContainsFunc(readSections(blank(kind)).known, func(known string) bool {
			list, of, is := strings.Cut(known, ".")
			return known == section || is && of == "" && strings.HasPrefix(section, list+".")
		})
}
