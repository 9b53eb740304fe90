package logbook

// Unlikely says whether a reading lies outside the usual range of its parameter, and why it may be a slip.
func Unlikely(p Parameter, r Reading) (why string, yes bool) { return "", false }
