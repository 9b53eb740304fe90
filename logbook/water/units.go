package water

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Unit is one way of writing an amount of one parameter: "ppb P" for phosphate, "SG 25/25" for salinity. It converts to
// and from the parameter's canonical unit. Units are small values and may be compared with ==. The zero Unit has no
// name and leaves numbers as they are.
type Unit struct {
	name string
	law  law
}

// Name is the unit's spelling in this package, which Find reads back: "ug/L P" however it was typed. Words that mean
// the same amount keep their names: ppb P stays ppb P.
func (u Unit) Name() string { return u.name }

// String is Name, so that a Unit prints as people write it.
func (u Unit) String() string { return u.name }

// Canonical turns a value in this unit into the parameter's canonical unit. A value in the canonical unit is returned
// bit for bit. NaN stays NaN, and is the answer where the unit is not linear and no such value can be: a specific
// gravity of 35, a negative conductivity.
func (u Unit) Canonical(v float64) float64 { return u.how().canonical(v) }

// FromCanonical turns a value in the parameter's canonical unit into this one: the inverse of Canonical.
func (u Unit) FromCanonical(v float64) float64 { return u.how().fromCanonical(v) }

func (u Unit) how() law {
	if u.law == nil {
		return ratio{1, 1}
	}
	return u.law
}

// CanonicalChange turns a difference, a rate or a standard deviation in this unit into the canonical unit. A degree
// Fahrenheit of change is 5/9 °C, without the offset of 32. Specific gravity, conductivity, g/L and refractive index
// are not linear in salinity: their changes are taken at salinity 35, which is within 3 % of true anywhere between 30
// and
// 40. A change larger than that of 5 in salinity is refused, because there the two values have to be converted, not
// their difference.
func (u Unit) CanonicalChange(d float64) (float64, error) {
	c := u.how().change(d)
	if _, bent := u.law.(curve); bent && math.Abs(c) > maxLinearChange {
		return 0, fmt.Errorf("a change of %g %s is too large to convert by itself, since that scale is not linear: convert "+
			"both values", d, u.name)
	}
	return c, nil
}

// ChangeFromCanonical turns a difference or a rate in the canonical unit into this one, likewise: on a scale that is
// not linear, as it is at salinity 35, however large.
func (u Unit) ChangeFromCanonical(d float64) float64 { return d / u.how().change(1) }

// maxLinearChange is the change in salinity up to which the scales that are not linear are taken as if they were.
const maxLinearChange = 5

// Units lists the units accepted for a parameter, the canonical one first, or nil for a parameter this package does not
// know (see CustomUnits). The canonical units are dKH for alkalinity; mg/L of the ion or compound the name says for
// calcium (Ca), magnesium (Mg), nitrate (NO3), phosphate (PO4), nitrite (NO2), silicate (SiO2), potassium (K),
// strontium (Sr), boron (B) and iodine (I, all forms together); practical salinity (PSU); °C; pH. Ammonia is total
// ammonia, NH3 and NH4+ together, in mg/L expressed as if all of it were NH3; readings "as NH4" or "as N" are converted
// to that.
//
// Every parameter in mg/L is also read in ppm, which the trade uses for mg/L (common practice, no source), in ug/L and
// ppb, in umol/L, and in mg/kg and umol/kg, for which seawater is taken at salinity 35 and 25 °C: 1.02334 kg/L
// (computed, EOS-80; 2 % less for fresh water).
func Units(parameter string) (units []Unit) {
	p := parameterName(parameter)
	if list := speciesOf[p]; list != nil {
		return speciesUnits(list)
	}
	for _, s := range spelledUnits[p] {
		units = append(units, s.Unit)
	}
	return units
}

type spelled struct {
	Unit
	spellings []string
}

// spelledUnits are the units of the parameters that are not kept in mg/L. They are only read.
var spelledUnits = map[string][]spelled{
	"alkalinity": alkalinityUnits, "salinity": salinityUnits, "temperature": temperatureUnits, "ph": pHUnits,
}

// Find reads a unit as people type it for a parameter: "ppb P", "µg/L as P", "mg/L NO3-N", "meq/l", "°F", "sg 20/20".
// Upper and lower case, spaces, "as", µ or u make no difference. Nothing is guessed: what could mean two things is
// refused with the list of what is accepted.
func Find(parameter, text string) (Unit, error) {
	p, f := parameterName(parameter), fold(text)
	for _, s := range spelledUnits[p] {
		if slices.Contains(s.spellings, f) {
			return s.Unit, nil
		}
	}
	list := speciesOf[p]
	if list == nil && spelledUnits[p] == nil {
		return Unit{}, fmt.Errorf("parameter %q has no built-in units", parameter)
	}
	u, ok := findConcentration(list, f)
	if p == "salinity" {
		u, ok = findSpecificGravity(f)
	}
	if !ok {
		return Unit{}, unknownUnit(p, text, Units(p))
	}
	return u, nil
}

// CustomUnits lists the units accepted for a parameter of the user's own, given its canonical unit. For a mass
// concentration (mg/L, ppm, ug/L, ppb, ng/L, g/L) these are all of them, by powers of ten, the canonical one first. Any
// other unit stands for itself alone.
func CustomUnits(canonical string) []Unit {
	units := []Unit{{name: canonical, law: ratio{1, 1}}}
	own, ok := massMeasure(fold(canonical))
	if !ok {
		return units
	}
	for _, m := range measures {
		if m.kind == perLitre && m.name != own.name {
			units = append(units, Unit{name: m.name, law: ratio{m.num * own.den, m.den * own.num}.reduced()})
		}
	}
	return units
}

// FindCustom reads a unit for a parameter of the user's own: one of CustomUnits, in any spelling.
func FindCustom(canonical, text string) (Unit, error) {
	units, f := CustomUnits(canonical), fold(text)
	own, kept := massMeasure(fold(canonical))
	m, ok := massMeasure(f)
	if f == fold(canonical) || ok && kept && own.name == m.name {
		return units[0], nil
	}
	if i := slices.IndexFunc(units, func(u Unit) bool { return u.name == m.name }); ok && i >= 0 {
		return units[i], nil
	}
	return Unit{}, unknownUnit(fmt.Sprintf("a parameter kept in %q", canonical), text, units)
}

func unknownUnit(parameter, text string, accepted []Unit) error {
	names := make([]string, len(accepted))
	for i, u := range accepted {
		names[i] = u.name
	}
	return fmt.Errorf("unit %q is not known for %s; accepted: %s", text, parameter, strings.Join(names, ", "))
}

func parameterName(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

// temperatureUnits has the units of temperature. Exact by definition.
var temperatureUnits = []spelled{
	{Unit{"°C", ratio{1, 1}}, []string{"c", "°c", "degc", "degreesc", "celsius", "degreescelsius", "ºc", "℃"}},
	{Unit{"°F", shifted{32, ratio{5, 9}}},
		[]string{"f", "°f", "degf", "degreesf", "fahrenheit", "degreesfahrenheit", "ºf", "℉"}},
	{Unit{"K", shifted{273.15, ratio{1, 1}}}, []string{"k", "kelvin"}},
}

// pHUnits accept a missing unit: pH has none, and a column of units is often empty beside it.
var pHUnits = []spelled{{Unit{"pH", ratio{1, 1}}, []string{"", "ph", "nbs", "nbsph", "phnbs", "phunits"}}}

// fold brings a typed unit to one spelling: lower case, no spaces, hyphens, brackets or underscores, "u" for the micro
// sign, "/" for "per" and "⁻¹", without "as". What is left of "µg / l (as PO4-P)" is "ug/lpo4p".
func fold(text string) string {
	s := strings.ToLower(strings.TrimSpace(text))
	return without.Replace(divided.Replace(plain.Replace(s)))
}

// The three passes of fold, in order.
var (
	plain = strings.NewReplacer(
		"µ", "u", "μ", "u", "litre", "l", "liter", "l", "⁻¹", "-1", "⁻", "-", "⁺", "+",
		"²", "2", "³", "3", "₂", "2", "₃", "3", "₄", "4", "₅", "5",
	)
	divided = strings.NewReplacer(
		" l-1", "/l", ".l-1", "/l", "·l-1", "/l", " kg-1", "/kg", " cm-1", "/cm", " per ", "/", " as ", " ", "(as ", " ",
	)
	without = strings.NewReplacer(" ", "", "-", "", "(", "", ")", "", "_", "", "·", "")
)

// law is how a unit's numbers relate to the canonical unit's. Every law is a comparable value.
type law interface {
	canonical(v float64) float64
	fromCanonical(v float64) float64
	change(d float64) float64 // of a difference
}

// ratio is canonical = v num/den. Numerator and denominator are kept apart so that powers of ten divide exactly: 20 ppb
// is 0.02 mg/L to the last bit.
type ratio struct{ num, den float64 }

func (r ratio) canonical(v float64) float64 {
	switch {
	case r.num == 1:
		return v / r.den
	case r.den == 1:
		return v * r.num
	}
	return v * (r.num / r.den)
}

func (r ratio) fromCanonical(v float64) float64 { return ratio{r.den, r.num}.canonical(v) }
func (r ratio) change(d float64) float64        { return r.canonical(d) }

// reduced puts a ratio of powers of ten in lowest terms, so that it too divides exactly.
func (r ratio) reduced() ratio {
	if r.num >= r.den {
		return ratio{r.num / r.den, 1}
	}
	return ratio{1, r.den / r.num}
}

// shifted is canonical = (v - zero) num/den; changes follow the ratio alone.
type shifted struct {
	zero float64
	ratio
}

func (s shifted) canonical(v float64) float64     { return (v - s.zero) * s.num / s.den }
func (s shifted) fromCanonical(v float64) float64 { return v*s.den/s.num + s.zero }

// curve is a scale of salinity that is not linear, between two ITS-90 temperatures or at the first of them; its changes
// are taken at salinity 35.
type curve struct {
	of           curveKind
	t, reference float64
}

type curveKind int8

const (
	specificGravity curveKind = iota // by EOS-80, of the sample over pure water at the reference
	milliSiemens                     // conductivity in mS/cm, by PSS-78
	microSiemens                     // the same in uS/cm
	saltPerLitre                     // grams of salt, by EOS-80
	refractive                       // refractive index for sodium light, by Quan & Fry
)

func (c curve) canonical(v float64) float64 {
	switch c.of {
	case specificGravity:
		return SalinityFromSpecificGravity(v, c.t, c.reference)
	case milliSiemens:
		return SalinityFromConductivity(v, c.t)
	case microSiemens:
		return SalinityFromConductivity(v/1000, c.t)
	case saltPerLitre:
		return SalinityFromGramsPerLitre(v, c.t)
	}
	s := SalinityFromRefractiveIndex(v, c.t, SodiumD)
	if s < 0 || s > maxSalinity {
		return math.NaN()
	}
	return s
}

func (c curve) fromCanonical(v float64) float64 {
	switch c.of {
	case specificGravity:
		return SpecificGravity(v, c.t, c.reference)
	case milliSiemens:
		return ConductivityFromSalinity(v, c.t)
	case microSiemens:
		return 1000 * ConductivityFromSalinity(v, c.t)
	case saltPerLitre:
		return GramsPerLitre(v, c.t)
	}
	return RefractiveIndex(v, c.t, SodiumD)
}

func (c curve) change(d float64) float64 { return d / (c.fromCanonical(35.5) - c.fromCanonical(34.5)) }

// Everyday measures, exact by legal definition: the US gallon is 231 cubic inches, the inch 25.4 mm, the imperial
// gallon 4.54609 L.
const (
	LitresPerUSGallon       = 231 * 2.54 * 2.54 * 2.54 / 1000
	LitresPerImperialGallon = 4.54609
	MillilitresPerTeaspoon  = LitresPerUSGallon * 1000 / 768 // US
	MillilitresPerFluidOz   = LitresPerUSGallon * 1000 / 128 // US
)

// Litres turns a volume into litres. It reads L, mL, m3, gal (US), imp gal, fl oz (US), tsp (US), tbsp (US) and drops,
// of which 20 make a mL (common practice, no source).
func Litres(v float64, unit string) (float64, error) {
	switch fold(unit) {
	case "l", "litre", "litres", "liters", "ls":
		return v, nil
	case "ml", "millil", "millils", "cc", "cm3":
		return v / 1000, nil
	case "m3":
		return v * 1000, nil
	case "gal", "usgal", "galus", "gallon", "gallons", "usgallon", "usgallons":
		return v * LitresPerUSGallon, nil
	case "impgal", "ukgal", "galimp", "galuk", "imperialgallon", "imperialgallons", "impgallon", "impgallons":
		return v * LitresPerImperialGallon, nil
	case "floz", "usfloz", "fluidounce", "fluidounces":
		return v * MillilitresPerFluidOz / 1000, nil
	case "tsp", "teaspoon", "teaspoons":
		return v * MillilitresPerTeaspoon / 1000, nil
	case "tbsp", "tablespoon", "tablespoons":
		return v * 3 * MillilitresPerTeaspoon / 1000, nil
	case "drop", "drops":
		return v / 20 / 1000, nil
	}
	return 0, fmt.Errorf("unit %q is not a volume; accepted: L, mL, m3, gal, imp gal, fl oz, tsp, tbsp, drops",
		strings.TrimSpace(unit))
}
