package tui

import (
	"strings"
	"testing"

	"leadline/alerts"
	"leadline/trend"
)

// How many readings stand behind a median is never cut off, not even at 80 columns with many of them.
func TestChangesKeepTheirCounts(t *testing.T) {
	a := exampleApp(t, true, 80, 24)
	tank := example(t)[0].Tank
	c := newChanges(a.env, tank, noon.AddDate(0, 0, -30))
	a.push(c)
	k := trend.Comparison{NBefore: 1234, NAfter: 567, Shift: -0.003, Interval: trend.Interval{Lo: -0.005, Hi: 0.001}}
	found := alerts.Changed{Tank: tank, Around: c.around, Days: 28,
		Parameters: []alerts.ParameterChange{{Parameter: parameter(t, "phosphate"), Before: 0.032, After: 0.029,
			Comparison: k}}}
	c.fill(found)
	for _, want := range []string{"0.032 (1234)", "0.029 (567)", "-0.003 (-0.005 to +0.001)", "not clear"} {
		if !strings.Contains(a.View(), want) {
			t.Errorf("%s is missing:\n%s", want, a.View())
		}
	}
}
