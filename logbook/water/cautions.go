package water

// Caution is a warning that belongs beside a plan, a recipe or a dose. The texts are common practice in the trade,
// without a source, unless Published says so.
type Caution struct {
	Topic     string
	Text      string
	Published string // the source, for a published fact
}

// PlanCautions are those that go with every plan and dose.
func PlanCautions() []Caution {
	return []Caution{
		{Topic: "label first", Text: "The label of what you dose and the rules of the place where you live come before this program."},
		{Topic: "raise slowly", Text: "Correct over days. Re-test before repeating a dose, and check the net volume and the unit first. When a reading is surprising, test again before dosing."},
		{Topic: "calcium and alkalinity", Text: "Never mix concentrated calcium and alkalinity stocks, or dose them in the same spot at the same time: they precipitate."},
		{Topic: "one thing at a time", Text: "Change one thing at a time and write it down."},
		{Topic: "limits of this program", Text: "Numbers are arithmetic on the readings given to it. They do not replace a second test or the keeper's eye."},
	}
}

// SaltCautions are those that go with making up a salt, and only those that concern it.
func SaltCautions(s Salt) []Caution {
	list := []Caution{
		{Topic: "purity", Text: "Use food, pharmaceutical or analytical grade. De-icing salt and fertiliser may hold ammonia, heavy metals or anti-caking agents."},
	}
	is := natureOf(s)
	if is.hydroxide {
		list = append(list, LimewaterCautions()...)
	}
	if is.hydroxide || is.carbonate || s.Formula == "CaCl2" {
		list = append(list, Caution{Topic: "order of mixing", Text: "Always add acid or caustic to water, never water to it. Small amounts, stir, let it cool. Dissolving anhydrous calcium chloride gets hot."})
	}
	if is.nitrate {
		list = append(list, Caution{Topic: "oxidisers", Text: "Nitrates are oxidisers: keep dry, away from fuel and heat. Purchase is restricted or reported in some countries: check local law."})
	}
	return list
}

// LimewaterCautions are those that go with limewater.
func LimewaterCautions() []Caution {
	return []Caution{
		{Topic: "limewater and lye", Text: "Saturated limewater has pH about 12.4 and burns eyes and skin; lye is worse. Goggles, gloves, no splashing, keep from children."},
		{Topic: "limewater in air", Text: "Carbon dioxide from air turns it to CaCO3 (skin on the surface, sediment) and weakens it."},
		{Topic: "limewater slowly", Text: "Drip slowly, best at night when pH is lowest; a sudden dose drives pH up."},
		{Topic: "limewater too fast", Text: "In seawater, hydrated lime gave no precipitate at aragonite saturation about 5 but runaway CaCO3 precipitation above about 7.",
			Published: "Moras C.A. et al. (2022) Ocean alkalinity enhancement - avoiding runaway CaCO3 precipitation during quick and hydrated lime dissolution. Biogeosciences 19, 3537-3557 (abstract read)"},
		{Topic: "hydroxide in seawater", Text: "With hydroxide added to seawater, precipitates formed above pH 10.0 and aragonite saturation 30, first mostly Mg(OH)2.",
			Published: "Ringham M.C. et al. (2024) An assessment of ocean alkalinity enhancement using aqueous hydroxides. Biogeosciences 21, 3551-3570 (abstract read)"},
	}
}
