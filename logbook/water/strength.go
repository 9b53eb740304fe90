package water

import (
	"cmp"
	"fmt"
	"math"
)

// Strength is how strong a supplement is for one parameter: by how much 1 mL of it raises 1 L of water, in the
// parameter's canonical unit. A supplement of which 10 mL raise 100 L by 1 dKH has strength 10.
type Strength float64

// LabelStrength reads what a label says: so many mL raise so many litres by so much.
func LabelStrength(millilitres, litres, rise float64) (Strength, error) {
	if err := cmp.Or(mustBePositive("dose in mL", millilitres), mustBePositive("volume in L", litres),
		mustBePositive("rise", rise)); err != nil {
		return 0, err
	}
	return Strength(rise * litres / millilitres), nil
}

// Rise is by how much a dose raises a tank of so many litres of net water.
func (s Strength) Rise(millilitres, litres float64) (float64, error) {
	if err := cmp.Or(s.check(), mustNotBeNegative("dose in mL", millilitres),
		mustBePositive("net volume in L", litres)); err != nil {
		return 0, err
	}
	return float64(s) * millilitres / litres, nil
}

// Millilitres is the dose for a rise: the inverse of Rise.
func (s Strength) Millilitres(rise, litres float64) (float64, error) {
	if err := cmp.Or(s.check(), mustNotBeNegative("rise", rise), mustBePositive("net volume in L", litres)); err != nil {
		return 0, err
	}
	return rise * litres / float64(s), nil
}

func (s Strength) check() error { return mustBePositive("strength of the supplement", float64(s)) }

// Strength of a solution for a parameter, which may be named as in PerGram: of so many grams made up to one litre, of
// which purity, a fraction, is the salt (1 for analytical grade).
func (s Salt) Strength(grams, purity float64, parameter string) (Strength, error) {
	per, err := s.PerGram(parameter)
	if err := cmp.Or(err, mustBePositive("salt in g", grams), mustBeAFraction("purity", purity)); err != nil {
		return 0, err
	}
	return Strength(grams * purity / 1000 * per), nil
}

// LimewaterStrength is the strength of limewater saturated at 25 °C for "alkalinity" or "calcium". Of pH 12.45, it has
// 0.0203 mol of Ca(OH)2 in a litre (published: Bates R.G., Bower V.E. & Smith E.R. (1956) Calcium hydroxide as a highly
// alkaline pH standard. J. Res. Natl. Bur. Stand. 56(6), 305-312); water cooler than 25 °C takes up a little more. The
// trade reckons with 0.020. Each mole brings two equivalents of alkalinity and one mole of calcium, just as CaCO3 takes
// them.
func LimewaterStrength(parameter string) (Strength, error) {
	const molPerL = 0.0203
	switch parameter {
	case "alkalinity":
		return Strength(molPerL * 2 * DKHPerMeq), nil // 2000 meq per mol, 1000 mL per L
	case "calcium":
		return Strength(molPerL * wCa), nil
	}
	return 0, fmt.Errorf("limewater does not raise %s", parameter)
}

// VolumeEstimate is a net water volume with its standard deviation.
type VolumeEstimate struct{ Litres, SD float64 }

// NetVolumeFromDose estimates the net water volume of a tank from a dose of known content and the rise that was
// measured. Content is what the dose would raise one litre by: Strength times mL, or Salt.PerGram times grams.
// ReadingSD is the standard deviation of one reading; the rise is the difference of two, each of which may be the mean
// of n. To first order
//
//	V = content / rise,  sd(V) = V sd(rise) / rise,  sd(rise) = readingSD √(2/n)
//
// and a rise of less than four standard deviations is refused: the answer would be anything.
func NetVolumeFromDose(content, rise, readingSD float64, n int) (VolumeEstimate, error) {
	if err := cmp.Or(mustBePositive("content of the dose", content), mustBePositive("measured rise", rise),
		mustNotBeNegative("standard deviation of a reading", readingSD),
		mustBePositive("number of readings before and after", float64(n))); err != nil {
		return VolumeEstimate{}, err
	}
	sd := readingSD * math.Sqrt(2/float64(n))
	if rise < 4*sd {
		return VolumeEstimate{}, fmt.Errorf("a rise of %s with an uncertainty of %s gives no volume: dose more, or take "+
			"several readings before and after", plain6(rise), plain6(sd))
	}
	v := content / rise
	return VolumeEstimate{Litres: v, SD: v * sd / rise}, nil
}

// BoxVolume is the litres a rectangular tank holds, from its inner measures in cm. The net water is commonly 10 to 25 %
// less: rock, sand and the space above (common practice, no source).
func BoxVolume(length, width, height float64) (float64, error) {
	if err := cmp.Or(mustBePositive("length in cm", length), mustBePositive("width in cm", width),
		mustBePositive("height in cm", height)); err != nil {
		return 0, err
	}
	return length * width * height / 1000, nil
}
