package water

import "strings"

// fold brings a typed unit to one spelling: lower case, no spaces, hyphens, brackets or underscores, "u" for the micro
// sign, "/" for "per" and "⁻¹", without "as". What is left of "µg / l (as PO4-P)" is "ug/lpo4p".
func fold(text string) string {
	s := strings.ToLower(strings.TrimSpace(text))
	return without.Replace(divided.Replace(plain.Replace(s)))
}

// The three passes of fold, in order.
var (
	plain = strings.NewReplacer(
		"µ", "u", "μ", "u", "litre", "l", "liter", "l", "⁻¹", "-1", "⁻", "-", "⁺", "+",
		"²", "2", "³", "3", "₂", "2", "₃", "3", "₄", "4", "₅", "5",
	)
	divided = strings.NewReplacer(
		" l-1", "/l", ".l-1", "/l", "·l-1", "/l", " kg-1", "/kg", " cm-1", "/cm", " per ", "/", " as ", " ", "(as ", " ",
	)
	without = strings.NewReplacer(" ", "", "-", "", "(", "", ")", "", "_", "", "·", "")
)
