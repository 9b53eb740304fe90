// Package reckon holds the commands that reckon what would be: plans, what-if, salinity, the net volume.
package reckon

import (
	"cmp"
	"fmt"
	"regexp"
	"strconv"

	"github.com/spf13/cobra"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newPlan(a), newWhatIf(a), newSalinity(a), newNetVolume(a)}
}

const strengthHint = `write it as a label does: '10 mL raise 100 L by 1 dKH'`

// parseStrength reads how strong a supplement is for a parameter: "10 mL raise 100 L by 1 dKH".
func parseStrength(p logbook.Parameter, text string) (water.Strength, error) {
	m := regexp.MustCompile(
		`^\s*([\d.]+)\s*(\D+?)\s+raises?\s+([\d.]+)\s*(\D+?)\s+by\s+([\d.]+)\s*(.*?)\s*$`).FindStringSubmatch(text)
	if m == nil {
		return 0, usage.Errorf(strengthHint, "--strength: %q does not say what an amount raises", text)
	}
	dose, err1 := parseVolume("--strength", m[1], m[2])
	litres, err2 := parseVolume("--strength", m[3], m[4])
	if err := cmp.Or(err1, err2); err != nil {
		return 0, err
	}
	number, err := strconv.ParseFloat(m[5], 64)
	if err != nil {
		return 0, usage.Errorf(strengthHint, "--strength: %q is not a number", m[5])
	}
	var strength water.Strength
	rise, err := p.CanonicalChange(number, cmp.Or(m[6], p.ShownUnit()))
	if err == nil {
		strength, err = water.LabelStrength(1000*dose, litres, rise)
	}
	if err != nil {
		return 0, usage.Wrong(fmt.Errorf("--strength: %w", err), strengthHint)
	}
	return strength, nil
}

// parseVolume reads a number and its unit as litres; a unit must be there.
func parseVolume(flag, number, unit string) (float64, error) {
	v, err := entry.Number(number)
	if err != nil {
		return 0, app.NotANumber(err, flag, number, "5L or 800mL")
	}
	litres, err := water.Litres(v, unit)
	if err != nil {
		return 0, usage.Wrong(fmt.Errorf("%s: %w", flag, err), "write 5L or 800mL")
	}
	return litres, nil
}

// litresFlag reads a flag such as "5L" or "800 mL"; a bare number is litres.
func litresFlag(flag, text string) (float64, error) {
	number, unit := logbook.Split(text)
	if unit == "" {
		unit = "L"
	}
	litres, err := parseVolume(flag, number, unit)
	if err == nil && !(litres > 0) {
		return 0, usage.Errorf("write 5L or 800mL", "%s: %s is not more than nothing", flag, text)
	}
	return litres, err
}

// levelFlag reads a level such as "8" or "430 mg/L" in the parameter's canonical unit.
func levelFlag(p logbook.Parameter, flag, text string) (float64, error) {
	return inCanonical(p, flag, text, func(u water.Unit, v float64) (float64, error) { return u.Canonical(v), nil })
}

func changeFlag(p logbook.Parameter, flag, text string) (float64, error) {
	return inCanonical(p, flag, text, water.Unit.CanonicalChange)
}

func inCanonical(p logbook.Parameter, flag, text string, convert func(water.Unit, float64) (float64, error)) (float64,
	error) {
	number, unit := logbook.Split(text)
	v, err := entry.Number(number)
	if err != nil {
		return 0, app.NotANumber(err, flag, text, flag+" 8, or with a unit")
	}
	u, err := p.TypedUnit(unit)
	if err != nil {
		return 0, usage.Mistyped(fmt.Errorf("%s: %w", flag, err))
	}
	return convert(u, v)
}

// supplied is what is dosed for a parameter, and how strong it is.
type supplied struct {
	name string
	water.Strength
	logbook.Supplement // the zero value where only a strength was told
}

// suppliedBy finds the supplement meant: that of --strength, of --supplement, or the only one in use or described for
// the parameter.
func suppliedBy(a *app.App, v *logbook.View, d alerts.Demand, name, strength string) (supplied, error) {
	p := d.Parameter
	switch {
	case strength != "" && name != "":
		return supplied{}, usage.Errorf("pass one of them", "--strength and --supplement exclude each other")
	case strength != "":
		s, err := parseStrength(p, strength)
		return supplied{name: "the supplement", Strength: s}, err
	case name == "":
		c, err := entry.Load(v, d.Tank, d.AsOf)
		if err != nil {
			return supplied{}, err
		}
		var among []string
		hint := "pass --supplement NAME"
		if name, among = c.InUse(p); len(among) == 0 {
			hint = "--strength '10 mL raise 100 L by 1 " + p.ShownUnit() + "', or leadline supplement add"
		}
		if name == "" {
			return supplied{}, usage.Wrong(entry.WhichSupplement(p, among), hint)
		}
	}
	s, err := a.Supplement(v, name)
	if err != nil {
		return supplied{}, err
	}
	by, err := s.Raising(p)
	return supplied{s.Name, by, s}, err
}

func addSupplementFlags(cmd *cobra.Command, name, strength *string) {
	cmd.Flags().StringVar(name, "supplement", "", "`NAME` of a described supplement (else the one in use)")
	cmd.Flags().StringVar(strength, "strength", "", "how strong it is, as a `LABEL` says: '10 mL raise 100 L by 1 dKH'")
}
