package water

import (
	"fmt"
	"strings"
	"unicode"
)

// Formula is a chemical formula with what it is made of.
type Formula struct {
	text  string
	atoms map[string]float64
}

// ParseFormula reads a formula as chemists write it: "CaCl2·2H2O", "Mg(OH)2", "Ca[NO3]2*4H2O", "CaCl2.2H2O",
// "SrCl₂·6H₂O". A part may begin with a number, which may be a decimal fraction: "CaSO4·0.5H2O", "2P". Charges are not
// part of a formula. The elements are those of AtomicWeight.
func ParseFormula(text string) (Formula, error) {
	if len(text) > longestFormula {
		return Formula{}, fmt.Errorf("formula %.40q…: it is longer than %d bytes", text, longestFormula)
	}
	p := formulaParser{rest: []rune(plainDigits(strings.TrimSpace(text)))}
	atoms, err := p.formula()
	if err != nil {
		return Formula{}, fmt.Errorf("formula %q: %w", text, err)
	}
	return Formula{text: text, atoms: atoms}, nil
}

// longestFormula bounds what is read; the longest of any use here has 40 bytes.
const longestFormula = 200

// String is the formula as it was typed.
func (f Formula) String() string { return f.text }

// Atoms is how many atoms of an element one formula holds.
func (f Formula) Atoms(symbol string) float64 { return f.atoms[symbol] }

// MolarMass is the mass of one mole in g, the sum of the abridged 2021 atomic weights (see AtomicWeight).
func (f Formula) MolarMass() float64 {
	m := 0.0
	for _, e := range elements {
		m += f.atoms[e.symbol] * e.weight
	}
	return m
}

// MolarMass returns the molar mass in g/mol of a formula given as text.
func MolarMass(formula string) (float64, error) {
	f, err := ParseFormula(formula)
	if err != nil {
		return 0, err
	}
	return f.MolarMass(), nil
}

// MassRatio returns the grams of one substance that stand for one gram of another, M(to)/M(from). The formulas carry
// the numbers that make them equivalent: MassRatio("N", "NO3") is 4.4266 g nitrate for each g of nitrogen, and
// MassRatio("2HCO3", "CaCO3") is 0.8202.
func MassRatio(from, to string) (float64, error) {
	a, err := MolarMass(from)
	if err != nil {
		return 0, err
	}
	b, err := MolarMass(to)
	if err != nil {
		return 0, err
	}
	return b / a, nil
}

// formulaParser reads a formula from left to right by this grammar:
//
//	formula = part { ("·" | "." | "*") part }
//	part    = [ number ] group { group }
//	group   = ( element | "(" group { group } ")" | "[" ... "]" ) [ integer ]
type formulaParser struct {
	rest []rune
}

func (p *formulaParser) peek() rune {
	if len(p.rest) == 0 {
		return 0
	}
	return p.rest[0]
}

func (p *formulaParser) next() rune {
	r := p.peek()
	if r != 0 {
		p.rest = p.rest[1:]
	}
	return r
}

func (p *formulaParser) formula() (map[string]float64, error) {
	total := map[string]float64{}
	for {
		factor, err := p.coefficient()
		if err != nil {
			return nil, err
		}
		atoms, err := p.groups(0)
		if err != nil {
			return nil, err
		}
		add(total, atoms, factor)
		if len(p.rest) == 0 {
			return total, nil
		}
		switch r := p.peek(); r {
		case '·', '•', '.', '*':
			p.next()
		default:
			return nil, fmt.Errorf("%q is not expected there", string(r))
		}
	}
}

// maxDepth bounds nested brackets, so that hostile text cannot exhaust the stack.
const maxDepth = 8

// groups reads one group after another until something that is not a group.
func (p *formulaParser) groups(depth int) (map[string]float64, error) {
	atoms := map[string]float64{}
	for {
		var one map[string]float64
		switch r := p.peek(); {
		case r == '(' || r == '[':
			p.next()
			if depth == maxDepth {
				return nil, fmt.Errorf("more than %d brackets inside one another", maxDepth)
			}
			inner, err := p.groups(depth + 1)
			if err != nil {
				return nil, err
			}
			closing := map[rune]rune{'(': ')', '[': ']'}[r]
			if p.next() != closing {
				return nil, fmt.Errorf("a %q is not closed", string(r))
			}
			one = inner
		case unicode.IsUpper(r):
			symbol := p.symbol()
			if _, ok := AtomicWeight(symbol); !ok {
				return nil, fmt.Errorf("element %q is not in the table of atomic weights", symbol)
			}
			one = map[string]float64{symbol: 1}
		default:
			if len(atoms) == 0 {
				return nil, fmt.Errorf("an element is missing")
			}
			return atoms, nil
		}
		n, err := p.subscript()
		if err != nil {
			return nil, err
		}
		add(atoms, one, n)
	}
}

func (p *formulaParser) symbol() string {
	s := string(p.next())
	for unicode.IsLower(p.peek()) {
		s += string(p.next())
	}
	return s
}

// subscript reads the number of a group; none means 1.
func (p *formulaParser) subscript() (float64, error) {
	if !isDigit(p.peek()) {
		return 1, nil
	}
	n := p.integer()
	if n == 0 || n > maxCount {
		return 0, fmt.Errorf("a number of atoms must be 1 to %d", maxCount)
	}
	return n, nil
}

// maxCount bounds the numbers in a formula; the largest of any use here is the 12 of a hydrate.
const maxCount = 1000

// coefficient reads the number before a part; none means 1.
func (p *formulaParser) coefficient() (float64, error) {
	if !isDigit(p.peek()) {
		return 1, nil
	}
	n := p.integer()
	if len(p.rest) > 1 && p.peek() == '.' && isDigit(p.rest[1]) {
		p.next()
		for place := 0.1; isDigit(p.peek()); place /= 10 {
			n += place * float64(p.next()-'0')
		}
	}
	if n == 0 || n > maxCount {
		return 0, fmt.Errorf("the number before a part must be above 0 and at most %d", maxCount)
	}
	return n, nil
}

func (p *formulaParser) integer() float64 {
	n := 0.0
	for isDigit(p.peek()) {
		n = 10*n + float64(p.next()-'0')
	}
	return n
}

func isDigit(r rune) bool { return r >= '0' && r <= '9' }

func add(total, atoms map[string]float64, times float64) {
	for symbol, n := range atoms {
		total[symbol] += n * times
	}
}

// plainDigits turns the subscript digits of print into plain ones and drops spaces.
func plainDigits(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= '₀' && r <= '₉':
			return r - '₀' + '0'
		case unicode.IsSpace(r):
			return -1
		}
		return r
	}, s)
}
