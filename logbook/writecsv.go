package logbook

import (
	"bufio"
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"
)

// ExportOptions says what of a book is written.
type ExportOptions struct {
	Tank  string    // "" means all
	Since time.Time // zero: from the beginning

	// How CSV is written. All but Spreadsheet make a file for elsewhere: what is left out, converted or moved to another
	// zone is a new reading to the book that it came from. text that a spreadsheet would take for something else gets a '
	// in front, which reading takes off again; and a byte order mark
	Spreadsheet bool
	Wide        bool // one column for each parameter
	// in place of those of csvHeader; of the wide form, in place of time, tank and every parameter
	Columns []string
	Units   map[string]string // by name of the parameter: its values are converted
	Zone    *time.Location    // times are written with the offset of this zone; nil: as they were noted
	// times are written without an offset, as spreadsheets know them: in Zone, else the tank's
	WallClock    bool
	Comma        rune // comma, semicolon or tab; 0: a comma, and with a decimal comma a semicolon
	DecimalComma bool
}

// WriteCSV writes the readings of a book that are not struck, by tank, parameter and time in the long form, by tank and
// time in the wide one. Without further options values, units and notes are written as they were typed and times with
// their offset, so that reading the file back and writing it again gives the same bytes. Parameters of the keeper's own
// are named but not described.
func WriteCSV(w io.Writer, v *View, opt ExportOptions) error {
	ps, err := v.Parameters()
	tanks, err2 := v.Tanks()
	if err := cmp.Or(err, err2); err != nil {
		return err
	}
	c, err := newCSVWriter(w, ps, tanks, opt)
	if err != nil {
		return err
	}
	if opt.Wide {
		return c.writeWide(v)
	}
	return c.writeLong(v)
}

// Check says what is wrong with the columns and units that are asked for.
func (opt ExportOptions) Check(ps []Parameter) error {
	_, err := newCSVWriter(io.Discard, ps, nil, opt)
	return err
}

type csvWriter struct {
	*bufio.Writer
	opt        ExportOptions
	comma      byte
	columns    []string
	parameters map[string]Parameter
	zones      map[string]*time.Location // of the tanks
	row        []byte
}

func csvOut() []string {
	return []string{"time", "date", "tank", "parameter", "value", "unit", "method", "note", "who"}
}

func newCSVWriter(w io.Writer, ps []Parameter, tanks []Tank, opt ExportOptions) (*csvWriter, error) {
	c := &csvWriter{Writer: bufio.NewWriterSize(w, 64<<10), opt: opt, comma: byte(opt.Comma),
		parameters: map[string]Parameter{}, zones: map[string]*time.Location{}}
	if opt.Comma == 0 {
		if c.comma = ','; opt.DecimalComma {
			c.comma = ';'
		}
	} else if err := checkComma(opt.Comma); err != nil {
		return nil, err
	}
	for _, p := range ps {
		c.parameters[p.Name] = p
	}
	for _, t := range tanks {
		c.zones[t.Name] = t.Zone()
	}
	for name, unit := range opt.Units {
		p, ok := c.parameters[name]
		if !ok {
			return nil, refuse(name, "", "%s is not a parameter", quote(name))
		}
		if _, err := p.FindUnit(unit); err != nil {
			return nil, err
		}
	}
	if err := c.chooseColumns(ps); err != nil {
		return nil, err
	}
	if opt.Spreadsheet {
		c.WriteString("\ufeff")
	}
	return c, nil
}

// chooseColumns looks at the columns that were asked for. A value without its unit would be read as any.
func (c *csvWriter) chooseColumns(ps []Parameter) error {
	c.columns = c.opt.Columns
	if len(c.columns) == 0 {
		if c.columns = strings.Split(csvHeader, ","); c.opt.Wide {
			c.columns = []string{"time", "tank"}
		}
	}
	seen := map[string]bool{}
	for i, name := range c.columns {
		p, isParameter := FindParameter(ps, name)
		switch ofLong := slices.Contains(csvOut(), name); {
		case c.opt.Wide && isParameter && !ofLong:
			name = p.Name
		case !ofLong && isParameter:
			return refuse(name, "--wide has a column for each parameter", "%s is a column of the wide form", quote(name))
		case !ofLong:
			return refuse(name, "columns are "+strings.Join(csvOut(), ", ")+"; in the wide form also parameters",
				"%s is not a column", quote(name))
		case c.opt.Wide && (name == "parameter" || name == "value" || name == "unit"):
			return refuse(name, "", "the wide form has no column %s", name)
		}
		if seen[name] {
			return refuse(name, "", "the column %s is named twice", quote(name))
		}
		seen[name] = true
		if i == 0 {
			c.columns = slices.Clone(c.columns)
		}
		c.columns[i] = name
	}
	if seen["value"] && !(seen["unit"] && seen["parameter"]) {
		return refuse("value", "add parameter and unit", "values without their parameter and unit say nothing")
	}
	return nil
}

// writeLong writes one reading a row. Without columns of one's own there is one for who tested where a row tells it.
func (c *csvWriter) writeLong(v *View) error {
	if len(c.opt.Columns) == 0 {
		told, err := v.tellsWho(c.opt.takes)
		if err != nil {
			return err
		}
		if told {
			c.columns = append(c.columns, "who")
		}
	}
	if err := c.writeHeader(c.columns); err != nil {
		return err
	}
	var same []Reading // of one tank, parameter and moment
	flush := func() error {
		slices.SortFunc(same, compareSaid)
		for i := range same {
			if err := c.writeReading(&same[i]); err != nil {
				return err
			}
		}
		same = same[:0]
		return nil
	}
	err := v.EachReading(func(r Reading) error {
		if !c.opt.takes(r.Tank, r.Time) {
			return nil
		}
		if len(same) > 0 && !(same[0].Time.Equal(r.Time) && same[0].Parameter == r.Parameter && same[0].Tank == r.Tank) {
			if err := flush(); err != nil {
				return err
			}
		}
		same = append(same, r)
		return nil
	})
	if err != nil {
		return err
	}
	if err := flush(); err != nil {
		return err
	}
	return c.Flush()
}

// tellsWho reports whether any of the readings that are taken tells who tested.
func (v *View) tellsWho(takes func(tank string, t time.Time) bool) (told bool, err error) {
	err = v.guarded(func() {
		for _, s := range v.eachSeries(KindReading, 0) {
			for key, value := range v.eachIn(KindReading, s, 0, endTime().UnixNano()) {
				if v.readingValue(key, value).who != 0 && takes(v.names.name(s.tank), time.Unix(0, key.nanos())) {
					told = true
					return
				}
			}
		}
	})
	return told, err
}

func (opt ExportOptions) takes(tank string, t time.Time) bool {
	return (opt.Tank == "" || opt.Tank == tank) && !t.Before(opt.Since)
}

// compareSaid orders readings of one moment by what they say. Their IDs would not do: a book that was filled from the
// file may give others.
func compareSaid(a, b Reading) int {
	if a.Text == b.Text && a.Unit == b.Unit && a.Method == b.Method && a.Note == b.Note && a.Who == b.Who {
		return strings.Compare(FormatTime(a.Time), FormatTime(b.Time))
	}
	return cmp.Or(strings.Compare(a.Text, b.Text), strings.Compare(a.Unit, b.Unit), strings.Compare(a.Method, b.Method),
		strings.Compare(a.Note, b.Note), strings.Compare(a.Who, b.Who))
}

func (c *csvWriter) writeReading(r *Reading) error {
	text, unit, err := c.value(r, c.opt.Units[r.Parameter])
	if err != nil {
		return err
	}
	return c.writeRow(c.columns, func(column string) error {
		switch column {
		case "value":
			c.appendValue(text)
		case "unit":
			c.appendText(unit)
		case "parameter":
			c.appendText(r.Parameter)
		default:
			c.appendOf(r, column)
		}
		return nil
	})
}

// writeRow writes a row; field appends what stands in a column.
func (c *csvWriter) writeRow(columns []string, field func(column string) error) error {
	c.row = c.row[:0]
	for i, column := range columns {
		if i > 0 {
			c.row = append(c.row, c.comma)
		}
		if err := field(column); err != nil {
			return err
		}
	}
	c.row = append(c.row, '\r', '\n')
	_, err := c.Write(c.row)
	return err
}

func (c *csvWriter) appendText(text string) {
	c.row = appendCSVField(c.row, guard(text, c.opt.Spreadsheet))
}

// appendValue appends a value. A decimal comma stands without quotation marks where it is no delimiter: some
// spreadsheets would take a number inside of them for text.
func (c *csvWriter) appendValue(text string) {
	if c.comma != ',' && !needsQuotes(strings.Replace(text, ",", "", 1)) {
		c.row = append(c.row, text...)
		return
	}
	c.row = appendCSVField(c.row, text)
}

func (c *csvWriter) appendOf(r *Reading, column string) {
	switch column {
	case "time":
		c.appendTime(r)
	case "date":
		c.row = c.timeOf(r).AppendFormat(c.row, time.DateOnly)
	case "tank":
		c.appendText(r.Tank)
	case "method":
		c.appendText(r.Method)
	case "note":
		c.appendText(r.Note)
	case "who":
		c.appendText(r.Who)
	}
}

// timeOf is the time of a reading in the zone in which it is written.
func (c *csvWriter) timeOf(r *Reading) time.Time {
	if c.opt.Zone != nil {
		return fixed(r.Time.In(c.opt.Zone))
	}
	if zone := c.zones[r.Tank]; zone != nil && c.opt.WallClock {
		return r.Time.In(zone)
	}
	return r.Time
}

// appendTime appends a time; beside a date of its own, the time of day alone.
func (c *csvWriter) appendTime(r *Reading) {
	t, from := c.timeOf(r), len(c.row)
	c.row = appendTime(c.row, t)
	if c.opt.WallClock {
		c.row = t.AppendFormat(c.row[:from], "2006-01-02 15:04:05.999999999")
	}
	if day := len("2006-01-02 "); slices.Contains(c.columns, "date") {
		c.row = append(c.row[:from], c.row[from+day:]...)
	}
}

// value is the text of a value and its unit: as typed, unless another unit is wanted. A converted value has six digits,
// which is more than any test of an aquarium.
func (c *csvWriter) value(r *Reading, wanted string) (text, unit string, err error) {
	text, unit = r.Text, r.Unit
	if wanted != "" && wanted != r.Unit {
		unit = wanted
		if text, err = convertedText(c.parameters[r.Parameter], r, wanted); err != nil {
			return "", "", err
		}
	}
	if c.opt.DecimalComma {
		text = strings.Replace(text, ".", ",", 1)
	}
	return text, unit, nil
}

const convertedDigits = 6

func convertedText(p Parameter, r *Reading, wanted string) (string, error) {
	to, err := p.FindUnit(wanted)
	if err != nil {
		return "", err
	}
	if from, err := p.FindUnit(r.Unit); err == nil && from.Name() == to.Name() {
		return r.Text, nil
	}
	v, err := strconv.ParseFloat(strconv.FormatFloat(to.FromCanonical(r.Value), 'g', convertedDigits, 64), 64)
	if text := formatNumber(v); err == nil && v-v == 0 && len(text) < longestValue {
		return r.Bound.Sign() + text, nil
	}
	return "", refuse(r.Text, "", "%s of %s cannot be said in %s", withUnit(r.Text, r.Unit),
		Clean(r.Tank)+" at "+FormatTime(r.Time), Clean(wanted))
}

func (c *csvWriter) writeHeader(names []string) error {
	return c.writeRow(names, func(name string) error {
		c.appendText(name)
		return nil
	})
}

// appendCSVField puts a field in quotation marks where it could be misread without: what holds a delimiter, a mark or
// a control character, and what begins or ends with a blank.
func appendCSVField(b []byte, s string) []byte {
	if !needsQuotes(s) {
		return append(b, s...)
	}
	return append(append(append(b, '"'), strings.ReplaceAll(s, `"`, `""`)...), '"')
}

func needsQuotes(s string) bool {
	for _, c := range []byte(s) {
		if c < ' ' || c == '"' || c == ',' || c == ';' {
			return true
		}
	}
	return trim(s) != s
}

// A spreadsheet runs a cell as a formula if it begins with one of these, and takes a text such as 1/2 or 0012 for a day
// or a number. An export for a spreadsheet puts a ' before both, and reading takes it off again. So that this is exact
// for every text, one that has such a mark of its own there gets another one in every export.
const formulaSigns = "=+-@\t\r\n＝＋－＠"

// misread reports whether a spreadsheet would take the text for something else, marks before it aside.
func misread(text string) bool {
	bare := strings.TrimLeft(text, "'")
	if bare == "" {
		return false
	}
	sign, _ := utf8.DecodeRuneInString(bare)
	// of digits and the marks of numbers, days and times of day alone
	numeric := sign >= '0' && sign <= '9' && strings.Trim(bare, "0123456789 .,:/-+eE%") == ""
	return numeric || strings.ContainsRune(formulaSigns, sign)
}

// guard is a text as it is written: for a spreadsheet, or exact.
func guard(text string, spreadsheet bool) string {
	if text == "" {
		return text
	}
	if (spreadsheet || text[0] == '\'') && misread(text) {
		return "'" + text
	}
	return text
}

// SpreadsheetText is a cell that no spreadsheet takes for a formula.
func SpreadsheetText(text string) string { return guard(text, true) }

// unguard undoes guard.
func unguard(text []byte) (plain []byte, guarded bool) {
	if len(text) < 2 || text[0] != '\'' || !misread(string(text)) {
		return text, false
	}
	return text[1:], true
}
