//go:build dev

package study

import (
	"fmt"
	"os"
	"strconv"
	"testing"
	"time"

	"leadline/trend"
)

func envInt(k string, d int) int {
	if v, err := strconv.Atoi(os.Getenv(k)); err == nil {
		return v
	}
	return d
}

func TestDev(t *testing.T) {
	n := envInt("N", 400)
	seed := envInt("SEED", 101)
	series := Simulate(uint64(seed), n)
	rates := []float64{0.25, 0.5, 1}
	if os.Getenv("RULES") != "" {
		for _, d := range Rules() {
			for _, p := range Sweep(series, Scores(d, series), rates) {
				fmt.Printf("%-40s fa %.2f thr %.3f recall %.3f early %.3f grad %.3f sud %.3f intime %.3f\n", d.Name, p.FalsePerYear, p.Threshold, p.Recall, p.Early, p.Gradual, p.Sudden, p.SuddenInTime)
			}
		}
	}
	for _, generic := range []bool{false, true} {
		if generic && os.Getenv("GENERIC") == "" {
			continue
		}
		start := time.Now()
		runs := Hindcasts(trend.Hindcast, series, generic)
		fmt.Println("time", time.Since(start))
		for _, p := range Sweep(series, scoresOf(runs, func(s *said) float64 { return s.p42 }), rates) {
			fmt.Printf("%-20s fa %.2f thr %.3f recall %.3f early %.3f grad %.3f sud %.3f intime %.3f\n", "p42", p.FalsePerYear, p.Threshold, p.Recall, p.Early, p.Gradual, p.Sudden, p.SuddenInTime)
		}
		tl := flagTallies(series, runs)
		tt := total(tl, nil)
		c := tt.All()
		fmt.Printf("flag fa %.3f held %.3f recall %.3f early %.3f grad %.3f sud %.3f intime %.3f lead %.1f crossings %d\n", tt.FalsePerYear(), tt.HeldPerYear(), c.Recall(), c.EarlyRecall(), tt.Gradual.Recall(), tt.Sudden.Recall(), tt.Sudden.InTimeShare(), tt.MedianLead(), c.Crossings)
		for _, k := range kinds {
			x := total(tl, func(i int) bool { return series[i].Kind == k })
			c := x.All()
			fmt.Printf("   %-18s yrs %.0f fa %.2f recall %.2f (%d)\n", k, x.Years, x.FalsePerYear(), c.Recall(), c.Crossings)
		}
		for _, k := range []KitClass{Fine, Coarse, Card} {
			x := total(tl, func(i int) bool { return series[i].Kit == k })
			c := x.All()
			fmt.Printf("   %-18s yrs %.0f fa %.2f recall %.2f early %.2f (%d)\n", k, x.Years, x.FalsePerYear(), c.Recall(), c.EarlyRecall(), c.Crossings)
		}
		cal := Calibrate(series, runs)
		for _, r := range []struct {
			n string
			r reach
		}{{"now", cal.Now}, {"7", cal.Ahead7}, {"14", cal.Ahead14}} {
			f := func(c Cover) string {
				return fmt.Sprintf("%.3f (u %.3f o %.3f)", c.Share(), share(c.Under, c.N), share(c.Over, c.N))
			}
			fmt.Println("cover", r.n, f(r.r.All), "near", f(r.r.Near), "undist", f(r.r.Undisturbed))
		}
		fmt.Printf("crps %.4f dates %.3f u %d o %d n %d  again %+v\n", cal.Crps, cal.Dates.Share(), cal.Dates.Under, cal.Dates.Over, cal.Dates.N, judgeAgain(series, runs))
		for _, b := range cal.P42 {
			fmt.Printf(" %.2f/%.2f(%d)", b.Said/float64(b.N), float64(b.Happened)/float64(b.N), b.N)
		}
		fmt.Printf("  err %.4f\n", cal.P42.Error())
		for _, b := range cal.P14 {
			fmt.Printf(" %.2f/%.2f(%d)", b.Said/float64(b.N), float64(b.Happened)/float64(b.N), b.N)
		}
		fmt.Printf("  err %.4f\n", cal.P14.Error())
	}
}
