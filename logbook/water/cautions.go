package water

import (
	"regexp"
	"strings"
)

// Caution is a warning that belongs beside a plan, a recipe or a dose. The texts are common practice in the trade,
// without a source, unless Published says so.
type Caution struct {
	Topic     string
	Brief     string // one line, for where the hand is; "": the text is for reading up
	Text      string
	Published string // the source, for a published fact
}

// Briefs are the lines for where the hand is.
func Briefs(cautions []Caution) (lines []string) {
	for _, c := range cautions {
		if c.Brief != "" {
			lines = append(lines, c.Brief)
		}
	}
	return lines
}

// PlanCautions are those that go with every plan and dose.
func PlanCautions() []Caution {
	return []Caution{
		{Topic: "label first", Brief: "The label and the rules of your place come first.",
			Text: "The label of what you dose and the rules of the place where you live come before this program."},
		{Topic: "raise slowly", Brief: "Correct over days; test again before repeating a dose, and when a reading surprises.",
			Text: "Correct over days. Re-test before repeating a dose, and check the net volume and the unit first. When a " +
				"reading is surprising, test again before dosing."},
		{Topic: "calcium and alkalinity", Brief: "Never mix concentrated calcium and alkalinity stocks: they precipitate.",
			Text: "Never mix concentrated calcium and alkalinity stocks, or dose them in the same spot at the same time: they " +
				"precipitate."},
		{Topic: "one thing at a time", Text: "Change one thing at a time and write it down."},
		{Topic: "limits of this program", Brief: "Arithmetic on your own numbers: it replaces no second test.",
			Text: "Numbers are arithmetic on the readings given to it. They do not replace a second test or the keeper's eye."},
	}
}

// AlkalinityAndNutrients goes with a plan that raises alkalinity far, above high ("11 dKH"), or while nutrients are
// near nothing.
func AlkalinityAndNutrients(high string) Caution {
	return Caution{Topic: "alkalinity and nutrients", Brief: "Above " + high +
		", or with nitrate or phosphate near nothing, high alkalinity burns coral tips: nutrients first.",
		Text: "Above about " + high + ", or while nitrate or phosphate is near nothing, raising alkalinity burns the tips " +
			"of stony corals: bring the nutrients up first, and raise slowly."}
}

// SaltCautions are those that go with making up a salt, and only those that concern it.
func SaltCautions(s Salt) []Caution {
	list := []Caution{
		{Topic: "purity", Text: "Use food, pharmaceutical or analytical grade. De-icing salt and fertiliser may hold " +
			"ammonia, heavy metals or anti-caking agents."},
	}
	lye := s.has("OH")
	if lye {
		list = append(list, LimewaterCautions()...)
	}
	if lye || s.has("CO3") && !s.has("HCO3") || s.Formula == "CaCl2" {
		list = append(list, Caution{Topic: "order of mixing", Brief: "Add it to water, never water to it; let it cool.",
			Text: "Always add acid or caustic to water, never water to it. Small amounts, stir, let it cool. Dissolving " +
				"anhydrous calcium chloride gets hot."})
	}
	if s.has("NO3") {
		list = append(list, Caution{Topic: "oxidisers", Brief: "An oxidiser: keep it dry, away from fuel and heat.",
			Text: "Nitrates are oxidisers: keep dry, away from fuel and heat. Purchase is restricted or reported in some " +
				"countries: check local law."})
	}
	return list
}

// LimewaterCautions are those that go with limewater.
func LimewaterCautions() []Caution {
	return []Caution{
		{Topic: "limewater and lye", Brief: "Burns eyes and skin: goggles, gloves, out of reach of children.",
			Text: "Saturated limewater has pH about 12.4 and burns eyes and skin; lye is worse. Goggles, gloves, no " +
				"splashing, keep from children."},
		{Topic: "limewater in air", Text: "Carbon dioxide from air turns it to CaCO3 (skin on the surface, sediment) and " +
			"weakens it."},
		{Topic: "limewater slowly", Brief: "Drip it slowly, best at night.",
			Text: "Drip slowly, best at night when pH is lowest; a sudden dose drives pH up."},
		{Topic: "limewater too fast", Text: "In seawater, hydrated lime gave no precipitate at aragonite saturation about " +
			"5 but runaway CaCO3 precipitation above about 7.",
			Published: "Moras C.A. et al. (2022) Ocean alkalinity enhancement - avoiding runaway CaCO3 precipitation during " +
				"quick and hydrated lime dissolution. Biogeosciences 19, 3537-3557 (abstract read)"},
		{Topic: "hydroxide in seawater", Text: "With hydroxide added to seawater, precipitates formed above pH 10.0 and " +
			"aragonite saturation 30, first mostly Mg(OH)2.",
			Published: "Ringham M.C. et al. (2024) An assessment of ocean alkalinity enhancement using aqueous hydroxides. " +
				"Biogeosciences 21, 3551-3570 (abstract read)"},
	}
}

// WorkCautions are those that concern work in and about a tank, by the words that tell of it, which are chosen here.
func WorkCautions(text string) (list []Caution) {
	for _, w := range []struct {
		words string
		Caution
	}{
		{`limewater|lime|lye|acids?|caustic|hydroxide`, LimewaterCautions()[0]},
		{`zoanth\w+|zoas?|palythoas?|palys?|frag(s|ged|ging)?|cut(ting)?|boil(ed|ing)?|scrub(bed|bing)?|saw(ed|ing|n)?`,
			Caution{Topic: "palytoxin", Brief: "Some zoanthids carry palytoxin, which can kill: never boil, scrub, " +
				"saw or dry them; gloves, eye protection, air the room.",
				Text: "Some zoanthids carry palytoxin, which can kill. Never boil, scrub, saw or dry rock with them; gloves and " +
					"eye protection; air the room; on any symptom leave and get medical help at once, and say 'palytoxin'."}},
		{`pumps?|heaters?|chillers?|lights?|lamps?|skimmers?|cables?|sockets?|plugs?|mains|wir(es?|ed|ing)|dosers?`,
			Caution{Topic: "electricity", Brief: "Unplug before hands go in; a drip loop on every lead; wiring is " +
				"for a licensed electrician.",
				Text: "Drip loop on every lead, sockets above the water line, ground-fault protection (GFCI or RCD) as the local " +
					"code asks. Unplug before hands go in. Work on wiring belongs to a licensed electrician."}},
		{`medic\w*|copper|antibiotics?|treat(s|ed|ing|ment)?|dewormers?`, Caution{Topic: "fish medicines",
			Brief: "Medicines kill corals: treat in a separate tank, under a veterinarian.",
			Text: "Medicines, copper above all, kill corals and other invertebrates and linger in rock. Treat in a separate " +
				"tank under a veterinarian. The program gives no medicine doses."}},
	} {
		if regexp.MustCompile(`\b(` + w.words + `)\b`).MatchString(strings.ToLower(text)) {
			list = append(list, w.Caution)
		}
	}
	return list
}
