package main

import (
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/logbook/water"
)

type netVolumeOptions struct {
	dose, rise, supplement, strength, box string
	sd                                    string
	readings                              int
}

func newNetVolume(a *app) *cobra.Command {
	opt := netVolumeOptions{readings: 1}
	cmd := a.prints(volumeJSON{}, &cobra.Command{
		Use:   "volume [PARAMETER]",
		Short: "the net water volume, from a known dose and the rise that was measured, or from the inner measures",
		Example: `  # 100 mL of a supplement raised alkalinity by 0.9 dKH, the mean of three tests before and after
  leadline volume alkalinity --dose 100mL --rise 0.9 --strength '10 mL raise 100 L by 1 dKH' --readings 3

  # a box of 120 by 60 by 50 cm
  leadline volume --box 120x60x50`,
		Args:              cobra.MaximumNArgs(1),
		ValidArgsFunction: a.completeParameters,
		RunE:              func(_ *cobra.Command, args []string) error { return a.netVolume(args, opt) },
	})
	f := cmd.Flags()
	f.StringVar(&opt.dose, "dose", "", "`VOLUME` of the supplement that was given, all at once")
	f.StringVar(&opt.rise, "rise", "", "`RISE` that was measured, after mixing")
	addSupplementFlags(cmd, &opt.supplement, &opt.strength)
	f.StringVar(&opt.sd, "sd", "", "`SCATTER` of one test (else that of a common kit)")
	f.IntVar(&opt.readings, "readings", 1, "so many tests before, and as many after")
	f.StringVar(&opt.box, "box", "", "inner length, width and height of the water in cm: `LxWxH`")
	return cmd
}

func (a *app) netVolume(args []string, opt netVolumeOptions) error {
	switch {
	case opt.box != "" && len(args) == 0:
		return a.boxVolume(opt.box)
	case opt.box != "":
		return usagef("leadline volume --box 120x60x50", "--box takes no parameter")
	case len(args) == 0 || opt.dose == "" || opt.rise == "":
		return usagef("leadline volume alkalinity --dose 100mL --rise 0.9 --strength '10 mL raise 100 L by 1 dKH'",
			"a volume needs a parameter with --dose and --rise, or --box")
	case opt.readings < 1:
		return usagef("write --readings 3", "--readings: %d tests tell nothing", opt.readings)
	}
	dose, err := litresFlag("--dose", opt.dose)
	if err != nil {
		return err
	}
	ask := func(v *logbook.View) error {
		p, s, err := a.measuredBy(v, args[0], opt)
		if err != nil {
			return err
		}
		rise, err := changeFlag(p, "--rise", opt.rise)
		if err != nil {
			return err
		}
		sd, err := scatter(p, opt.sd)
		if err != nil {
			return err
		}
		volume, err := water.NetVolumeFromDose(float64(s)*1000*dose, rise, sd, opt.readings)
		if err != nil {
			return err
		}
		half := 1.2816 * volume.SD
		const formula = "V = strength × dose / rise; what the tank took between the tests is left out, so test soon after mixing"
		if a.json {
			return a.printJSON(volumeJSON{number(volume.Litres), number(volume.Litres - half), number(volume.Litres + half), formula})
		}
		a.printf("net volume %s L (80 %%: %s to %s)", plainNumber(volume.Litres),
			plainNumber(volume.Litres-half), plainNumber(volume.Litres+half))
		a.printf("  %s", formula)
		a.printf("  a test scatters by %s; repeated tests before and after make it sharper", alerts.Quantity(p, sd))
		return nil
	}
	if _, ok := logbook.FindParameter(logbook.Standard(), args[0]); ok && opt.strength != "" && opt.supplement == "" {
		return ask(nil) // needs no logbook
	}
	return a.view(ask)
}

// measuredBy finds the parameter and the strength of what was given. v is nil where neither is to be looked up in a
// book.
func (a *app) measuredBy(v *logbook.View, typed string, opt netVolumeOptions) (logbook.Parameter, water.Strength, error) {
	if v == nil {
		p, _ := logbook.FindParameter(logbook.Standard(), typed)
		s, err := parseStrength(p, opt.strength)
		return p, s, err
	}
	p, err := a.parameter(v, typed)
	if err != nil {
		return p, 0, err
	}
	if opt.strength == "" && opt.supplement == "" {
		return p, 0, usagef("pass --supplement NAME, or --strength '10 mL raise 100 L by 1 "+p.Unit+"'", "how strong is what was given?")
	}
	s, err := a.suppliedBy(v, alerts.Demand{Parameter: p}, opt.supplement, opt.strength)
	return p, s.Strength, err
}

// scatter is the standard deviation of one test: as told, or that of a common kit with its step.
func scatter(p logbook.Parameter, text string) (float64, error) {
	if text != "" {
		sd, err := changeFlag(p, "--sd", text)
		if err == nil && sd < 0 {
			err = usagef("write --sd 0.1", "--sd: %s is below nothing", text)
		}
		return sd, err
	}
	u, err := p.FindUnit(p.Generic.Unit)
	if err != nil {
		return 0, err
	}
	// A step is a uniform error of variance step²/12.
	return u.CanonicalChange(math.Hypot(p.Generic.SD, p.Generic.Step/math.Sqrt(12)))
}

func (a *app) boxVolume(text string) error {
	parts := strings.Split(strings.ToLower(strings.ReplaceAll(text, "×", "x")), "x")
	var cm [3]float64
	for i := range cm {
		var err error
		if len(parts) == len(cm) {
			cm[i], err = entry.Number(strings.TrimSpace(parts[i]))
		}
		if err != nil || len(parts) != len(cm) {
			return usagef("write --box 120x60x50", "--box: %q is not three measures in cm", text)
		}
	}
	litres, err := water.BoxVolume(cm[0], cm[1], cm[2])
	if err != nil {
		return wrongUsage(fmt.Errorf("--box: %w", err), "write --box 120x60x50")
	}
	const formula = "length × width × height; the net water is commonly 10 to 25 % less (common practice, no source)"
	if a.json {
		return a.printJSON(volumeJSON{number(litres), number(0.75 * litres), number(0.9 * litres), formula})
	}
	a.printf("the box holds %s L: %s to %s L of net water", plainNumber(litres), plainNumber(0.75*litres), plainNumber(0.9*litres))
	a.printf("  %s", formula)
	return nil
}

// volumeJSON is a net volume with its 80 % interval, or with the usual range.
type volumeJSON struct {
	Litres  number `json:"litres"`
	Lo      number `json:"lo"`
	Hi      number `json:"hi"`
	Formula string `json:"formula"`
}
