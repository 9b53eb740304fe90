package logbook

import "time"

// Kind is the name of a sort of record, as it stands in the "kind" field of JSON Lines.
type Kind string

const (
	KindParameter       Kind = "parameter"
	KindTank            Kind = "tank"
	KindMethod          Kind = "method"
	KindSupplement      Kind = "supplement"
	KindChore           Kind = "chore"
	KindStock           Kind = "stock"
	KindReading         Kind = "reading"
	KindDosing          Kind = "dosing"
	KindDose            Kind = "dose"
	KindWaterChange     Kind = "water_change"
	KindEvent           Kind = "event"
	KindChoreDone       Kind = "chore_done"
	KindAcknowledgement Kind = "acknowledgement"
	KindRefill          Kind = "refill"
	KindStrike          Kind = "strike"
)

// Record is any line of the book. Its fields are listed once, by fields; see visitor.
type Record interface {
	Kind() Kind
	// fields takes a visitor through all fields and gives the record as the visitor left it.
	fields(v visitor) Record
}

// Entry is a record that happened at a moment in a tank, and so has a place in time order and an ID.
type Entry interface {
	Record
	tanked
	EntryID() ID
	When() time.Time
}

// tanked is what belongs to a tank: an entry, or a definition such as a chore.
type tanked interface{ TankName() string }

// visitor is what goes through the fields of a record, listed once for each kind by its method fields: the encoding of
// the book in and out, JSON Lines in and out, and the checks. A field has its name in JSON Lines, what it is called in
// a sentence, and where its value lies. The list stands in the order of both encodings; last is for where they differ.
type visitor interface {
	key(at keyPart, name, what string, s *string, r rule)
	entry(id *ID, t *time.Time, tank *string)
	value(r *Reading)
	text(name, what string, s *string, r rule) // one without a name is kept in the book and stands in no line
	texts(name, what string, ss *[]string, r rule)
	number(name, what string, f *float64, r rule)
	numbers(name, what string, fs *[]float64)
	maybe(name, what string, f **float64, r rule)
	count(name string, n *int)
	yes(name string, b *bool)
	moment(name, what string, t *time.Time, r rule)
	id(name string, id *ID, r rule)

	// object goes through fields that stand in an object of their own in JSON Lines, if there are any.
	object(name string, present bool, fields func())
	// each goes through what is said of several parameters; what is their plural.
	each(name, what string, parameters []string, fields func(i int, parameter string))
	// group goes through numbers that the book keeps behind their count, so that others may be added at its end.
	group(fields func())
	// last goes through fields that were added to the book later, and so lie at the end of a value: the visitors of the
	// book do so when the function it gives is called, and only where the fields are set; all others at once.
	last(set bool, fields func()) (atTheEnd func())
	// check is for what the rules of single fields do not say.
	check(func(c *checks))
	// read is for what is made of the fields of a line.
	read(func(f *jsonFile))
}

// keyPart is where a name stands in the key of a definition: alone, or as one of a pair.
type keyPart int

const (
	onlyKey keyPart = iota
	firstKey
	secondKey
)

type rule uint

const (
	needed        rule = 1 << iota // it must be there
	shown                          // it is written in a line even where it is empty or 0
	freeText                       // any text, rather than a name
	ofParameter                    // the name of a parameter, in a line perhaps its code
	ofUnit                         // a unit of the parameter named before it
	elseCanonical                  // an empty unit becomes the canonical one
	notNegative
	positive
	risesBy  // what the parameter named before it rises by
	standsAt // what that parameter stands at
	inKey    // it stands in the key
)

func (r rule) is(any rule) bool { return r&any != 0 }

func shownIf(yes bool) rule {
	if yes {
		return shown
	}
	return 0
}

// eachOf takes a visitor through a map by parameter. The map itself is left as it is, since others may hold it.
func eachOf[T any](v visitor, name, what string, m *map[string]T, fields func(t *T, v visitor, parameter string)) {
	all := map[string]T{}
	v.each(name, what, sortedKeys(*m), func(_ int, parameter string) {
		t := (*m)[parameter]
		fields(&t, v, parameter)
		all[parameter] = t
	})
	if len(all) > 0 {
		*m = all
	}
}

// inOrder is a visitor's way with what it does not care about: it goes through the fields as they come.
type inOrder struct{}

func (inOrder) object(_ string, _ bool, fields func()) { fields() }
func (inOrder) group(fields func())                    { fields() }
func (inOrder) last(_ bool, fields func()) func()      { fields(); return func() {} }
func (inOrder) check(func(c *checks))                  {}
func (inOrder) read(func(f *jsonFile))                 {}
