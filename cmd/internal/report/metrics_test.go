package report

import (
	"bytes"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"leadline/alerts"
	"leadline/logbook"
)

// metricsOf writes the metrics of all tanks, and reads them as strictly as the format asks: the samples of a metric
// stand together behind its HELP and TYPE, names and labels are of the letters that are allowed, and no sample comes
// twice.
func metricsOf(t *testing.T, book *logbook.Book, asOf time.Time) map[string]float64 {
	t.Helper()
	var b bytes.Buffer
	err := book.View(func(v *logbook.View) error {
		tanks, err := v.Tanks()
		if err != nil {
			return err
		}
		var reports []alerts.Report
		for _, tank := range tanks {
			r, err := alerts.Examine(v, tank.Name, asOf)
			if err != nil {
				return err
			}
			reports = append(reports, r)
		}
		return Metrics(&b, reports)
	})
	if err != nil {
		t.Fatal(err)
	}
	sample := regexp.MustCompile(`^([a-z_:][a-z0-9_:]*)\{((?:[a-z]+="(?:[^"\\]|\\["\\n])*",?)+)\} (\S+)$`)
	said, samples, metric := map[string]bool{}, map[string]float64{}, ""
	for line := range strings.Lines(b.String()) {
		line = strings.TrimSuffix(line, "\n")
		if help, is := strings.CutPrefix(line, "# HELP "); is {
			metric, _, _ = strings.Cut(help, " ")
			if said[metric] {
				t.Errorf("%s comes twice", metric)
			}
			said[metric] = true
			continue
		}
		if strings.HasPrefix(line, "# TYPE ") {
			if line != "# TYPE "+metric+" gauge" {
				t.Errorf("%q behind the help of %s", line, metric)
			}
			continue
		}
		m := sample.FindStringSubmatch(line)
		if m == nil || m[1] != metric {
			t.Fatalf("%q is no sample of %s", line, metric)
		}
		value, err := strconv.ParseFloat(m[3], 64)
		if _, twice := samples[m[1]+m[2]]; err != nil || twice {
			t.Errorf("%q: %v, twice %v", line, err, twice)
		}
		samples[m[1]+m[2]] = value
	}
	return samples
}

func TestMetricsOfDemo(t *testing.T) {
	asOf := demoEvening(t)
	samples := metricsOf(t, demoBook(t), asOf)
	for name, want := range map[string]float64{ // by the demo's story, and the post of it
		`leadline_latest_dkhtank="forereef",parameter="alkalinity",sign="="`:      7.4,
		`leadline_band_high_psutank="forereef",parameter="salinity"`:              36,
		`leadline_floor_mg_per_ltank="forereef",parameter="phosphate"`:            0.015,
		`leadline_alertstank="lagoon",severity="urgent"`:                          0,
		`leadline_as_of_timestamp_secondstank="lagoon"`:                           float64(asOf.Unix()),
		`leadline_band_low_celsiustank="forereef",parameter="temperature"`:        24.5,
		`leadline_latest_celsiustank="forereef",parameter="temperature",sign="="`: 25.3,
	} {
		if got, found := samples[name]; !found || got != want {
			t.Errorf("%s: %v (%v), want %v", name, got, found, want)
		}
	}
	if p := samples[`leadline_floor_chance_ratiotank="forereef",parameter="phosphate",days="14"`]; p <= 0.5 || p > 1 {
		t.Errorf("phosphate is at its floor in two weeks with a chance of %v", p)
	}
}

func TestMetricsOfHostileNames(t *testing.T) {
	samples := metricsOf(t, bookOf(t, hostileLog(t)), time.Date(2026, 3, 7, 9, 0, 0, 0, time.UTC))
	if len(samples) == 0 {
		t.Error("nothing is said")
	}
	book := bookOf(t, []byte(`{"kind":"tank","tank":"a\"b\\c{} 1"}`+"\n"))
	if samples := metricsOf(t, book, time.Date(2026, 3, 7, 9, 0, 0, 0,
		time.UTC)); samples[`leadline_alertstank="a\"b\\c{} 1",severity="notice"`] != 0 || len(samples) != 4 {
		t.Errorf("%v", samples)
	}
}
