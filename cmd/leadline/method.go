package main

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/logbook"
)

type methodOptions struct {
	parameter, unit                   string
	step, sd, sdRel, sdSteps, atLimit float64
	marks                             []float64
}

func newMethod(a *app) *cobra.Command {
	return group("method", "describe a kit or an instrument, so that its spread and its limit are known",
		newMethodAdd(a), newMethodList(a), newMethodShow(a), newMethodCheck(a))
}

func newMethodAdd(a *app) *cobra.Command {
	var opt methodOptions
	cmd := a.printsRecords(&cobra.Command{
		Use:   "add NAME",
		Short: "describe a method, or describe it anew",
		Example: `  # a colour card: its marks, and readings that scatter by a third of the way between two
  leadline method add nitrate-card --parameter nitrate --unit mg/L --marks 0,1,2,5,10,20,50 --sd-steps 0.35

  # a photometer that shows whole ppb of phosphorus
  leadline method add photometer-p --parameter po4 --unit 'ppb P' --step 1 --sd 3 --limit 1`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.addMethod(args[0], opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.parameter, "parameter", "", "the `PARAMETER` it measures")
	f.StringVar(&opt.unit, "unit", "", "`UNIT` it shows, and of the numbers here (else the parameter's own)")
	f.Float64Var(&opt.step, "step", 0, "smallest `STEP` it can show")
	f.Float64SliceVar(&opt.marks, "marks", nil, "or the `MARKS` of its scale, rising")
	f.Float64Var(&opt.sd, "sd", 0, "standard deviation `SD` of repeated tests of the same water")
	f.Float64Var(&opt.sdRel, "sd-rel", 0, "further standard deviation as a `FRACTION` of the reading")
	f.Float64Var(&opt.sdSteps, "sd-steps", 0, "standard deviation in `STEPS` between neighbouring marks")
	f.Float64Var(&opt.atLimit, "limit", 0, "detection `LIMIT`")
	return cmd
}

func (a *app) addMethod(name string, opt methodOptions) error {
	if opt.parameter == "" {
		return usagef("leadline method add "+name+" --parameter nitrate --step 0.5", "which parameter does it measure? --parameter is missing")
	}
	if (opt.step == 0) == (len(opt.marks) == 0) {
		return usagef("--step 0.5, or --marks 0,1,2,5,10", "give either --step or --marks")
	}
	book, err := a.bookOrNew()
	if err != nil {
		return err
	}
	m := logbook.Method{Name: name, Step: opt.step, Marks: opt.marks, SD: opt.sd, SDRel: opt.sdRel, SDSteps: opt.sdSteps, Limit: opt.atLimit}
	err = book.View(func(v *logbook.View) error {
		p, err := a.parameter(v, opt.parameter)
		if err != nil {
			return err
		}
		u, err := findUnit(p, opt.unit)
		if err != nil {
			return err
		}
		m.Parameter, m.Unit = p.Name, u.Name()
		return nil
	})
	if err != nil {
		return err
	}
	if _, err := book.Append(m); err != nil {
		return err
	}
	return a.printMethods([]logbook.Method{m})
}

func newMethodList(a *app) *cobra.Command {
	return a.printsRecords(&cobra.Command{
		Use:   "list",
		Short: "the described methods",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			return a.showMethods("")
		},
	})
}

func newMethodShow(a *app) *cobra.Command {
	return a.printsRecords(&cobra.Command{
		Use:   "show NAME",
		Short: "one method",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			return a.showMethods(args[0])
		},
	})
}

func newMethodCheck(a *app) *cobra.Command {
	return a.prints([]repeatJSON{}, &cobra.Command{
		Use:   "check NAME",
		Short: "how far single tests by a method scatter, by the duplicate tests in the book",
		Example: `  # two tests of the same water within three hours count as duplicates
  leadline method check photometer-p`,
		Args: cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.checkMethod(args[0]) },
	})
}

// checkMethod says what the duplicate tests tell of every method of a name.
func (a *app) checkMethod(name string) error {
	return a.view(func(v *logbook.View) error {
		methods, err := v.Methods()
		if err != nil {
			return err
		}
		checked := []repeatJSON{}
		for _, m := range methods {
			if m.Name != name {
				continue
			}
			r, err := alerts.RepeatabilityOf(v, m)
			if err != nil {
				return err
			}
			checked = append(checked, repeatOf(r))
			if !a.json {
				a.printf("%s", oneLine(r.Text()))
			}
		}
		if len(checked) == 0 {
			return unknownMethod(methods, name)
		}
		if a.json {
			return a.printJSON(checked)
		}
		return nil
	})
}

// showMethods prints the methods of a name; all of them where it is "".
func (a *app) showMethods(name string) error {
	var shown []logbook.Method
	err := a.view(func(v *logbook.View) error {
		methods, err := v.Methods()
		for _, m := range methods {
			if name == "" || m.Name == name {
				shown = append(shown, m)
			}
		}
		if err == nil && name != "" && len(shown) == 0 {
			err = unknownMethod(methods, name)
		}
		return err
	})
	if err != nil {
		return err
	}
	return a.printMethods(shown)
}

// methodsOf names the described methods of a parameter.
func methodsOf(described []logbook.Method, p logbook.Parameter) (names []string) {
	for _, m := range described {
		if m.Parameter == p.Name {
			names = append(names, m.Name)
		}
	}
	return names
}

// unknownMethod says which method was probably meant.
func unknownMethod(described []logbook.Method, typed string) error {
	var known []string
	for _, m := range described {
		known = append(known, m.Name)
	}
	hint := "leadline method add " + oneLine(typed) + " … describes it"
	if len(known) > 0 {
		hint = "leadline method list shows them"
	}
	return usagef(didYouMean(typed, known, hint), "no method %q is described", typed)
}

func (a *app) printMethods(ms []logbook.Method) error {
	if a.json {
		return printRecords(a, ms)
	}
	var c columns
	for _, m := range ms {
		c.add(m.Name, m.Parameter, m.Unit, scaleText(m), spreadText(m), limitText(m))
	}
	c.print(a, "")
	return nil
}

func scaleText(m logbook.Method) string {
	if len(m.Marks) == 0 {
		return fmt.Sprintf("step %g", m.Step)
	}
	marks := make([]string, len(m.Marks))
	for i, mark := range m.Marks {
		marks[i] = strconv.FormatFloat(mark, 'g', -1, 64)
	}
	return "marks " + strings.Join(marks, ",")
}

func spreadText(m logbook.Method) string {
	var parts []string
	for _, s := range []struct {
		word string
		v    float64
	}{{"sd", m.SD}, {"sd-rel", m.SDRel}, {"sd-steps", m.SDSteps}} {
		if s.v > 0 {
			parts = append(parts, fmt.Sprintf("%s %g", s.word, s.v))
		}
	}
	return strings.Join(parts, ", ")
}

func limitText(m logbook.Method) string {
	if m.Limit == 0 {
		return ""
	}
	return fmt.Sprintf("limit %g", m.Limit)
}

// repeatJSON is what duplicate tests say of a method, in its unit.
type repeatJSON struct {
	Method    string `json:"method"`
	Parameter string `json:"parameter"`
	Unit      string `json:"unit"`
	Pairs     int    `json:"pairs"`
	SD        number `json:"sd"`
	Lo        number `json:"sd_lo"` // 95 % interval
	Hi        number `json:"sd_hi"`
	Smallest  number `json:"smallest_difference"` // that two single tests can show, at 95 %
	Described number `json:"sd_described"`
}

func repeatOf(r alerts.Repeat) repeatJSON {
	e, m := r.Estimate, r.Method
	return repeatJSON{m.Name, m.Parameter, m.Unit, e.Pairs, number(e.SD), number(e.Interval.Lo), number(e.Interval.Hi), number(e.Smallest), number(m.SD)}
}
