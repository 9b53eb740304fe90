package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"leadline/logbook"
)

// waterReference holds two series of a river and what their trends are; its README says where they come from.
const waterReference = "../../testdata/reference"

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

// TestRealWater imports public series by a mapping of columns and compares the rolling view over the whole of each with
// the reference, which comes from scipy and R.
func TestRealWater(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(waterReference, "real_water.json"))
	if err != nil {
		t.Fatal(err)
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
	_, parameter, _ := strings.Cut(c.ID, "_")
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
	p, ok := logbook.FindParameter(logbook.Standard(), parameter)
	if !ok {
		t.Fatalf("%s is not a parameter", parameter)
	}
	u, err := p.FindUnit(c.Unit)
	if err != nil {
		t.Fatal(err)
	}
	factor, err := u.CanonicalChange(1)
	if err != nil {
		t.Fatal(err)
	}
	leadline("import", filepath.Join(waterReference, c.File), "--map", "time=date,value=value,censored=censored,unit=unit",
		"--parameter", parameter)
	// A window in days, longer than any of the series.
	var got assessmentForTest
	if err := json.Unmarshal(leadline("trend", parameter, "--window", "20000d", "--json"), &got); err != nil {
		t.Fatal(err)
	}
	if got.Rolling.N != c.N {
		t.Errorf("%d readings in the window; want %d", got.Rolling.N, c.N)
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
	Rolling rollingForTest `json:"rolling"`
}
