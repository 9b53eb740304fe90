package reckon

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

type netVolumeOptions struct {
	dose                                float64 // litres; 0: not told
	rise, supplement, strength, box, sd string
	readings                            int
}

func newNetVolume(a *app.App) *cobra.Command {
	opt := netVolumeOptions{readings: 1}
	cmd := a.Command("volume [PARAMETER]", volumeJSON{}, func(args []string) error { return netVolume(a, args, opt) })
	f := cmd.Flags()
	usage.Flag(f, &opt.dose, "dose", "`VOLUME` of the supplement that was given, all at once", litresFlag)
	f.StringVar(&opt.rise, "rise", "", "`RISE` that was measured, after mixing")
	addSupplementFlags(cmd, &opt.supplement, &opt.strength)
	f.StringVar(&opt.sd, "sd", "", "`SCATTER` of one test (else that of a common kit)")
	f.IntVar(&opt.readings, "readings", 1, "so many tests before, and as many after")
	f.StringVar(&opt.box, "box", "", "inner length, width and height of the water in cm: `LxWxH`")
	return cmd
}

func netVolume(a *app.App, args []string, opt netVolumeOptions) error {
	switch {
	case opt.box != "" && len(args) == 0:
		return boxVolume(a, opt.box)
	case opt.box != "":
		return usage.Errorf("leadline volume --box 120x60x50", "--box takes no parameter")
	case len(args) == 0 || opt.dose == 0 || opt.rise == "":
		return usage.Errorf("leadline volume alkalinity --dose 20mL --rise 0.4 --strength '10 mL raise 100 L by 1 dKH' "+
			"--readings 3", "a volume needs a parameter with --dose and --rise, or --box")
	case opt.readings < 1:
		return usage.Errorf("write --readings 3", "--readings: %d tests tell nothing", opt.readings)
	}
	p, s, err := measuredBy(a, args[0], opt)
	if err != nil {
		return err
	}
	rise, err1 := changeFlag(p, "--rise", opt.rise)
	sd, err2 := scatter(p, opt.sd)
	if err := cmp.Or(err1, err2); err != nil {
		return err
	}
	volume, err := water.NetVolumeFromDose(float64(s)*1000*opt.dose, rise, sd, opt.readings)
	if err != nil {
		return err
	}
	if logbook.UnlikelyRise(p, rise) != "" {
		a.Say("caution: a rise of %s at once is more than is careful: only before animals are in; else a small rise, "+
			"tested several times", words.Rise(p, rise))
	}
	half := 1.2816 * volume.SD
	const formula = "V = strength × dose / rise; what the tank took between the tests is left out, so test soon after " +
		"mixing"
	litres, lo, hi := volume.Litres, volume.Litres-half, volume.Litres+half
	return a.Answer(volumeJSON{shape.Number(litres), shape.Number(lo), shape.Number(hi), formula}, func() {
		a.Printf("net volume %s L (80 %%: %s to %s)", app.PlainNumber(litres), app.PlainNumber(lo), app.PlainNumber(hi))
		a.Printf("  %s", formula)
		a.Printf("  a test scatters by %s; repeated tests before and after make it sharper", words.Rise(p, sd))
	})
}

// measuredBy finds the parameter and the strength of what was given. A usual parameter with a told strength needs no
// book.
func measuredBy(a *app.App, typed string, opt netVolumeOptions) (p logbook.Parameter, strength water.Strength,
	err error) {
	if p, ok := logbook.FindParameter(logbook.Standard(), typed); ok && opt.strength != "" && opt.supplement == "" {
		strength, err = parseStrength(p, opt.strength)
		return p, strength, err
	}
	err = a.View(func(v *logbook.View) error {
		if p, err = a.Parameter(v, typed); err != nil {
			return err
		}
		if opt.strength == "" && opt.supplement == "" {
			return usage.Errorf("pass --supplement NAME, or --strength '10 mL raise 100 L by 1 "+p.ShownUnit()+"'",
				"how strong is what was given?")
		}
		s, err := suppliedBy(a, v, alerts.Demand{Parameter: p}, opt.supplement, opt.strength)
		strength = s.Strength
		return err
	})
	return p, strength, err
}

// scatter is the standard deviation of one test: as told, or that of a common kit with its step.
func scatter(p logbook.Parameter, text string) (float64, error) {
	if text != "" {
		sd, err := changeFlag(p, "--sd", text)
		if err == nil && sd < 0 {
			err = usage.Errorf("write --sd 0.1", "--sd: %s is below nothing", text)
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

func boxVolume(a *app.App, text string) error {
	parts := strings.Split(strings.ToLower(strings.ReplaceAll(text, "×", "x")), "x")
	var cm [3]float64
	for i := range cm {
		var err error
		if len(parts) == len(cm) {
			cm[i], err = entry.Number(strings.TrimSpace(parts[i]))
		}
		if err != nil || len(parts) != len(cm) {
			return usage.Errorf("write --box 120x60x50", "--box: %q is not three measures in cm", text)
		}
	}
	litres, err := water.BoxVolume(cm[0], cm[1], cm[2])
	if err != nil {
		return usage.Wrong(fmt.Errorf("--box: %w", err), "write --box 120x60x50")
	}
	const formula = "length × width × height; the net water is commonly 10 to 25 % less (common practice, no source)"
	return a.Answer(volumeJSON{shape.Number(litres), shape.Number(0.75 * litres), shape.Number(0.9 * litres), formula},
		func() {
			a.Printf("the box holds %s L: %s to %s L of net water", app.PlainNumber(litres), app.PlainNumber(0.75*litres),
				app.PlainNumber(0.9*litres))
			a.Printf("  %s", formula)
		})
}

// volumeJSON is a net volume with its 80 % interval, or with the usual range.
type volumeJSON struct {
	Litres  shape.Number `json:"litres"`
	Lo      shape.Number `json:"lo"`
	Hi      shape.Number `json:"hi"`
	Formula string       `json:"formula"`
}
