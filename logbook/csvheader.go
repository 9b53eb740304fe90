package logbook

import (
	"bufio"
	"bytes"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
)

const headerHint = "the header is " + csvHeader + ", or a date and one column for each parameter"

// csvColumns says which column holds what; -1 where none does.
type csvColumns struct {
	names   []string // as in the header, "" for a column without one
	ignored []bool   // the columns that were left out by name

	time, date, tank, parameter, value, unit, method, note, censored, who int

	wide []wideColumn // of the wide form; nil in the long form
}

// csvFields are the names that a column may have, or be given by a mapping. A column "date" beside a column "time"
// holds the day of it; alone it is the time.
func csvFields() []string {
	return []string{"time", "date", "tank", "parameter", "value", "unit", "method", "note", "censored", "who"}
}

// field is the place where the column of a field is noted; nil if there is no such field.
func (h *csvColumns) field(name string) *int {
	inOrder := []*int{&h.time, &h.date, &h.tank, &h.parameter, &h.value, &h.unit, &h.method, &h.note, &h.censored, &h.who}
	if i := slices.Index(csvFields(), name); i >= 0 {
		return inOrder[i]
	}
	return nil
}

// name is the name of a column for messages, "" if it has none.
func (h *csvColumns) name(column int) string {
	if column < 0 || column >= len(h.names) {
		return ""
	}
	return h.names[column]
}

// foldName makes names of columns comparable.
func foldName(s string) string { return strings.ToLower(trim(s)) }

// readHeader finds out what the columns hold; false if something in it was refused.
func (f *csvFile) readHeader() bool {
	h := &f.header
	for _, name := range csvFields() {
		*h.field(name) = -1
	}
	f.rows.header(len(f.row.fields))
	h.names, h.ignored = make([]string, len(f.row.fields)), make([]bool, len(f.row.fields))
	for i, c := range f.row.fields {
		name, _ := unguard(c.text)
		h.names[i] = trim(string(name))
	}
	f.notes.Header = slices.Clone(h.names)
	free := f.namedColumns()
	free = f.mapColumns(free)
	free = f.ownNames(free)
	if len(f.refusals.all) > 0 {
		return false
	}
	if h.value < 0 { // columns that name a parameter
		free = slices.DeleteFunc(free, func(i int) bool {
			p, unit := f.headerParameter(h.names[i])
			if p != nil {
				f.addWide(i, p, unit)
			}
			return p != nil
		})
	}
	if h.time < 0 { // "date" alone is the time
		h.time, h.date = h.date, -1
	}
	if f.needColumns(); len(f.refusals.all) == 0 {
		f.refuseUnknown(free)
	}
	return len(f.refusals.all) == 0
}

// namedColumns lists the columns that have a name and are not to be left out, and refuses names that come twice.
func (f *csvFile) namedColumns() []int {
	var free []int
	seen := map[string]int{}
	ignored := map[string]bool{}
	for _, name := range f.opt.Ignore {
		ignored[foldName(name)] = false
	}
	for i, name := range f.header.names {
		folded := foldName(name)
		if _, ok := ignored[folded]; ok {
			ignored[folded], f.header.ignored[i] = true, true
			continue
		}
		if first, ok := seen[folded]; ok && name != "" {
			f.refuseCell(i, refuse(name, "", "two columns have the name %s: %d and %d", quote(name), first+1, i+1))
			continue
		}
		seen[folded] = i
		if name != "" {
			free = append(free, i)
		}
	}
	for _, name := range f.opt.Ignore {
		if !ignored[foldName(name)] {
			f.refuse(Refusal{Value: name, Reason: fmt.Sprintf("there is no column %s to leave out", quote(name)),
				Hint: f.columnsHint()})
		}
	}
	return free
}

func (f *csvFile) columnsHint() string {
	names := slices.DeleteFunc(gather(f.header.names, Clean), func(name string) bool { return name == "" })
	return "the columns are " + strings.Join(names, ", ")
}

func (f *csvFile) mapColumns(free []int) []int {
	for _, field := range sortedKeys(f.opt.Map) {
		name := f.opt.Map[field]
		i := slices.IndexFunc(free, func(i int) bool { return foldName(f.header.names[i]) == foldName(name) })
		if i < 0 {
			f.refuse(Refusal{Value: name, Reason: fmt.Sprintf("there is no column %s for %s, or it is used twice", quote(name),
				Clean(field)), Hint: f.columnsHint()})
			continue
		}
		column := free[i]
		if place := f.header.field(foldName(field)); place != nil {
			*place = column
		} else if p, err := f.typed.parameter([]byte(field)); err == nil {
			f.addWide(column, p, headerUnit(p, f.header.names[column]))
		} else {
			f.refuse(Refusal{Value: field, Reason: fmt.Sprintf("%s is neither a field nor a parameter", quote(field)),
				Hint: "fields are " + strings.Join(csvFields(), ", ")})
		}
		free = slices.Delete(free, i, i+1)
	}
	return free
}

func (f *csvFile) ownNames(free []int) []int {
	return slices.DeleteFunc(free, func(i int) bool {
		name := foldName(f.header.names[i])
		if name == "datetime" || name == "date time" || name == "timestamp" {
			name = "time"
		}
		place := f.header.field(name)
		if place == nil || *place >= 0 {
			return false
		}
		*place = i
		return true
	})
}

func (f *csvFile) needColumns() {
	h := &f.header
	long := h.wide == nil
	switch {
	case h.time < 0:
		f.refuse(Refusal{Reason: "the header has no column time",
			Hint: f.commaHint() + headerHint + "; or say which it is: --map time=COLUMN"})
	case long && h.value < 0:
		f.refuse(Refusal{Reason: "the header has neither a column value nor one for a parameter",
			Hint: headerHint + "; or say which it is: --map value=COLUMN"})
	case !long && h.value >= 0:
		f.refuse(Refusal{Reason: "the columns are of both forms: value, and one for a parameter"})
	case !long && (h.parameter >= 0 || h.unit >= 0 || h.censored >= 0):
		f.refuse(Refusal{Reason: "columns parameter, unit and censored go with a column value, and there is none"})
	case !long && (f.opt.Parameter != "" || f.opt.Unit != ""):
		f.refuse(Refusal{Reason: "a parameter or unit was given for a file that has a column for each parameter",
			Hint: "write the unit behind the parameter in the header, as in nitrate (mg/L), or pass --units nitrate=mg/L"})
	}
	if h.tank < 0 && f.opt.Tank == "" {
		f.refuse(Refusal{Reason: "the header has no column tank", Hint: "pass --tank NAME if all readings are of one tank"})
	}
	if long && h.value >= 0 && h.parameter < 0 && f.opt.Parameter == "" {
		f.refuse(Refusal{Reason: "the header has no column parameter",
			Hint: "pass --parameter NAME if all readings are of one parameter"})
	}
}

func (f *csvFile) refuseUnknown(free []int) {
	for _, i := range free {
		name := f.header.names[i]
		what := "field"
		if f.header.wide != nil {
			what = "field or parameter"
		}
		f.refuseCell(i, refuse(name, fmt.Sprintf("leave it out with --ignore %q, or say what it holds: --map FIELD=%s",
			Clean(name), Clean(name)), "%s is no %s", quote(name), what))
	}
}

// findComma finds the delimiter: of comma, semicolon and tab the one that cuts the first line into the most fields, and
// the comma where they are even. A wrong one makes a header that is refused, with the other one in the hint: rival is
// one that would part the header as well, 0 where none does. above is the size of the line "sep=;" that some
// spreadsheets put above the header.
func findComma(b *bufio.Reader, opt CSVOptions) (comma, rival byte, above int, err error) {
	head, err := b.Peek(b.Size())
	if err != nil && err != io.EOF {
		return 0, 0, 0, err
	}
	if m := regexp.MustCompile("^sep=([,;\t])(\r\n|\n|\r)").FindSubmatch(head); m != nil {
		comma, above = m[1][0], len(m[0])
	}
	if opt.Comma != 0 {
		return byte(opt.Comma), 0, above, checkComma(opt.Comma)
	}
	if above > 0 {
		return comma, 0, above, nil
	}
	most := -1
	for _, other := range []byte{',', ';', '\t'} {
		n := fieldsOfHeader(head, other, opt.Skip)
		switch {
		case n > most && most > 1:
			comma, rival, most = other, comma, n
		case n > most:
			comma, most = other, n
		case n > 1:
			rival = other
		}
	}
	return comma, rival, 0, nil
}

func checkComma(given rune) error {
	if !strings.ContainsRune(",;\t", given) {
		return fmt.Errorf("a delimiter can be a comma, a semicolon or a tab, not %q", given)
	}
	return nil
}

// commaHint says that the header can be cut otherwise; "" if it cannot.
func (f *csvFile) commaHint() string {
	name := map[byte]string{',': "comma", ';': "semicolon", '\t': "tab"}
	if f.rival == 0 {
		return ""
	}
	return fmt.Sprintf("it was cut at every %s: --delimiter %s cuts it there; or ", name[f.comma], name[f.rival])
}

// fieldsOfHeader is the number of fields into which a delimiter cuts the header, -1 if it makes no sense of it.
func fieldsOfHeader(head []byte, comma byte, skip int) int {
	rows := newCSVRows(bytes.NewReader(head), comma)
	for range skip + 1 {
		if more, err := rows.next(); err != nil || !more {
			return -1
		}
	}
	if rows.problem != nil {
		return -1
	}
	return len(rows.fields)
}
