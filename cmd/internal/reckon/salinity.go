package reckon

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/logbook/water"
)

type salinityOptions struct {
	conductivity, sg, refractive, salinity float64 // as shown, mS/cm; NaN where not told, as those below
	temperature                            float64 // °C
	full, to, newWater                     float64
	litres                                 float64 // 0: those of the tank
	reference                              string
}

func newSalinity(a *app.App) *cobra.Command {
	none := math.NaN()
	opt := salinityOptions{conductivity: none, sg: none, refractive: none, salinity: none, temperature: none, full: none,
		to: none, newWater: none}
	cmd := a.Command("salinity", salinityJSON{}, func([]string) error { return showSalinity(a, opt) })
	f := cmd.Flags()
	usage.Flag(f, &opt.conductivity, "conductivity", "`VALUE` shown, such as 53mS/cm", conductivityFlag)
	usage.Flag(f, &opt.sg, "sg", "specific gravity, `VALUE` shown", numberFlag("1.0264"))
	f.StringVar(&opt.reference, "reference", "25/25",
		"the two `TEMPERATURES` marked on the hydrometer: 25/25, 20/4, 60F/60F")
	usage.Flag(f, &opt.refractive, "refractive-index", "refractive index for sodium light, `VALUE` shown",
		numberFlag("1.3394"))
	usage.Flag(f, &opt.salinity, "salinity", "`VALUE` in any unit of salinity, to see it in the others", salinityFlag)
	usage.Flag(f, &opt.temperature, "temperature", "`°C` of the water (else that to which the instrument compensates)",
		temperatureFlag)
	usage.Flag(f, &opt.full, "full", "`SALINITY` of the tank when it is full: how much has evaporated?", salinityFlag)
	usage.Flag(f, &opt.to, "to", "`SALINITY` wanted: how much water to exchange?", salinityFlag)
	usage.Flag(f, &opt.newWater, "new-water", "with --to: `SALINITY` of the saltier water at hand, to raise it",
		salinityFlag)
	usage.Flag(f, &opt.litres, "litres", "net `VOLUME` (else that of the tank)", litresFlag)
	return cmd
}

// found is a practical salinity, the formula it came from, and how far that holds.
type found struct {
	salinity       float64
	celsius        float64 // of the water, or as compensated
	formula, valid string
}

const (
	pss78  = "PSS-78 (Fofonoff & Millard 1983, UNESCO technical papers in marine science 44)"
	eos80  = "EOS-80 (Fofonoff & Millard 1983, UNESCO technical papers in marine science 44)"
	quan95 = "Quan & Fry 1995, Applied Optics 34, 3477-3480"
)

func showSalinity(a *app.App, opt salinityOptions) error {
	s, err := opt.find()
	if err != nil {
		return err
	}
	if !(s.salinity >= 0 && s.salinity <= 60) {
		return usage.WithHint(errors.New("no water of a salinity from 0 to 60 reads so"),
			"was a salinity typed in place of a reading, or the unit left out?")
	}
	steps := []string{}
	if !math.IsNaN(opt.full) || !math.IsNaN(opt.to) {
		if steps, err = salinitySteps(a, s, opt); err != nil {
			return err
		}
	}
	gramsPerKg, density := water.ReferenceSalinity(s.salinity), water.Density(s.salinity, s.celsius)
	sg25, sg20 := water.SpecificGravity(s.salinity, 25, 25), water.SpecificGravity(s.salinity, 20, 20)
	conductivity, refractive := water.ConductivityFromSalinity(s.salinity, 25),
		water.RefractiveIndex(s.salinity, 20, water.SodiumD)
	return a.Answer(salinityJSON{shape.Number(s.salinity), s.formula, s.valid, shape.Number(s.celsius),
		shape.Number(gramsPerKg), shape.Number(density), shape.Number(sg25), shape.Number(sg20),
		shape.Number(conductivity), shape.Number(refractive), steps}, func() {
		a.Printf("salinity %s (practical, by %s; valid for %s)", water.Format(s.salinity, 2), s.formula, s.valid)
		a.Printf("  the same water: %s g/kg, density %s kg/m³ at %s °C, SG %s at 25/25 °C and %s at 20/20 °C, %s mS/cm at "+
			"25 °C, nD %s at 20 °C",
			water.Format(gramsPerKg, 2), water.Format(density, 2), app.PlainNumber(s.celsius), water.Format(sg25, 5),
			water.Format(sg20, 5), water.Format(conductivity, 2), water.Format(refractive, 5))
		a.Each("  %s", steps)
	})
}

// find reads the one instrument that was given.
func (opt salinityOptions) find() (found, error) {
	given := slices.DeleteFunc([]float64{opt.conductivity, opt.sg, opt.refractive, opt.salinity}, math.IsNaN)
	if len(given) != 1 {
		return found{}, usage.Errorf("leadline salinity --conductivity 53mS/cm --temperature 25",
			"pass exactly one of --conductivity, --sg, --refractive-index and --salinity")
	}
	or := func(compensated float64) float64 {
		if math.IsNaN(opt.temperature) {
			return compensated
		}
		return opt.temperature
	}
	shown, t := given[0], or(25)
	switch shown {
	case opt.conductivity:
		return found{water.SalinityFromConductivity(shown, t), t, pss78, "2 to 42 and -2 to 35 °C"}, nil
	case opt.sg:
		return fromSpecificGravity(shown, opt.reference, or)
	case opt.refractive:
		t = or(20)
		return found{water.SalinityFromRefractiveIndex(shown, t, water.SodiumD), t, quan95, "0 to 35 and 0 to 30 °C"}, nil
	}
	return found{shown, t, "the unit given", "0 to 42"}, nil
}

// shown reads what an instrument shows, with the unit behind it.
func shown(flag, text, example string) (v float64, unit string, err error) {
	number, unit := logbook.Split(text)
	if v, err = entry.Number(number); err != nil {
		return 0, "", usage.Errorf("write "+flag+" "+example, "%s: %q is not a number", flag, text)
	}
	return v, unit, nil
}

// numberFlag reads a number as an instrument shows it.
func numberFlag(example string) func(flag, text string) (float64, error) {
	return func(flag, text string) (float64, error) {
		v, _, err := shown(flag, text, example)
		return v, err
	}
}

func temperatureFlag(flag, text string) (float64, error) {
	t, err := measured(flag, text, "25", "temperature")
	if err == nil && !(t >= -2 && t <= 40) {
		err = usage.Errorf("write "+flag+" 25", "%s: %s is not a water temperature from -2 to 40 °C", flag, text)
	}
	return t, err
}

// measured reads a flag in a unit of what is measured; a bare number is in the usual one.
func measured(flag, text, example, what string) (float64, error) {
	v, unit, err := shown(flag, text, example)
	if err != nil {
		return 0, err
	}
	u := water.Units(what)[0]
	if unit != "" {
		if u, err = water.Find(what, unit); err != nil {
			return 0, usage.Wrong(fmt.Errorf("%s: %w", flag, err), "")
		}
	}
	return u.Canonical(v), nil
}

func conductivityFlag(flag, text string) (float64, error) {
	v, unit, err := shown(flag, text, "53mS/cm")
	if err != nil {
		return v, err
	}
	switch strings.ToLower(strings.ReplaceAll(unit, " ", "")) {
	case "", "ms/cm", "ms":
	case "us/cm", "us", "µs/cm", "μs/cm", "µs", "μs":
		v /= 1000
	case "s/m":
		v *= 10
	default:
		return v, usage.Errorf("write "+flag+" 53mS/cm", "%s: unit %q is not one of mS/cm, uS/cm, S/m", flag, unit)
	}
	return v, nil
}

// fromSpecificGravity reads a hydrometer: marked for water of the first temperature over pure water at the second.
func fromSpecificGravity(v float64, reference string, or func(sample float64) float64) (found, error) {
	unit, err := water.Find("salinity", "SG "+reference)
	if err != nil {
		return found{}, usage.Errorf("write --reference 25/25, 20/4 or 60F/60F", "--reference: %q is not two temperatures",
			reference)
	}
	first, second, _ := strings.Cut(strings.TrimPrefix(unit.Name(), "SG "), "/") // as in "SG 25/25"
	celsius := or(markedTemperature(first))
	return found{water.SalinityFromSpecificGravity(v, celsius, markedTemperature(second)), celsius, eos80,
		"0 to 42 and -2 to 40 °C; the glass of the hydrometer left out, under 0.04 per °C"}, nil
}

func markedTemperature(text string) float64 {
	number, fahrenheit := strings.CutSuffix(text, "F")
	v, err := entry.Number(number)
	if err != nil {
		return math.NaN()
	}
	if fahrenheit {
		return (v - 32) * 5 / 9
	}
	return v
}

func salinityFlag(flag, text string) (float64, error) {
	s, err := measured(flag, text, "35", "salinity")
	if err == nil && !(s >= 0 && s <= 60) {
		err = usage.Errorf("write "+flag+" 35", "%s: %s is not a salinity from 0 to 60", flag, text)
	}
	return s, err
}

// salinitySteps says what has evaporated and what to exchange.
func salinitySteps(a *app.App, s found, opt salinityOptions) ([]string, error) {
	litres, err := netLitres(a, opt.litres)
	if err != nil {
		return nil, err
	}
	say := app.PlainNumber
	var steps []string
	if !math.IsNaN(opt.full) {
		missing, err := water.TopOff(s.salinity, opt.full, litres)
		if err != nil {
			return nil, err
		}
		steps = append(steps, fmt.Sprintf("top off with %s L of fresh water: so much of %s L has evaporated, the salt stayed",
			say(missing), say(litres)))
	}
	if math.IsNaN(opt.to) {
		return steps, nil
	}
	step, err := exchange(s.salinity, opt.to, litres, opt.newWater)
	return append(steps, step), err
}

// exchange says how much water to replace, and by what.
func exchange(s, to, litres, salty float64) (string, error) {
	say := app.PlainNumber
	// Half a unit up and one unit down a day: testdata/reference/practice.json, common practice.
	const up, down = 0.5, 1.0
	step := func(litresOut float64, by string, perDay float64) string {
		return fmt.Sprintf("to %s: replace %s of %s L by %s, over %s days or more (commonly at most %s a day, common "+
			"practice)", say(to), say(litresOut), say(litres), by, say(math.Ceil(math.Abs(to-s)/perDay)), say(perDay))
	}
	if to <= s {
		out, err := water.FreshWaterToLower(s, litres, to)
		return step(out, "fresh water", down), err
	}
	if math.IsNaN(salty) {
		return "", usage.Errorf("--new-water 38 says how salty the water at hand is",
			"%s is above %s: it takes saltier water", say(to), water.Format(s, 1))
	}
	out, err := water.SaltWaterToRaise(s, litres, to, salty)
	return step(out, "water of "+say(salty), up), err
}

// netLitres is --litres, or the net volume of the tank.
func netLitres(a *app.App, told float64) (float64, error) {
	if told > 0 {
		return told, nil
	}
	tank, err := app.Seen(a, a.Tank)
	if err == nil && tank.VolumeL <= 0 {
		err = usage.WithHint(fmt.Errorf("the net volume of %s is not known", tank.Name),
			"pass --litres, or leadline tank set --volume LITRES")
	}
	return tank.VolumeL, err
}

// salinityJSON is a water's salinity in the usual scales.
type salinityJSON struct {
	Salinity       shape.Number `json:"salinity"` // practical
	Formula        string       `json:"formula"`
	Valid          string       `json:"valid"`
	Celsius        shape.Number `json:"temperature"` // of the water, or as compensated
	GramsPerKg     shape.Number `json:"g_per_kg"`
	Density        shape.Number `json:"density_kg_m3"`
	SG2525         shape.Number `json:"sg_25_25"`
	SG2020         shape.Number `json:"sg_20_20"`
	Conductivity25 shape.Number `json:"ms_per_cm_25"`
	Refractive20   shape.Number `json:"nd_20"`
	Steps          []string     `json:"steps"`
}
