package keep

import (
	"fmt"

	"github.com/spf13/cobra"

	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// tableOptions say how the CSV of an export is written.
type tableOptions struct {
	spreadsheet, wide, wallClock, decimalComma bool
	columns                                    []string
	units                                      map[string]string
	timezone, delimiter                        string
}

func (t *tableOptions) flags(cmd *cobra.Command) {
	f := cmd.Flags()
	f.BoolVar(&t.spreadsheet, "spreadsheet", false, "CSV: put a ' before text that a spreadsheet would take for a formula, a number or a day")
	f.BoolVar(&t.wide, "wide", false, "CSV: one row for each test, one column for each parameter; methods and notes only with --columns")
	f.StringSliceVar(&t.columns, "columns", nil, "CSV: these `COLUMNS`, of time,date,tank,parameter,value,unit,method,note; with --wide also parameters")
	f.StringToStringVar(&t.units, "units", nil, "CSV: convert values: `PARAMETER=UNIT,...`")
	f.StringVar(&t.timezone, "timezone", "", "CSV: write times in this `ZONE` (else as they were noted)")
	f.BoolVar(&t.wallClock, "wall-clock", false, "CSV: write times without an offset, as spreadsheets know them, in --timezone or the tank's zone")
	f.StringVar(&t.delimiter, "delimiter", "", "CSV: `comma, semicolon or tab` between the fields (else a comma, and with --decimal-comma a semicolon)")
	f.BoolVar(&t.decimalComma, "decimal-comma", false, "CSV: write 0,03")
	_ = cmd.RegisterFlagCompletionFunc("delimiter", cobra.FixedCompletions(app.DelimiterNames(), cobra.ShellCompDirectiveNoFileComp))
}

func (t *tableOptions) set() bool {
	return t.spreadsheet || t.wide || t.wallClock || t.decimalComma || len(t.columns)+len(t.units) > 0 || t.timezone != "" || t.delimiter != ""
}

// export is what the flags say, checked.
func (t *tableOptions) export(v *logbook.View) (out logbook.ExportOptions, err error) {
	out = logbook.ExportOptions{Spreadsheet: t.spreadsheet, Wide: t.wide, WallClock: t.wallClock, DecimalComma: t.decimalComma, Columns: t.columns,
		Units: map[string]string{}}
	if t.timezone != "" {
		if out.Zone, err = app.ParseZone(t.timezone); err != nil {
			return out, err
		}
	}
	if out.Comma, err = app.ParseDelimiter(t.delimiter); err != nil {
		return out, err
	}
	ps, err := v.Parameters()
	if err != nil {
		return out, err
	}
	if out.Units, err = app.UnitsOf(ps, t.units); err != nil {
		return out, err
	}
	if err := out.Check(ps); err != nil {
		return out, usage.Mistyped(fmt.Errorf("--columns: %w", err))
	}
	return out, nil
}
