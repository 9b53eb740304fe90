package demo

// supplies describes what the laboratory doses, makes up and uses up. The reservoirs of forereef are filled with the
// chore of that name, every fourth week; the phosphate reagent has served since week 20.
func (s *story) supplies() {
	for _, f := range []fields{
		{"supplement": "soda ash", "salt": "Na2CO3", "grams_per_l": 100},
		{"supplement": "calcium chloride", "salt": "CaCl2.2H2O", "grams_per_l": 200, "purity": 0.98},
		{"supplement": "sodium nitrate", "salt": "NaNO3", "grams_per_l": 30},
	} {
		f["kind"] = "supplement"
		s.line(f)
	}
	for _, f := range []fields{
		{"tank": "forereef", "stock": "soda ash reservoir", "unit": "mL", "supplement": "soda ash"},
		{"tank": "forereef", "stock": "calcium chloride reservoir", "unit": "mL", "supplement": "calcium chloride"},
		{"tank": "forereef", "stock": "phosphate reagent", "unit": "tests", "parameter": "phosphate",
			"method": "photometer-p"},
		{"tank": "lagoon", "stock": "sodium nitrate bottle", "unit": "mL", "supplement": "sodium nitrate"},
	} {
		f["kind"] = "stock"
		s.line(f)
	}
	for week := 0; week < weeks; week += 4 {
		s.refill("forereef", week, "soda ash reservoir", 6000, "")
		s.refill("forereef", week, "calcium chloride reservoir", 5000, "")
	}
	s.refill("forereef", 20, "phosphate reagent", 50, s.last.AddDate(0, 9, 0).Format("2006-01-02"))
	s.refill("lagoon", 35, "sodium nitrate bottle", 1000, "")
}

func (s *story) refill(tank string, week int, stock string, amount float64, expires string) {
	f := fields{"kind": "refill", "time": s.at(week, 2), "tank": tank, "stock": stock, "amount": amount}
	if expires != "" {
		f["expires"] = expires
	}
	s.line(f)
}
