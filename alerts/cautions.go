package alerts

import (
	"slices"

	"leadline/logbook"
	"leadline/logbook/water"
)

// CautionsOf are those that go with making up and keeping a supplement: of every plan's, the label and, for what raises
// alkalinity or calcium, the mixing of concentrates; then what it must not meet of the others, then its own.
func CautionsOf(s logbook.Supplement, others []logbook.Supplement,
	parameters []logbook.Parameter) (list []water.Caution) {
	builds := slices.ContainsFunc(s.Raises(parameters), func(r logbook.Rise) bool { return builtWith(r.Parameter) })
	for _, of := range water.PlanCautions() {
		if of.Topic == "label first" || of.Topic == concentrates && builds {
			list = append(list, of)
		}
	}
	if apart, ok := s.KeptApart(others); ok {
		list = append(list, apart)
	}
	return append(list, s.Cautions()...)
}

// concentrates is the topic of the caution for what corals build with, whose concentrates precipitate.
const concentrates = "calcium and alkalinity"

// builtWith says whether corals build with a parameter.
func builtWith(p logbook.Parameter) bool { return p.Name == "alkalinity" || p.Name == "calcium" }

// BewareDosing are the cautions where a supplement is dosed: with what it must not be mixed, and what
// it does to the hand.
func BewareDosing(s logbook.Supplement, others []logbook.Supplement) []water.Caution {
	return beware(s, others, "kept apart", "limewater and lye", "limewater slowly")
}

// BewareRefill are those where it is made up anew.
func BewareRefill(s logbook.Supplement, others []logbook.Supplement) []water.Caution {
	return beware(s, others, "kept apart", "limewater and lye", "order of mixing", "oxidisers")
}

func beware(s logbook.Supplement, others []logbook.Supplement, topics ...string) []water.Caution {
	return slices.DeleteFunc(CautionsOf(s, others, nil), func(c water.Caution) bool {
		return !slices.Contains(topics, c.Topic)
	})
}
