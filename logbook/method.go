package logbook

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
