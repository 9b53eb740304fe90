package trend

// The kinds of kit that may stand behind a nutrient reading whose method nobody described: photometers, kits with
// steps, and colour cards whose first mark is low or high. Steps, spreads and first marks are common practice, no
// source; how well the engine does with them is in STUDY.md, which is made with these very numbers.
const (
	aPhotometer = "a photometer"
	aStepKit    = "a kit with coarse steps"
	aColourCard = "a colour card"
)

// NitrateKits are the common kinds of kit for nitrate, in mg/L.
func NitrateKits() []KitKind {
	return []KitKind{
		{Name: aPhotometer, Step: 0.1, SD: 0.15, SDRel: 0.04},
		{Name: aPhotometer, Step: 0.1, SD: 0.4, SDRel: 0.08},
		{Name: aStepKit, Step: 0.5, SD: 0.25, SDRel: 0.06, Exact: true},
		{Name: aStepKit, Step: 1, SD: 0.5, SDRel: 0.08, Exact: true},
		{Name: aColourCard, Step: 0.75, SDRel: 0.35, Scale: true},
		{Name: aColourCard, Step: 2, SDRel: 0.35, Scale: true},
	}
}

// PhosphateKits are the common kinds of kit for phosphate, in mg/L of PO4.
func PhosphateKits() []KitKind {
	return []KitKind{
		{Name: aPhotometer, Step: 0.003, SD: 0.004, SDRel: 0.03},
		{Name: aPhotometer, Step: 0.003, SD: 0.009, SDRel: 0.05},
		{Name: aStepKit, Step: 0.01, SD: 0.007, SDRel: 0.06, Exact: true},
		{Name: aStepKit, Step: 0.02, SD: 0.01, SDRel: 0.08, Exact: true},
		{Name: aColourCard, Step: 0.012, SDRel: 0.35, Scale: true},
		{Name: aColourCard, Step: 0.03, SDRel: 0.35, Scale: true},
	}
}
