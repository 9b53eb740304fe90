package app

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf16"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// PrintJSON prints one value on one line. What a terminal could take for a command, or what turns the direction of
// writing, is written as an escape, which says the same to a reader of JSON.
func (a *App) PrintJSON(v any) error {
	var line bytes.Buffer
	enc := json.NewEncoder(&line)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	for _, r := range line.String() {
		if r >= 0x7f && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			for _, unit := range utf16.Encode([]rune{r}) {
				fmt.Fprintf(a.Out, "\\u%04x", unit)
			}
			continue
		}
		if _, err := a.Out.WriteRune(r); err != nil {
			return err
		}
	}
	return nil
}

// PrintList prints a list as JSON, or the same as a table.
func (a *App) PrintList(list any, table words.Table) error {
	if a.JSON {
		return a.PrintJSON(list)
	}
	a.Table(table, "")
	return nil
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

// Prints notes what a command prints with --json; of hindcast and of demand --hindcast it is one line.
func (a *App) Prints(shape any, cmd *cobra.Command) *cobra.Command {
	if a.Shapes == nil {
		a.Shapes = map[*cobra.Command]any{}
	}
	a.Shapes[cmd] = shape
	return cmd
}

// PrintsRecords notes that a command prints records with --json.
func (a *App) PrintsRecords(cmd *cobra.Command) *cobra.Command {
	return a.Prints([]shape.Record{}, cmd)
}

// PrintsWords notes that the results of a command are a file or a line for people, and what has the numbers instead.
func (a *App) PrintsWords(instead string, cmd *cobra.Command) *cobra.Command {
	return a.Prints(wordsOnly(instead), cmd)
}

// wordsOnly is the shape of what is no JSON: the hint of a command that refuses --json.
type wordsOnly string

// Published are the shapes of what --json prints, by command.
func (a *App) Published() map[string]any {
	all := map[string]any{}
	for cmd, shape := range a.Shapes {
		if _, words := shape.(wordsOnly); !words {
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
		instead, words := shape.(wordsOnly)
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
