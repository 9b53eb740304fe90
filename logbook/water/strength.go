package water

import (
	"cmp"
	"fmt"
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

// Stock is a solution made by dissolving a salt and making it up to a volume.
type Stock struct {
	Salt   Salt
	Grams  float64 // weighed
	Purity float64 // fraction of it that is the salt; 1 for analytical grade
	Litres float64 // of finished solution
}

// Strength of the solution for a parameter, which may be named as in Salt.PerGram.
func (k Stock) Strength(parameter string) (Strength, error) {
	per, err := k.Salt.PerGram(parameter)
	if err := cmp.Or(err, mustBePositive("salt in g", k.Grams), mustBeAFraction("purity", k.Purity),
		mustBePositive("volume of the solution in L", k.Litres)); err != nil {
		return 0, err
	}
	return Strength(k.Grams * k.Purity / (1000 * k.Litres) * per), nil
}

// Dissolving says whether the solution can be made at t °C.
func (k Stock) Dissolving(t float64) (Dissolving, error) {
	if err := mustBePositive("volume of the solution in L", k.Litres); err != nil {
		return DissolvesUnknown, err
	}
	return k.Salt.Dissolving(k.Grams/k.Litres, t)
}

// SaturatedLimewater is mol of Ca(OH)2 per litre of limewater saturated at 25 °C, of pH 12.45 (published: Bates, Bower
// & Smith (1956), see limeSolubility). Water cooler than 25 °C takes up a little more. The trade reckons with 0.020.
const SaturatedLimewater = 0.0203

// LimewaterStrength is the strength of limewater with so many mol of Ca(OH)2 per litre, for "alkalinity" or "calcium":
// each mole brings two equivalents of alkalinity and one mole of calcium, just as CaCO3 takes them.
func LimewaterStrength(parameter string, molPerL float64) (Strength, error) {
	if err := mustBePositive("limewater in mol/L", molPerL); err != nil {
		return 0, err
	}
	switch parameter {
	case "alkalinity":
		return Strength(molPerL * 2 * DKHPerMeq), nil // 2000 meq per mol, 1000 mL per L
	case "calcium":
		return Strength(molPerL * wCa), nil
	}
	return 0, fmt.Errorf("limewater does not raise %s", parameter)
}
