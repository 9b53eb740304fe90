package logbook

import (
	"bytes"
	"cmp"
	"reflect"
	"slices"
	"strings"
	"time"
)

// held is what the changes of one definition come to, added in the order in which they count.
type held struct {
	changes []Change
	of      sections
	last    map[string]Change // by which each section was last set or taken away
	tank    Tank              // of a tank: what naming gives of it,
	told    bool              // and whether its name was noted at a moment
}

func (h *held) add(c Change) {
	if h.of == nil {
		h.of, h.last = sections{}, map[string]Change{}
	}
	for section, fields := range sectionsOf(c.Of) {
		h.of[section], h.last[section] = fields, c
	}
	for _, section := range c.Without {
		delete(h.of, section)
		h.last[section] = c
	}
	if t, is := c.Of.(Tank); is {
		h.nameTank(t, !c.Noted.IsZero())
	}
	h.changes = append(h.changes, c)
}

// nameTank joins the names of a tank: of two names the one given last is kept, then the one that was noted at a moment,
// and there the first.
func (h *held) nameTank(t Tank, told bool) {
	if len(h.changes) == 0 {
		h.tank, h.told = t.naming(), told
		return
	}
	later := cmp.Or(h.tank.Renamed.Compare(t.Renamed), boolCompare(h.told, told))
	if later == 0 && !told {
		later = cmp.Or(cmp.Compare(len(h.tank.Name), len(t.Name)), cmp.Compare(h.tank.Name, t.Name))
	}
	if t.Name == h.tank.Name {
		h.told = h.told || told
	} else if later < 0 {
		h.told = told
	}
	h.tank = h.tank.with(t, later < 0)
}

func boolCompare(a, b bool) int { return countTrue(a) - countTrue(b) }

// name is what the definition is called, in words.
func (h *held) name() string {
	if h.changes[0].Kind() == KindTank {
		return definitionName(h.tank)
	}
	return definitionName(h.changes[0].Of)
}

// definition is what a definition says now; nil where there is none, or it was taken away.
func (h *held) definition() Record {
	if h == nil {
		return nil
	}
	named := h.changes[0].Of
	if _, there := h.of[string(named.Kind())]; isWhole(named.Kind()) && !there {
		return nil
	}
	def := madeOf(named, h.of)
	if t, is := def.(Tank); is {
		return t.named(h.tank)
	}
	return def
}

// needless reports whether a change without a moment tells nothing that others do not overrule; such a one is not kept,
// so that a book does not depend on the order in which it took in what.
func (h *held) needless(c Change) bool {
	t, isTank := c.Of.(Tank)
	if !c.Noted.IsZero() || slices.ContainsFunc(c.sections(), func(section string) bool {
		return h.last[section].Noted.IsZero()
	}) {
		return false
	}
	naming := t.naming()
	onlyName := t.onlyName()
	return slices.ContainsFunc(h.changes, func(other Change) bool {
		o, _ := other.Of.(Tank)
		namesIt := !isTank || o.Name == t.Name || onlyName && slices.Contains(o.Was, t.Name)
		if isTank && c.isBare() { // it was made because an entry names it
			alike := func(name string) bool { return folded(name) == folded(t.Name) }
			return o.Name != t.Name && other.isBare() && alike(o.Name) && o.Name > t.Name ||
				!other.isBare() && (alike(o.Name) || slices.ContainsFunc(o.Was, alike))
		}
		return namesIt && !other.Noted.IsZero() && (onlyName || reflect.DeepEqual(o.naming(), naming))
	})
}

// isBare reports whether a change tells no moment, and of its tank the name alone.
func (c Change) isBare() bool {
	t, _ := c.Of.(Tank)
	return c.Noted.IsZero() && len(c.sections()) == 0 && t.onlyName()
}

// overruled is what a change says and what holds instead, though of that no later moment is told.
func (h *held) overruled(c Change) Step {
	theirs, ours := sections{}, sections{}
	for section, fields := range sectionsOf(c.Of) {
		is, there := h.of[section]
		if reflect.DeepEqual(is, fields) || !c.Noted.IsZero() && !c.Noted.Equal(h.last[section].Noted) {
			continue
		}
		if theirs[section] = fields; there {
			ours[section] = is
		}
	}
	return Step{c, madeOf(c.Of, theirs), madeOf(c.Of, ours)}
}

// sections lists what the change sets and takes away.
func (c Change) sections() []string { return append(sortedKeys(sectionsOf(c.Of)), c.Without...) }

// derivation is what a number of changes come to.
type derivation struct {
	alike  map[string]string   // of every name of a tank, one that stands for them all
	folded map[string]string   // the same by the name without regard to capital and small letters
	of     map[[2]string]*held // by kind and key, see place
	stale  map[[2]string]bool  // places of which the buckets of definitions do not say yet what holds,
	whole  bool                // whether that is all, since names of tanks or parameters may be others
}

// derived works out what changes come to, given in the order in which they count.
func derived(all []Change) derivation {
	d := derivation{alike: alikeTanks(all), folded: map[string]string{}, of: map[[2]string]*held{},
		stale: map[[2]string]bool{}}
	for _, name := range slices.Backward(sortedKeys(d.alike)) {
		d.folded[folded(name)] = d.alike[name]
	}
	for _, c := range all {
		place := d.place(c.Of)
		if d.of[place] == nil {
			d.of[place] = &held{}
		}
		d.of[place].add(c)
	}
	return d
}

// take adds one change; false if others may come to something else by it: it is of a parameter, or gives a tank names.
func (d derivation) take(c Change) bool {
	place := d.place(c.Of)
	if d.of[place] == nil {
		d.of[place] = &held{}
	}
	h := d.of[place]
	named := h.tank
	at, _ := slices.BinarySearchFunc(h.changes, c, compareChanges)
	later := slices.Insert(h.changes, at, c)
	if at == len(h.changes) {
		later = later[at:]
	} else {
		*h = held{}
	}
	for _, c := range later {
		h.add(c)
	}
	d.stale[place] = true
	t, isTank := c.Of.(Tank)
	return c.Kind() != KindParameter && (!isTank || !t.Apart && reflect.DeepEqual(h.tank, named))
}

// place is where a definition is gathered: by its kind and its key, in which one name stands for all those of a tank.
func (d derivation) place(def Record) [2]string {
	switch of := def.(type) {
	case Tank:
		return [2]string{string(KindTank), d.first(of.Name)}
	case tanked:
		def = ofTank(def, d.first(of.TankName()))
	}
	key, _ := appendDefinition(def)
	return [2]string{string(def.Kind()), string(key)}
}

func (d derivation) first(name string) string {
	if first, known := d.alike[name]; known {
		return first
	}
	if first, known := d.folded[folded(name)]; known {
		return first
	}
	return name
}

// folded is a name without regard to capital and small letters.
func folded(name string) string { return strings.ToLower(strings.ToUpper(name)) }

// now is the name that the tank of a name bears now; of an unknown one it is the name itself.
func (d derivation) now(name string) string {
	if h := d.of[[2]string{string(KindTank), d.first(name)}]; h != nil {
		return h.tank.Name
	}
	return name
}

// alikeTanks finds the names of each tank. Tanks that have a name in common are one; names that differ in capital and
// small letters alone are one name, unless a tank tells that there is another.
func alikeTanks(all []Change) map[string]string {
	next, apart := map[string]string{}, map[string]bool{}
	first := func(name string) string {
		for next[name] != name {
			name = next[name]
		}
		return name
	}
	for _, c := range all {
		if t, is := c.Of.(Tank); is {
			for _, name := range append([]string{t.Name}, t.Was...) {
				next[name] = cmp.Or(next[name], name)
				next[first(name)] = first(t.Name)
			}
			apart[t.Name] = apart[t.Name] || t.Apart
		}
	}
	known, like := sortedKeys(next), map[string]string{}
	for _, name := range known {
		if apart[name] {
			continue
		}
		if other, is := like[folded(name)]; is {
			next[first(name)] = first(other)
		}
		like[folded(name)] = name
	}
	for _, name := range known {
		next[name] = first(name)
	}
	return next
}

// derivation is what the changes of the book, with those of the writing, come to.
func (w *writer) derivation() *derivation {
	if w.comesTo == nil {
		d := derived(w.changes())
		if d.whole = w.noted; d.whole {
			for place := range d.of {
				d.stale[place] = true
			}
		}
		w.comesTo = &d
	}
	return w.comesTo
}

// derive puts down what the book holds now, drops the changes that are needless, and moves what belongs to a tank that
// has another name now.
func (w *writer) derive() {
	d, parameters, tanks := w.derivation(), w.parameters(), definitionsOf[Tank](w.View, "")
	needless := map[string]bool{}
	for place := range d.stale {
		h := d.of[place]
		for _, c := range h.changes {
			if h.needless(c) {
				remove(changesBucket(w.tx), c.key())
				needless[c.kept] = true
			}
		}
	}
	if len(needless) > 0 {
		w.log = slices.DeleteFunc(w.log, func(c Change) bool { return needless[c.kept] })
		w.comesTo = nil
		d = w.derivation()
	}
	for _, kind := range gather(definitions(), Record.Kind) {
		now, bucket := map[string][]byte{}, definitionBucket(w.tx, kind)
		if d.whole {
			eachSealed(bucket, string(kind), func(k, _ []byte) error {
				now[string(k)] = nil
				return nil
			})
		}
		for place := range d.stale {
			if place[0] != string(kind) {
				continue
			}
			def := w.sensible(d, d.of[place])
			called := def
			if def == nil {
				called = d.of[place].changes[0].Of
			}
			if of, is := called.(tanked); is { // tanks are there already
				called = w.presently(ofTank(called, d.now(of.TankName())))
			}
			key, value := appendDefinition(called)
			if now[string(key)] = value; def == nil {
				now[string(key)] = nil
			}
		}
		for key, value := range now {
			if value == nil {
				remove(bucket, []byte(key))
			} else {
				putChanged(bucket, []byte(key), value)
			}
		}
	}
	d.whole = false
	clear(d.stale)
	for _, t := range tanks {
		if name := d.now(t.Name); name != t.Name {
			w.moveDraft(t.Name, name)
			w.moveEntries(w.names.give(t.Name), w.names.give(name))
		}
	}
	w.keepUnits(parameters, w.parameters())
}

// sensible is a definition without what makes no sense beside others, as where two members each set a part: a parameter
// without a unit is none; of two with one code, that has it of which it was noted first, and none has a name or code of
// a standard one; a band whose unit is none of its parameter is left out. The changes stay, and count again once the
// others say otherwise. Parameters come before tanks.
func (w *writer) sensible(d *derivation, h *held) Record {
	switch def := h.definition().(type) {
	case Parameter:
		if def.Unit == "" {
			return nil
		}
		others := Standard()
		for place, other := range d.of {
			if place[0] != string(KindParameter) || other.of["unit"]["unit"] == nil {
				continue
			}
			p := other.definition().(Parameter)
			if p.Code == "" || compareChanges(other.last["code"], h.last["code"]) > 0 {
				p.Code = p.Name
			}
			others = append(others, p)
		}
		if slices.ContainsFunc(others, func(p Parameter) bool {
			return p.Name != def.Name && (strings.EqualFold(p.Name, def.Code) || strings.EqualFold(p.Code, def.Code))
		}) {
			def.Code = ""
		}
		return def
	case Tank:
		known := w.parameters()
		for name, band := range def.Bands {
			if p, found := FindParameter(known, name); found {
				if _, err := p.FindUnit(band.Unit); err != nil {
					delete(def.Bands, name)
				}
			}
		}
		return def
	default:
		return def
	}
}

// since is what a definition says otherwise than it did, and the last change by which it does; none of names.
func (w *writer) since(was Record) Step {
	d := w.derivation()
	h := d.of[d.place(was)]
	s := Step{Was: was, Is: w.sensible(d, h)}
	for _, section := range s.Sections() {
		if by := h.last[section]; by.Noted.After(s.Noted) {
			s.Change = by
		}
	}
	s.Of = was
	return s
}

// changes are those of the book with those of the writing.
func (w *writer) changes() []Change {
	if w.log == nil {
		w.log = w.View.changes()
	}
	return w.log
}

func compareChanges(a, b Change) int { return bytes.Compare(a.key(), b.key()) }

// putChange puts a change into the log; added is false if the book has it. What follows from it, derive works out.
func (w *writer) putChange(c Change) (added bool) {
	c = c.canonical()
	key := c.key()
	if added = changesBucket(w.tx).Get(key) == nil; added {
		c.kept = string(key)
		at, _ := slices.BinarySearchFunc(w.changes(), c, compareChanges)
		w.log = slices.Insert(w.log, at, c)
		if w.noted = true; w.comesTo != nil && !w.comesTo.take(c) {
			w.comesTo = nil
		}
		put(changesBucket(w.tx), key, appendChange(c))
		w.save.change(c)
		w.toSend(ID{}, c)
	}
	return added
}

// canonical is a change in the one form that all books give it.
func (c Change) canonical() Change {
	if c.Noted = c.Noted.UTC(); c.Noted.IsZero() {
		c.Who = "" // nobody noted it, at no moment
	}
	if t, is := c.Of.(Tank); is {
		c.Of = t.named(t.naming())
	}
	slices.Sort(c.Without)
	c.Without = slices.Compact(c.Without)
	return c
}

// define notes what a definition says otherwise than the book does; changed is false if the book says the very same.
func (w *writer) define(def Record) (changed bool) {
	if of, is := def.(tanked); is {
		w.needTank(of.TankName())
		def = w.presently(def)
	}
	d := w.derivation()
	h := cmp.Or(d.of[d.place(def)], &held{})
	want, set, c := sectionsOf(def), sections{}, Change{}
	for section, fields := range want {
		if is, has := h.of[section]; !has || !reflect.DeepEqual(is, fields) {
			set[section] = fields
		}
	}
	shown := sections{} // what is left out of it nobody saw, and nobody takes away
	if len(h.changes) > 0 {
		if is := w.sensible(d, h); is != nil {
			shown = sectionsOf(is)
		}
	}
	for section := range shown {
		if _, stays := want[section]; !stays {
			c.Without = append(c.Without, section)
		}
	}
	changed = len(h.changes) == 0 || len(set)+len(c.Without) > 0
	c.Of = madeOf(def, set)
	if t, is := def.(Tank); is {
		joined := *h
		joined.nameTank(t, true)
		naming := Tank{Name: joined.tank.Name}
		if !reflect.DeepEqual(joined.tank, h.tank) {
			naming, changed = joined.tank, true
		}
		c.Of = c.Of.(Tank).named(naming)
	}
	if changed {
		w.note(c, h)
	}
	return changed
}

// note notes a change of what others come to, at its moment.
func (w *writer) note(c Change, of *held) {
	now, latest, overruled := w.clock(), time.Time{}, time.Time{}
	for _, section := range c.sections() {
		overruled = laterOf(overruled, of.last[section].Noted)
	}
	for _, other := range slices.Backward(w.changes()) {
		if !isAhead(other.Noted, now) {
			latest = other.Noted
			break
		}
	}
	c.Noted, c.Who = momentAfter(now, laterOf(latest, overruled)), w.by()
	w.putChange(c)
	w.derive()
}
