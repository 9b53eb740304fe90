package report

import (
	"bufio"
	"cmp"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
)

// Metrics writes what is known of the tanks as gauges in the text format of Prometheus: the latest readings, levels
// with their 80 % range, slopes, bands, the chance to be at the floor, when to test, open alerts, and how long stocks
// last. Names end in the unit: the parameter's own, and seconds since 1970 for times. What is unknown is left out.
//
// Reference: Prometheus, exposition formats, text-based format 0.0.4.
func Metrics(w io.Writer, reports []alerts.Report) error {
	m := metrics{samples: map[string][]string{}}
	for _, r := range reports {
		tank := labels{{"tank", r.Tank.Name}}
		m.time("as_of", "the moment that the answers are for", r.AsOf, tank)
		for _, l := range r.Findings {
			of, as, unit := append(tank[:1:1], label{"parameter", l.Parameter.Name}), l.Assessment, metricUnit(l.Parameter.Unit)
			if n := len(l.Readings); n > 0 {
				m.add("latest_"+unit, "the latest reading; of sign < or >, its limit", l.Readings[n-1].Value,
					append(of[:2:2], label{"sign", cmp.Or(l.Readings[n-1].Bound.Sign(), "=")}))
				m.time("latest", "when the latest reading was taken", l.Readings[n-1].Time, of)
			}
			m.add("level_"+unit, "the likely level", as.Level, of)
			m.add("level_low_"+unit, "the lower end of the level's 80 % range", as.LevelLo, of)
			m.add("level_high_"+unit, "the upper end of the level's 80 % range", as.LevelHi, of)
			m.add("slope_"+unit+"_per_week", "the level's change a week", as.SlopePerWeek, of)
			m.add("band_low_"+unit, "the lower edge of the band", l.Band.Low, of)
			m.add("band_high_"+unit, "the upper edge of the band", l.Band.High, of)
			m.add("floor_"+unit, "the level below which it counts as bottomed out", l.Band.Floor, of)
			for i, p := range []float64{as.PFloor14, as.PFloor28, as.PFloor42} {
				m.add("floor_chance_ratio", "the chance to be below the floor within so many days", p,
					append(of[:2:2], label{"days", strconv.Itoa(14 * (i + 1))}))
			}
			m.time("next_test", "when the next test is due", l.Due, of)
		}
		for _, s := range r.Stocks {
			of := append(tank[:1:1], label{"stock", s.Name})
			if !math.IsNaN(s.Out.P50) && !math.IsInf(s.Out.P50, 0) {
				m.time("stock_used_up", "when a stock may be used up", r.AsOf.Add(time.Duration(s.Out.P50*float64(24*time.Hour))),
					of)
			}
			m.time("stock_expires", "when a stock expires", s.Expires, of)
		}
		open := map[alerts.Severity]int{}
		for _, al := range alerts.OnlyOpen(r.Alerts, r.AsOf) {
			open[al.Severity]++
			m.add("alert", "an open alert", 1, append(tank[:1:1], label{"parameter", al.Parameter},
				label{"subject", al.Subject}, label{"rule", string(al.Rule)}, label{"severity", al.Severity.String()}))
		}
		for s := alerts.Notice; s <= alerts.Urgent; s++ {
			m.add("alerts", "how many alerts are open", float64(open[s]), append(tank[:1:1], label{"severity", s.String()}))
		}
	}
	out := bufio.NewWriter(w)
	for _, name := range m.names {
		for _, line := range m.samples[name] {
			out.WriteString(line)
		}
	}
	return out.Flush()
}

// metrics are the samples of each metric, which stand together, behind what it is.
type metrics struct {
	names   []string
	samples map[string][]string
}

type label struct{ name, value string }

type labels []label

func (m *metrics) add(name, help string, value float64, of labels) {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return
	}
	name = "leadline_" + name
	if m.samples[name] == nil {
		m.names = append(m.names, name)
		m.samples[name] = []string{fmt.Sprintf("# HELP %s %s\n# TYPE %[1]s gauge\n", name, help)}
	}
	escape := strings.NewReplacer(`\`, `\\`, `"`, `\"`, "\n", `\n`)
	told := words.Of(of, func(l label) string { return l.name + `="` + escape.Replace(words.OneLine(l.value)) + `"` })
	m.samples[name] = append(m.samples[name],
		fmt.Sprintf("%s{%s} %s\n", name, strings.Join(told, ","), strconv.FormatFloat(value, 'g', -1, 64)))
}

func (m *metrics) time(name, help string, t time.Time, of labels) {
	if !t.IsZero() {
		m.add(name+"_timestamp_seconds", help, float64(t.Unix()), of)
	}
}

// metricUnit is a unit as the end of a name, in which only letters, digits and _ may stand.
func metricUnit(unit string) string {
	unit = strings.NewReplacer("°c", "celsius", "%", "percent", "µ", "u", "μ", "u", "/",
		"_per_").Replace(strings.ToLower(unit))
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '_'
	}, unit)
}
