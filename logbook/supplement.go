package logbook

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

// LabelRise is one parameter that a label says is raised.
type LabelRise struct {
	Parameter string
	Rise      float64
	Unit      string
}
