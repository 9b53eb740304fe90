package logbook

import "fmt"

// Method is a kit or an instrument: what numbers it can give, and how far repeated tests of the same water scatter.
// It has either a Step or Marks. All numbers are in Unit.
type Method struct {
	Name      string
	Parameter string
	Unit      string
	Step      float64   // readings are multiples of it
	Marks     []float64 // or: the marks of a scale or colour card, rising
	SD        float64   // repeatability, one standard deviation
	SDRel     float64   // further standard deviation as a fraction of the reading (added in quadrature)
	SDSteps   float64   // repeatability in steps between neighbouring marks
	Limit     float64   // detection limit; 0: not told
}

func (Method) Kind() Kind { return KindMethod }

func (m Method) fields(v visitor) Record {
	v.key(secondKey, "method", "the method", &m.Name, 0)
	v.key(firstKey, "parameter", "the parameter of the method", &m.Parameter, ofParameter)
	m.scale(v, elseCanonical)
	return m
}

// scale lists what methods and the generic method of a parameter have in common.
func (m *Method) scale(v visitor, unit rule) {
	v.text("unit", "the unit of the method", &m.Unit, ofUnit|unit)
	v.number("step", "the step", &m.Step, notNegative)
	v.numbers("marks", "the mark", &m.Marks)
	v.group(func() {
		v.number("sd", "the repeatability", &m.SD, notNegative)
		v.number("sd_rel", "the relative repeatability", &m.SDRel, notNegative)
		v.number("sd_steps", "the repeatability in steps", &m.SDSteps, notNegative)
		v.number("limit", "the detection limit", &m.Limit, notNegative)
	})
	v.check(func(c *checks) {
		if m.Step > 0 && len(m.Marks) > 0 {
			c.fail("the method has both a step of %s and %d marks; it can have one of the two", number(m.Step), len(m.Marks))
		}
		if len(m.Marks) == 1 {
			c.fail("the method has one mark, %s; a scale needs two", number(m.Marks[0]))
		}
		if err := Rising(m.Marks); err != nil {
			c.fail("%s", err)
		}
	})
}

// Rising says which of the marks of a scale is not above the one before; nil where all are.
func Rising(marks []float64) error {
	for i := 1; i < len(marks); i++ {
		if marks[i] <= marks[i-1] {
			return fmt.Errorf("the marks must rise, and %s follows %s", number(marks[i]), number(marks[i-1]))
		}
	}
	return nil
}
