package alerts

import (
	"leadline/logbook"
	"leadline/trend"
)

// commonKits are the kinds of kit that may stand behind a reading whose method nobody described, in the canonical unit of the
// parameter: photometers, kits with steps, and colour cards whose first mark is low or high. None for a parameter of which
// one generic method says enough, or of which the keeper has set that method. Steps, spreads and first marks are common
// practice, no source; how well the engine does with them is in trend/STUDY.md.
func commonKits(p logbook.Parameter) []trend.KitKind {
	if p.Generic.Name != logbook.GenericMethod {
		return nil
	}
	const photometer, steps, card = "a photometer", "a kit with coarse steps", "a colour card"
	switch p.Name {
	case "nitrate":
		return []trend.KitKind{
			{Name: photometer, Step: 0.1, SD: 0.15, SDRel: 0.04},
			{Name: photometer, Step: 0.1, SD: 0.4, SDRel: 0.08},
			{Name: steps, Step: 0.5, SD: 0.25, SDRel: 0.06, Exact: true},
			{Name: steps, Step: 1, SD: 0.5, SDRel: 0.08, Exact: true},
			{Name: card, Step: 0.75, SDRel: 0.35, Scale: true},
			{Name: card, Step: 2, SDRel: 0.35, Scale: true},
		}
	case "phosphate":
		return []trend.KitKind{
			{Name: photometer, Step: 0.003, SD: 0.004, SDRel: 0.03},
			{Name: photometer, Step: 0.003, SD: 0.009, SDRel: 0.05},
			{Name: steps, Step: 0.01, SD: 0.007, SDRel: 0.06, Exact: true},
			{Name: steps, Step: 0.02, SD: 0.01, SDRel: 0.08, Exact: true},
			{Name: card, Step: 0.012, SDRel: 0.35, Scale: true},
			{Name: card, Step: 0.03, SDRel: 0.35, Scale: true},
		}
	default:
		return nil
	}
}
