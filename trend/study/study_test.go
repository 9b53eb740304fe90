package study

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"slices"
	"testing"

	"leadline/trend"
)

var (
	full        = flag.Bool("study", false, "run the full study and print its page")
	seriesCount = flag.Int("series", 1000, "how many tanks the full study simulates")
	seed        = flag.Uint64("seed", chooseOn, "seed of the full study; nothing is chosen on that of the page")
	ceiling     = flag.Int("ceiling", 0,
		"with -study: on how many of them the filter that is told the model runs, some three seconds of processor time each")
	write = flag.Bool("write", false, "with -study: rewrite trend/STUDY.md")
)

const pagePath = "../STUDY.md"

// TestStudy prints the page of the full study. It runs only when asked.
func TestStudy(t *testing.T) {
	if !*full {
		t.Skip("a study of some minutes; run it with -study")
	}
	if *write && *seed != judgeOn {
		t.Fatalf("the page is made on seed %d, on which nothing is chosen", judgeOn)
	}
	res := Run(trend.Hindcast, *seed, *seriesCount)
	res.Everywhere = RunWorlds(append(rivals(), EngineDetector(trend.Hindcast, false)), *seed, *worldTanks)
	res.RunSlides(trend.Hindcast, max(1, *slideCount/slideCells))
	var err error
	if res.Waters, err = Waters(trend.Hindcast, waterPath); err != nil {
		t.Fatal(err)
	}
	if *ceiling > 0 {
		res.RunCeiling(trend.Hindcast, min(*ceiling, *seriesCount))
	}
	command := fmt.Sprintf("go test ./trend/study -run TestStudy -study -series %d -worlds %d -slides %d -seed %d "+
		"-ceiling %d -write -timeout 60m",
		*seriesCount, *worldTanks, *slideCount, *seed, *ceiling)
	var page bytes.Buffer
	if err := res.Page(&page, command); err != nil {
		t.Fatal(err)
	}
	fmt.Println(page.String())
	if *write {
		if err := os.WriteFile(pagePath, page.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// A study small enough for every run: tanks tested fortnightly, which have the fewest readings.
func TestSmallStudy(t *testing.T) {
	series := slices.DeleteFunc(Simulate(17, 110), func(s Series) bool { return s.Cadence != Fortnightly })
	res := describe(17, series)
	if res.Crossings < 15 {
		t.Fatalf("%d tanks with %d crossings are too few to judge by", len(series), res.Crossings)
	}
	res.judge(trend.Hindcast, series)
	calls := func(row Row) (sum float64) { // over all three rates together: with so few tanks one alarm is luck
		for _, p := range row.Points {
			sum += p.Recall + p.Early
		}
		return sum
	}
	for _, d := range Rules()[:3] {
		rule := sweepOf(d.Name, series, d.On(series))
		t.Logf("%s %.2f, the engine %.2f", d.Name, calls(rule), calls(res.Engine))
		if calls(res.Engine) <= calls(rule) {
			t.Errorf("%s calls %+v,\nthe engine %+v", d.Name, rule.Points, res.Engine.Points)
		}
	}
	if f := res.Flag.FalsePerYear(); f > 1 {
		t.Errorf("the flag gives %.2f false alarms per tank-year", f)
	}
	if s := res.Calibration.Now.All.Share(); s < 0.7 || s > 0.92 {
		t.Errorf("80 %% intervals of the level hold it in %.0f %%", 100*s)
	}
	t.Logf("%d tanks, %d readings, %d crossings", len(series), res.Readings, res.Crossings)
}

// What the engine says of a series must not depend on which other series are being worked on, nor in which order.
func TestHindcastsDoNotDependOnScheduling(t *testing.T) {
	series := Simulate(23, 3)
	together := EngineDetector(trend.Hindcast, false).On(series)
	alone := EngineDetector(trend.Hindcast, false).On(series[2:])
	if fmt.Sprint(together[2]) != fmt.Sprint(alone[0]) {
		t.Error("the third series is assessed differently alone")
	}
}
