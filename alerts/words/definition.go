package words

import (
	"cmp"
	"fmt"
	"strings"

	"leadline/logbook"
	"leadline/logbook/water"
)

// Method is what a method can tell: its steps or marks, its scatter and its limit, in its unit.
func Method(m logbook.Method) string {
	text := "steps of " + Plain(m.Step)
	if len(m.Marks) > 0 {
		text = "marks " + strings.Join(Of(m.Marks, Plain), " ")
	}
	text = WithUnit(text, m.Unit) + With(", scatter ", Scatter(m))
	if m.Limit > 0 {
		text += ", sees from " + WithUnit(Plain(m.Limit), m.Unit)
	}
	return text
}

// Scatter is how far single tests by a method scatter; "" where that is not told.
func Scatter(m logbook.Method) string {
	var parts []string
	if m.SD > 0 {
		parts = append(parts, WithUnit(Plain(m.SD), m.Unit))
	}
	if m.SDRel > 0 {
		parts = append(parts, Share(m.SDRel)+" of the reading")
	}
	if m.SDSteps > 0 {
		parts = append(parts, Plain(m.SDSteps)+" of a step")
	}
	return strings.Join(parts, " and ")
}

// Made is what a supplement is made of, or what its label says of an amount.
func Made(s logbook.Supplement) string {
	switch {
	case s.Limewater:
		return "saturated limewater"
	case s.Salt == "":
		return fmt.Sprintf("by label, %s mL in %s L", Plain(s.LabelML), Plain(s.LabelL))
	}
	text := Plain(s.GramsPerL) + " g/L " + OneLine(s.Salt)
	if salt, err := water.FindSalt(s.Salt); err == nil {
		text = Plain(s.GramsPerL) + " g/L " + salt.Name
	}
	if s.Purity > 0 {
		text += ", " + Share(s.Purity) + " pure"
	}
	return text
}

// Raises is what a supplement raises of the parameters that are kept.
func Raises(s logbook.Supplement, kept []logbook.Parameter) string {
	rises := s.Raises(kept)
	if len(rises) == 0 {
		return "nothing that is kept here"
	}
	return List(rises, func(r logbook.Rise) string {
		by := water.FormatSignificant(r.Parameter.Shown.ChangeFromCanonical(float64(r.Strength)/10), 3)
		return OneLine(r.Parameter.Name) + " by " + WithUnit(by, Unit(r.Parameter))
	}) + " (10 mL in 100 L)"
}

// Chore is a chore and how often it comes round, where that was told.
func Chore(c logbook.Chore) string {
	if c.EveryDays == 0 {
		return OneLine(c.Name)
	}
	return OneLine(c.Name) + " " + Every(c.EveryDays)
}

// Band is a band of one of some parameters: "low 3 high 12 floor 2 in mg/L every 7 days". It is as it was set, but for
// a parameter that is shown in a unit set for it.
func Band(parameters []logbook.Parameter, of string, b logbook.Band) string {
	say := Plain
	p, _ := logbook.FindParameter(parameters, of)
	if u, err := p.FindUnit(b.Unit); err == nil && p.Shown.Name() != "" && u != p.Shown {
		b.Unit = p.ShownUnit()
		say = func(v float64) string { return Number(p, u.Canonical(v)) }
	}
	var parts []string
	for _, edge := range []struct {
		word string
		v    *float64
	}{{"low", b.Low}, {"high", b.High}, {"floor", b.Floor}} {
		if edge.v != nil {
			parts = append(parts, edge.word+" "+say(*edge.v))
		}
	}
	if len(parts) > 0 && b.Unit != "" {
		parts = append(parts, "in "+OneLine(b.Unit))
	}
	if b.EveryDays != nil {
		parts = append(parts, Every(*b.EveryDays))
	}
	return strings.Join(parts, " ")
}

// Step says what a change did to a definition, field by field: "volume 437 L, was 450 L; band of nitrate low 3, was
// none".
func (k Known) Step(s logbook.Step) string {
	var said []string
	for _, field := range s.Sections() {
		is, was := k.said(s.Is, field), k.said(s.Was, field)
		text := strings.TrimSpace(fieldName(field) + " " + cmp.Or(is, "none"))
		if s.Was != nil && is != was {
			text += ", was " + cmp.Or(was, "none")
		}
		said = append(said, text)
	}
	switch {
	case len(said) > 0:
	case s.Was == nil:
		return "started"
	default:
		return "nothing else than before"
	}
	return strings.Join(said, "; ")
}

// fieldName is what a field of a definition is called; "" where what is said of it needs no name.
func fieldName(field string) string {
	if of, is := strings.CutPrefix(field, "bands."); is {
		return "band of " + OneLine(of)
	}
	if name, is := map[string]string{"volume_l": "volume", "timezone": "time zone", "tank": ""}[field]; is {
		return name
	}
	return strings.ReplaceAll(field, "_", " ")
}

// said is what a definition says by a field; "" where it says nothing.
func (k Known) said(def logbook.Record, field string) string {
	switch d := def.(type) {
	case logbook.Method:
		return Method(d)
	case logbook.Supplement:
		return Made(d)
	case logbook.Chore:
		return Chore(d)
	case logbook.Stock:
		return OneLine(d.Name) + ", in " + OneLine(d.Unit)
	case logbook.Parameter:
		text := map[string]string{"unit": d.Unit, "code": d.Code, "digits": Plain(float64(d.Digits)),
			"every_days": Plain(d.EveryDays), "wobble": Plain(d.Wobble)}[field]
		return OneLine(text)
	case logbook.Tank:
		of, banded := strings.CutPrefix(field, "bands.")
		switch band, set := d.Bands[of]; {
		case banded && set:
			return Band(k.Parameters, of, band)
		case field == "tank":
			text := "called " + OneLine(d.Name)
			if d.Retired.After(d.Returned) {
				text += ", retired"
			}
			return text
		case field == "volume_l" && d.VolumeL > 0:
			return Litres(d.VolumeL)
		case field == "order":
			return List(d.Order, OneLine)
		}
		return OneLine(map[string]string{"timezone": d.Timezone, "since": d.Since, "about": d.About}[field])
	}
	return ""
}
