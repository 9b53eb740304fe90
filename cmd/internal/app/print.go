package app

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf16"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

func (a *App) PrintReadings(readings []logbook.Reading) error {
	if a.JSON {
		return a.Opened.View(func(v *logbook.View) error {
			out := []shape.Reading{}
			for _, r := range readings {
				p, err := v.Parameter(r.Parameter)
				if err != nil {
					return err
				}
				out = append(out, shape.ReadingOf(r, p))
			}
			return a.PrintJSON(out)
		})
	}
	tails, err := a.Tails(words.Of(readings, logbook.Reading.EntryID)...)
	if err != nil {
		return err
	}
	c := words.Table{Ranks: []int{0, 0, 2, 1, 0, 3}}
	for i, r := range readings {
		c.Add(tails[i], words.Moment(r.Time), r.Tank, r.Parameter, words.Typed(r), r.Method, r.Note, words.With("by ", r.Who))
	}
	a.Table(c, "")
	return nil
}

// Tails are the ends of ids by which a person names entries.
func (a *App) Tails(ids ...logbook.ID) ([]string, error) {
	return logbook.Seen(a.Opened, func(v *logbook.View) ([]string, error) { return v.Tails(ids) })
}

// PrintEntries lists entries of the book with their ids.
func (a *App) PrintEntries(ids []logbook.ID) error {
	var es []logbook.Entry
	var readings []logbook.Reading
	var lines []string
	err := a.Opened.View(func(v *logbook.View) (err error) {
		for _, id := range ids {
			e, err := v.Entry(id)
			if err != nil {
				return err
			}
			if r, is := e.(logbook.Reading); is {
				readings = append(readings, r)
			}
			es = append(es, e)
		}
		lines, err = entry.WithIDs(v, es, "  ")
		return err
	})
	switch {
	case err != nil:
		return err
	case a.JSON:
		return PrintRecords(a, es, nil)
	case len(readings) == len(ids):
		return a.PrintReadings(readings)
	}
	a.Each("%s", lines)
	return nil
}

// LastReading is the latest reading of a finding that has one.
func LastReading(l alerts.Finding) logbook.Reading { return l.Readings[len(l.Readings)-1] }

// PlainNumber is a number to three digits at most, without zeros at its end.
func PlainNumber(v float64) string { return water.FormatAtMost(v, 3) }

// Table prints a table of results, each row behind the indent; a terminal gets what it has room for.
func (a *App) Table(t words.Table, indent string) {
	for _, line := range t.Lines(indent, a.width(a.RawOut), a.ink) {
		fmt.Fprintln(a.Out, line)
	}
}

// Printf prints a line of results, cleaned; a terminal gets it broken between words.
func (a *App) Printf(format string, args ...any) { a.PrintAs(words.Quiet, format, args...) }

// Each prints a line of results for every text, SayEach a message.
func (a *App) Each(format string, texts []string) {
	for _, text := range texts {
		a.Printf(format, text)
	}
}

func (a *App) SayEach(format string, texts []string) {
	for _, text := range texts {
		a.Say(format, text)
	}
}

// PrintAs prints a line of results that stands out.
func (a *App) PrintAs(look words.Look, format string, args ...any) {
	for _, line := range words.Fold(usage.CleanLines(fmt.Sprintf(format, args...)), a.textWidth(a.RawOut)) {
		fmt.Fprintln(a.Out, a.ink(look, line))
	}
}

// PrintHelp prints a page of help. Its paragraphs are broken into lines anew, as wide as the terminal is.
func (a *App) PrintHelp(page string) {
	if w := a.textWidth(a.RawOut); w > 0 {
		page = regexp.MustCompile(`(?m)^\S.*(\n\S.*)*`).ReplaceAllStringFunc(page, func(paragraph string) string {
			return strings.Join(words.Wrap(paragraph, w, 0), "\n")
		})
	}
	a.Printf("%s", strings.TrimSuffix(page, "\n"))
}

// LookOf is that of a line about a subject, "" for a parameter: of the gravest of the alerts about it that is open.
func LookOf(subject string, all []alerts.Alert, asOf time.Time) words.Look {
	look := words.Quiet
	for _, al := range all {
		if al.Subject == subject && al.Open(asOf) {
			look = max(look, words.Head+words.Look(al.Severity))
		}
	}
	return look
}

// The plain mode is the program for a screen reader, and for a terminal that only takes lines: no cursor is moved,
// nothing is drawn or coloured, and whatever there is to say comes as a sentence on a line of its own.

// Plain reports whether sentences were asked for, once or for always.
func (a *App) Plain() bool {
	set, _ := a.Settings() // what is wrong in the file is said by what depends on it
	return a.PlainFlag || a.Switched("LEADLINE_PLAIN", set.Plain)
}

// Talks reports whether the plain mode takes the place of the screens: when it was asked for, and where the terminal
// cannot draw.
func (a *App) Talks() bool { return a.Plain() || a.Env("TERM") == "dumb" }

// Sentence prints a sentence on a line of its own. A terminal gets it broken between words: by itself it would break it
// inside of one, and half words would be read aloud.
func (a *App) Sentence(format string, args ...any) {
	text := InSpokenWords(fmt.Sprintf(format, args...))
	if terminal.IsTerminal(a.RawOut) {
		text = strings.Join(words.Wrap(text, a.Columns(), 0), "\n")
	}
	a.Printf("%s", text)
}

// InSpokenWords writes out the signs that are read aloud wrong or not at all. A dash between numbers is a range.
func InSpokenWords(text string) string {
	text = regexp.MustCompile(`(\d)–([-+\d])`).ReplaceAllString(text, "$1 to $2")
	return strings.NewReplacer("–", "-", "—", "none", "…", "...", "↗", "rising", "↘", "falling", "→", "to", "≤",
		"at most ", "≥", "at least ", "·", "none").Replace(text)
}

// PrintJSON prints one value on one line. What a terminal could take for a command, or what turns the direction of
// writing, is written as an escape, which says the same to a reader of JSON.
func (a *App) PrintJSON(v any) error { return writeJSON(a.Out, v) }

func writeJSON(w io.Writer, v any) error {
	var line, out bytes.Buffer
	enc := json.NewEncoder(&line)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	for _, r := range line.String() {
		if r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			for _, unit := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(&out, "\\u%04x", unit)
			}
			continue
		}
		out.WriteRune(r)
	}
	_, err := out.WriteTo(w)
	return err
}

// Answer prints an answer as JSON, or in words.
func (a *App) Answer(json any, inWords func()) error {
	if a.JSON {
		return a.PrintJSON(json)
	}
	inWords()
	return nil
}

// PrintList prints a list as JSON, or the same as a table.
func (a *App) PrintList(list any, table words.Table) error {
	return a.Answer(list, func() { a.Table(table, "") })
}

// PrintRecords prints records: as JSON in the form of JSON Lines, as one list, else a row of each.
func PrintRecords[R logbook.Record](a *App, recs []R, row func(R) []string) error {
	list := []json.RawMessage{}
	var table words.Table
	for _, rec := range recs {
		list = append(list, logbook.RecordJSON(rec))
		if row != nil {
			table.Add(row(rec)...)
		}
	}
	return a.PrintList(list, table)
}

// PrintOtherwise tells what definitions say otherwise by what came into the book, and what of that does not hold.
func (a *App) PrintOtherwise(book *logbook.Book, done logbook.Imported) error {
	const most = 12
	if len(done.Otherwise)+len(done.Overruled) == 0 {
		return nil
	}
	parameters, err := logbook.Seen(book, (*logbook.View).Parameters)
	if err != nil {
		return err
	}
	known := words.Known{Parameters: parameters}
	for i, s := range done.Otherwise {
		if i == most {
			a.Printf("and %d more", len(done.Otherwise)-most)
			break
		}
		by := ""
		if s.Noted.Unix() > 0 {
			by = "; noted" + words.With(" by ", s.Who) + " " + words.Moment(s.Noted.In(a.Now().Location()))
		}
		a.Printf("%s: %s%s", s.Name(), known.Step(s), by)
	}
	for _, s := range done.Overruled {
		a.Printf("%s stays otherwise than in what came: %s", s.Name(), known.Step(s))
	}
	return nil
}

// NewHistory is a command that prints what was noted of definitions, of each the newest last; where field is not empty,
// of that alone. The definitions are of a tank, or of none, and then the tank tells the time zone, if one is meant.
func NewHistory(a *App, use string, find func(v *logbook.View, t logbook.Tank, args []string) (defs []logbook.Record,
	field string, err error)) *cobra.Command {
	return a.Command(use, shape.Records{}, func(args []string) error {
		if strings.Contains(use, "[") && len(args) == strings.Count(use, " ") { // the tank is named
			a.TankFlag = args[0]
		}
		var known words.Known
		var tank logbook.Tank
		steps, err := Seen(a, func(v *logbook.View) (steps []logbook.Step, err error) {
			var noTank, failed, err1 error
			if tank, noTank = a.Tank(v); noTank != nil {
				tank.Timezone = a.Now().Location().String()
			}
			defs, field, err := find(v, tank, args)
			for _, def := range defs {
				if def.Kind() != logbook.KindMethod && def.Kind() != logbook.KindSupplement {
					err = cmp.Or(noTank, err)
				}
				of, err := v.History(def)
				steps, failed = append(steps, of...), cmp.Or(failed, err)
			}
			known.Parameters, err1 = v.Parameters()
			return slices.DeleteFunc(steps, func(s logbook.Step) bool {
				return field != "" && !slices.Contains(s.Sections(), field)
			}), cmp.Or(err, failed, err1)
		})
		if err != nil {
			return err
		}
		return PrintRecords(a, steps, func(s logbook.Step) []string {
			when := "earlier" // than moments were kept
			if s.Noted.Unix() > 0 {
				when = words.Moment(s.Noted.In(tank.Zone()))
			}
			return []string{when, s.Who, known.Step(s)}
		})
	})
}

// Command makes a command and notes what it prints with --json: a shape, which of hindcast and of demand --hindcast is
// that of one line, or Words.
func (a *App) Command(use string, prints any, do func(args []string) error) *cobra.Command {
	return a.CommandOf(use, prints, func(_ *cobra.Command, args []string) error { return do(args) })
}

// CommandOf makes a command that has to know more of how it was called than its arguments.
func (a *App) CommandOf(use string, prints any, do func(cmd *cobra.Command, args []string) error) *cobra.Command {
	return a.Prints(prints, &cobra.Command{Use: use, RunE: do})
}

// Prints notes what a command prints with --json.
func (a *App) Prints(shape any, cmd *cobra.Command) *cobra.Command {
	if a.Shapes == nil {
		a.Shapes = map[*cobra.Command]any{}
	}
	a.Shapes[cmd] = shape
	return cmd
}

// Words are what a command prints whose results are a file or a line for people. The text is the hint of its refusal of
// --json: what has the numbers instead.
type Words string

// Published are the shapes of what --json prints, by command, and that of an error.
func (a *App) Published() map[string]any {
	all := map[string]any{"error": shape.Failure{}}
	for cmd, shape := range a.Shapes {
		if _, words := shape.(Words); !words {
			all[nameOf(cmd)] = shape
		}
	}
	return all
}

// nameOf is the name of a command as it is typed behind leadline.
func nameOf(cmd *cobra.Command) string {
	return strings.TrimPrefix(cmd.CommandPath(), cmd.Root().Name()+" ")
}

// RefuseJSON makes --json wrong usage where nothing is printed as JSON, rather than have a script take words for it.
func (a *App) RefuseJSON() {
	for cmd, shape := range a.Shapes {
		instead, words := shape.(Words)
		if does := cmd.RunE; words && does != nil {
			cmd.RunE = func(cmd *cobra.Command, args []string) error {
				if a.JSON {
					return usage.Errorf(string(instead), "leadline %s prints no JSON", nameOf(cmd))
				}
				return does(cmd, args)
			}
		}
	}
}
