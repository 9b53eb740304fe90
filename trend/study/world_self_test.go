package study

import (
	"flag"
	"os"
	"testing"

	"leadline/trend"
)

var (
	worldTanks = flag.Int("worlds", 150, "how many tanks of each altered world the full study judges")
	alone      = flag.Bool("alone", false, "with TestWorlds: the engine alone, without the detectors beside it")
)

// TestWorlds prints, with -v, how the engine does in worlds for which it was not made. It runs only when asked.
func TestWorlds(t *testing.T) {
	if !*full {
		t.Skip("a study of some minutes; run it with -study")
	}
	detectors := []Detector{EngineDetector(trend.Hindcast, false)}
	if !*alone {
		detectors = append(rivals(), detectors...)
	}
	e := RunWorlds(detectors, *seed, *worldTanks)
	e.Table(os.Stdout)
}
