package trend

// Rolling is the model-free view of the last Window days.
type Rolling struct {
	Method       string // "theil-sen", or "akritas-theil-sen" where readings are censored; "" when there is none
	WindowDays   float64
	N            int     // readings in the window
	SlopePerWeek float64 // canonical unit per week
	Lo, Hi       float64 // 95 % interval of the slope per week
	Lo80, Hi80   float64 // 80 % interval
	S            float64 // Kendall's S of value over time
	VarS         float64
	Tau          float64 // tau-b; tau-a where readings are censored
	Z            float64 // continuity-corrected
	P            float64 // two-sided; exact for small n
	Exact        bool    // P is exact
	// The same with every "<" taken as its limit, as much published work does; equal to the above when nothing is censored.
	AsLimits *Rolling
	Notes    []Note
}
