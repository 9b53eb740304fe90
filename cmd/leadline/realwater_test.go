package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"leadline/logbook"
)

// sharedReference lies beside the repository and is no part of it: public water series that may be read, not carried.
const sharedReference = "../../../shared/reference"

type waterCase struct {
	ID       string `json:"id"`
	File     string `json:"file"`
	N        int    `json:"n"`
	Censored int    `json:"censored"`
	Unit     string `json:"unit"`
	AsLimits struct {
		Slope float64    `json:"theil_sen_slope_per_day"`
		CI95  [2]float64 `json:"ci95"`
		CI80  [2]float64 `json:"ci80"`
		S     float64    `json:"S"`
		VarS  float64    `json:"var_S"`
		Tau   float64    `json:"tau_b"`
		Z     float64    `json:"z_cc"`
		P     float64    `json:"p_normal_cc"`
	} `json:"limits_as_values"`
	Aware struct {
		Slope float64 `json:"ats_slope_per_day"`
		S     float64 `json:"S"`
		VarS  float64 `json:"var_S"`
		Z     float64 `json:"z_cc"`
		P     float64 `json:"p_normal_cc"`
	} `json:"censored_aware"`
}

// waterParameter is what each series measures, as the table of sources in the reference's README says.
func waterParameter() map[string]string {
	return map[string]string{
		"apalachicola_nitrate_nitrite": "nitrate",
		"apalachicola_orthophosphate":  "phosphate",
		"arkansas_ammonia":             "ammonia",
		"choptank_ammonia":             "ammonia",
		"choptank_nitrate":             "nitrate",
		"gales_creek_chromium":         "chromium",
		"klamath_total_phosphorus":     "phosphate",
	}
}

// TestRealWater imports public series by a mapping of columns and compares the rolling view over the whole of each with
// the reference, which comes from scipy and R (real_water.json, see its README for software and tolerances).
func TestRealWater(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(sharedReference, "real_water.json"))
	if err != nil {
		t.Skipf("the public water series are not beside the repository: %v", err)
	}
	var reference struct {
		Cases []waterCase `json:"cases"`
	}
	if err := json.Unmarshal(text, &reference); err != nil {
		t.Fatal(err)
	}
	for _, c := range reference.Cases {
		t.Run(c.ID, func(t *testing.T) { compareWater(t, c) })
	}
}

func compareWater(t *testing.T, c waterCase) {
	parameter := waterParameter()[c.ID]
	if parameter == "" {
		t.Fatal("a series this test does not know")
	}
	book := filepath.Join(t.TempDir(), "water.book")
	leadline := func(args ...string) []byte {
		var out, errOut bytes.Buffer
		now := func() time.Time { return time.Date(2026, 3, 7, 0, 0, 0, 0, time.UTC) }
		env := func(string) string { return "" }
		args = append([]string{"--book", book}, args...)
		if code := run(context.Background(), args, nil, &out, &errOut, env, now); code != 0 {
			t.Fatalf("%v: exit code %d\n%s", args, code, errOut.String())
		}
		return out.Bytes()
	}
	leadline("tank", "add", "river")
	factor := 1.0
	if parameter == "chromium" {
		leadline("parameter", "add", "chromium", "--unit", "ug/L", "--digits", "3")
	} else {
		p, _ := logbook.FindParameter(logbook.Standard(), parameter)
		u, err := p.FindUnit(c.Unit)
		if err != nil {
			t.Fatal(err)
		}
		if factor, err = u.CanonicalChange(1); err != nil {
			t.Fatal(err)
		}
	}
	leadline("import", filepath.Join(sharedReference, c.File), "--map", "time=date,value=value,censored=censored,unit=unit", "--parameter", parameter)
	// A window in days, longer than any of the series.
	var got assessmentForTest
	if err := json.Unmarshal(leadline("trend", parameter, "--window", "20000d", "--json"), &got); err != nil {
		t.Fatal(err)
	}
	if got.N != c.N || got.Rolling.N != c.N {
		t.Errorf("n is %d, in the window %d; want %d", got.N, got.Rolling.N, c.N)
	}
	near := func(what string, got, want, relative float64) {
		t.Helper()
		if math.Abs(got-want) > relative*math.Abs(want)+1e-15 {
			t.Errorf("%s is %v, want %v", what, got, want)
		}
	}
	aware, limits := got.Rolling, got.Rolling
	if got.Rolling.AsLimits != nil {
		limits = *got.Rolling.AsLimits
	}
	perWeek := 7 * factor
	near("slope (limits as values)", limits.Slope, c.AsLimits.Slope*perWeek, 1e-9)
	near("95 % lower", limits.Lo, c.AsLimits.CI95[0]*perWeek, 1e-9)
	near("95 % upper", limits.Hi, c.AsLimits.CI95[1]*perWeek, 1e-9)
	near("80 % lower", limits.Lo80, c.AsLimits.CI80[0]*perWeek, 1e-9)
	near("80 % upper", limits.Hi80, c.AsLimits.CI80[1]*perWeek, 1e-9)
	near("S (limits as values)", limits.S, c.AsLimits.S, 0)
	near("var S (limits as values)", limits.VarS, c.AsLimits.VarS, 1e-9)
	near("tau b", limits.Tau, c.AsLimits.Tau, 1e-9)
	near("z (limits as values)", limits.Z, c.AsLimits.Z, 1e-9)
	near("p (limits as values)", limits.P, c.AsLimits.P, 1e-8)
	if c.Censored == 0 {
		return
	}
	near("slope (censored)", aware.Slope, c.Aware.Slope*perWeek, 1e-9)
	near("S (censored)", aware.S, c.Aware.S, 0)
	near("var S (censored)", aware.VarS, c.Aware.VarS, 1e-9)
	near("z (censored)", aware.Z, c.Aware.Z, 1e-9)
	near("p (censored)", aware.P, c.Aware.P, 1e-8)
}

type rollingForTest struct {
	N        int             `json:"n"`
	Slope    float64         `json:"slope_per_week"`
	Lo       float64         `json:"lo"`
	Hi       float64         `json:"hi"`
	Lo80     float64         `json:"lo_80"`
	Hi80     float64         `json:"hi_80"`
	S        float64         `json:"s"`
	VarS     float64         `json:"var_s"`
	Tau      float64         `json:"tau"`
	Z        float64         `json:"z"`
	P        float64         `json:"p"`
	AsLimits *rollingForTest `json:"as_limits"`
}

type assessmentForTest struct {
	N       int            `json:"n"`
	Rolling rollingForTest `json:"rolling"`
}
