package alerts

import (
	"leadline/logbook"
	"leadline/trend"
)

// commonKits are the kinds of kit that may stand behind a reading whose method nobody described, in the canonical unit of the
// parameter. None for a parameter of which one generic method says enough, or of which the keeper has set that method.
func commonKits(p logbook.Parameter) []trend.KitKind {
	if p.Generic.Name != logbook.GenericMethod {
		return nil
	}
	switch p.Name {
	case "nitrate":
		return trend.NitrateKits()
	case "phosphate":
		return trend.PhosphateKits()
	default:
		return nil
	}
}
