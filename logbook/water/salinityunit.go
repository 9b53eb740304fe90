package water

import (
	"regexp"
	"strconv"
	"strings"
)

// Assumptions of the salinity units, each at 25 °C or 20 °C as instruments are made.
const (
	instrumentTemperature   = 25 // °C to which conductivity meters compensate and hydrometers for reef tanks are marked
	refractometerCompensate = 20 // °C to which hand refractometers compensate
)

// salinityUnits has the units of salinity:
//
//   - PSU, practical salinity, which has no unit but is called so; ppt is used as the same number in the trade (common
//     practice, no source).
//   - g/kg, Reference Salinity of TEOS-10: salinity 35 is 35.165 g/kg.
//   - SG a/b, specific gravity of the sample at a °C over pure water at b °C; SG alone is taken as 25/25 °C, and
//     60F/60F is also read.
//   - mS/cm and uS/cm, as shown by a meter that compensates to 25 °C (salinity 35 is 53.07 mS/cm).
//   - g/L of sea salt at 25 °C.
//   - nD, the refractive index for sodium light as a hand refractometer compensates it to 20 °C.
var salinityUnits = []spelled{
	{Unit{"PSU", ratio{1, 1}}, []string{"psu", "pss", "pss78", "practicalsalinity", "practical", "s", "sp"}},
	{Unit{"ppt", ratio{1, 1}}, []string{"ppt", "‰", "o/oo", "0/00"}},
	{Unit{"g/kg", ratio{35, 35.16504}}, []string{"g/kg"}},
	{Unit{"SG 25/25", curve{specificGravity{25, 25}}}, nil}, // see findSpecificGravity
	{Unit{"SG 20/20", curve{specificGravity{20, 20}}}, nil},
	{Unit{"SG 60F/60F", curve{specificGravity{fahrenheit60, fahrenheit60}}}, nil},
	{Unit{"mS/cm", curve{conductivity{instrumentTemperature, 1}}},
		[]string{"ms/cm", "ms", "ms/cm25", "ms/cm@25", "ms/cm25°c", "ms/cmat25°c", "ms/cmat25c"}},
	{Unit{"uS/cm", curve{conductivity{instrumentTemperature, 1000}}}, []string{"us/cm", "us", "us/cm25", "us/cm@25"}},
	{Unit{"g/L", curve{saltPerLitre{instrumentTemperature}}}, []string{"g/l"}},
	{Unit{"nD", curve{refractive{refractometerCompensate}}}, []string{"nd", "ri", "n", "refractiveindex"}},
}

const fahrenheit60 = (60.0 - 32) * 5 / 9

// findSpecificGravity reads a folded specific gravity and its two temperatures: "sg" is 25/25, others are "sg20/20",
// "sg60f/60f", "sg25/4". One temperature stands for both.
func findSpecificGravity(folded string) (Unit, bool) {
	name := specificGravityName.FindString(folded)
	if name == "" {
		return Unit{}, false
	}
	if folded = folded[len(name):]; folded == "" {
		return Unit{"SG 25/25", curve{specificGravity{25, 25}}}, true
	}
	first, second, two := strings.Cut(folded, "/")
	if !two {
		second = first
	}
	sample, sampleText, ok1 := hydrometerTemperature(first)
	reference, referenceText, ok2 := hydrometerTemperature(second)
	if !ok1 || !ok2 {
		return Unit{}, false
	}
	return Unit{"SG " + sampleText + "/" + referenceText, curve{specificGravity{sample, reference}}}, true
}

var specificGravityName = regexp.MustCompile(`^(sg|s\.g\.|specificgravity|relativedensity)(at)?@?`)

// hydrometerTemperature reads "25", "25°c" or "60f" as °C within 0 to 40, and how it is written. A bare number from 50
// on is °F, as in the hydrometer's mark 60/60: no hydrometer is made for water of 60 °C.
func hydrometerTemperature(s string) (celsius float64, written string, ok bool) {
	s = strings.NewReplacer("°", "", "deg", "").Replace(s)
	number := strings.TrimRight(s, "cf")
	v, err := strconv.ParseFloat(number, 64)
	if err != nil {
		return 0, "", false
	}
	written = number
	if strings.HasSuffix(s, "f") || number == s && v >= 50 {
		v = (v - 32) * 5 / 9
		written += "F"
	}
	return v, written, v >= 0 && v <= 40
}
