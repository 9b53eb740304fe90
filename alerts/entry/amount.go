package entry

import "strings"

// Split parts a value from the unit behind it: "< 0.02 mg/L" into "< 0.02" and "mg/L". Several results of one test stay
// together. A text that does not begin like a number is left whole, for the parser of values to refuse.
func Split(text string) (value, unit string) {
	text = strings.TrimSpace(text)
	rest := strings.TrimLeft(text, "<>=≤≥~ ")
	i := len(text) - len(rest)
	begin := i
	for i < len(text) {
		c := text[i]
		several := c == ' ' && i > begin && i+1 < len(text) && strings.ContainsRune("0123456789", rune(text[i+1]))
		exponent := (c == 'e' || c == 'E') && i > begin && i+1 < len(text) && strings.ContainsRune("+-0123456789", rune(text[i+1]))
		if !exponent && !several && !strings.ContainsRune("+-.,0123456789", rune(c)) {
			break
		}
		i++
	}
	if i == begin {
		return text, ""
	}
	return text[:i], strings.TrimSpace(text[i:])
}
