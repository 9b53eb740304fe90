package logbook

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"leadline/logbook/water"
)

// Supplement is what the keeper doses, described by exactly one of: a recipe, a label, or saturated limewater. It is a
// definition, keyed by name; the names that dosing and doses carry refer to it.
type Supplement struct {
	Name string

	Salt      string  // recipe: a salt or its formula, "Na2CO3"; see water.FindSalt
	GramsPerL float64 // recipe: grams of it made up to one litre
	Purity    float64 // recipe: fraction 0..1 of the salt that is what its formula says; 0 means 1

	Label   []LabelRise // label: what an amount of it raises
	LabelML float64     // label: millilitres ...
	LabelL  float64     // label: ... in so many litres of water

	Limewater bool // saturated calcium hydroxide
}

func (Supplement) Kind() Kind { return KindSupplement }

func (s Supplement) fields(v visitor) Record {
	v.key(onlyKey, "supplement", "the supplement", &s.Name, 0)
	v.text("salt", "the salt", &s.Salt, 0)
	v.number("grams_per_l", "the grams per litre", &s.GramsPerL, 0)
	v.number("purity", "the purity", &s.Purity, notNegative)
	label, raises := len(s.Label) > 0 || s.LabelML != 0 || s.LabelL != 0, func() {}
	v.object("label", label, func() {
		v.number("ml", "the millilitres of the label", &s.LabelML, needed|positive)
		v.number("litres", "the litres of the label", &s.LabelL, needed|positive)
		raises = v.last(true, func() { s.rises(v) })
	})
	v.yes("limewater", &s.Limewater)
	raises()
	v.check(func(c *checks) { s.check(c, label) })
	return s
}

func (s *Supplement) rises(v visitor) {
	parameters := gather(s.Label, func(l LabelRise) string { return l.Parameter })
	v.each("raises", "rises", parameters, func(i int, parameter string) {
		if i == len(s.Label) { // it is being read
			s.Label = append(s.Label, LabelRise{Parameter: parameter})
		}
		v.number("value", "the rise of "+strconv.Quote(parameter)+" on the label", &s.Label[i].Rise, needed|positive)
		v.text("unit", "a unit of the label", &s.Label[i].Unit, ofUnit|elseCanonical)
	})
}

func (s *Supplement) check(c *checks, label bool) {
	recipe := s.Salt != "" || s.GramsPerL != 0 || s.Purity != 0
	if countTrue(recipe, label, s.Limewater) != 1 {
		c.fail("say how strong %s is by one of the three: recipe, label or limewater", s.Name)
	}
	if label && len(s.Label) == 0 {
		c.fail("the label does not say what it raises")
	}
	if !recipe {
		return
	}
	c.number("the grams per litre", s.GramsPerL, positive)
	if s.Purity > 1 {
		c.fail("the purity %s is above 1, which is all of it", number(s.Purity))
	}
	if _, err := water.FindSalt(s.Salt); err != nil {
		c.fail("the salt: %v", err)
	}
}

// LabelRise is one parameter that a label says is raised.
type LabelRise struct {
	Parameter string
	Rise      float64
	Unit      string
}

// Rise is what one millilitre of a supplement does for one parameter.
type Rise struct {
	Parameter Parameter
	Strength  water.Strength // canonical units
}

// Strength says how strong the supplement is for a parameter, in the canonical unit; an error says why it does nothing
// for it.
func (s Supplement) Strength(p Parameter) (water.Strength, error) {
	switch {
	case s.Limewater:
		return water.LimewaterStrength(p.Name)
	case s.Salt != "":
		salt, err := water.FindSalt(s.Salt)
		if err != nil {
			return 0, err
		}
		return salt.Strength(s.GramsPerL, cmp.Or(s.Purity, 1), p.Name)
	}
	for _, l := range s.Label {
		if l.Parameter != p.Name {
			continue
		}
		rise, err := p.CanonicalChange(l.Rise, l.Unit)
		if err != nil {
			return 0, err
		}
		return water.LabelStrength(s.LabelML, s.LabelL, rise)
	}
	return 0, fmt.Errorf("the label of %s does not say that it raises %s", s.Name, p.Name)
}

// Raising is Strength of what has to raise the parameter.
func (s Supplement) Raising(p Parameter) (water.Strength, error) {
	by, err := s.Strength(p)
	if err == nil && !(by > 0) {
		err = fmt.Errorf("%s does not raise %s", s.Name, p.Name)
	}
	return by, err
}

// Raises lists everything among the parameters that the supplement raises, in their order: with potassium nitrate comes
// potassium, with limewater calcium.
func (s Supplement) Raises(ps []Parameter) []Rise {
	var all []Rise
	for _, p := range ps {
		if strength, err := s.Strength(p); err == nil && strength > 0 {
			all = append(all, Rise{p, strength})
		}
	}
	return all
}

// Cautions are those that go with making the supplement up. A label has its own.
func (s Supplement) Cautions() []water.Caution {
	if s.Limewater {
		return water.LimewaterCautions()
	}
	if salt, err := water.FindSalt(s.Salt); err == nil {
		return water.SaltCautions(salt)
	}
	return nil
}

// KeptApart is the caution that names with which of the others, by their salts, the supplement must not be mixed; ok is
// false where none is known to precipitate with it.
func (s Supplement) KeptApart(others []Supplement) (c water.Caution, ok bool) {
	var clashing []string
	for _, o := range others {
		a, err1 := s.salt()
		b, err2 := o.salt()
		if err1 != nil || err2 != nil {
			continue
		}
		if falls := water.Clash(a, b); falls != "" {
			clashing = append(clashing, fmt.Sprintf("%s (%s precipitates)", Clean(o.Name), falls))
		}
	}
	text := fmt.Sprintf("Never mix the stock solution of %s with %s.", Clean(s.Name), strings.Join(clashing, " or "))
	return water.Caution{Topic: "kept apart", Brief: text, Text: text}, len(clashing) > 0
}

// salt is what it is a solution of; a label does not say.
func (s Supplement) salt() (water.Salt, error) {
	if s.Limewater {
		return water.FindSalt("Ca(OH)2")
	}
	return water.FindSalt(s.Salt)
}

// Dissolving says whether the recipe can be made at 20 °C; of what is no recipe it is not known.
func (s Supplement) Dissolving() water.Dissolving {
	salt, _ := water.FindSalt(s.Salt)
	return salt.Dissolving(s.GramsPerL)
}

// Doseable refuses what is not dosed, with how it is changed instead (common practice, no source).
func (p Parameter) Doseable() error {
	how := map[string]string{
		"temperature": "the heater, the cooler or the room changes it",
		"pH":          "it follows alkalinity and the carbon dioxide of the air: test alkalinity, air the room",
		"salinity":    "leadline salinity --to 35 says how much salt water or fresh water changes it",
	}[p.Name]
	if how == "" {
		return nil
	}
	return Refusal{Field: p.Name, Reason: p.Name + " is not dosed", Hint: how}
}
