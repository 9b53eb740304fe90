package logbook

// FindParameter looks a parameter up by its name or its code, in any case.
func FindParameter(ps []Parameter, text string) (Parameter, bool) { return Parameter{}, false }

// ParseValue reads a value as people type it: a number, or a number behind < or >.
func ParseValue(text string) (value float64, bound Bound, err error) { return 0, Exact, errUnwritten }

// ParseReading reads a value in a unit; unit "" is the canonical one. Time, tank, method and note are left empty.
func ParseReading(p Parameter, text, unit string) (Reading, error) { return Reading{}, errUnwritten }
