package logbook

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
