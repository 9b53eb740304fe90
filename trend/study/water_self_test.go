package study

import (
	"flag"
	"os"
	"testing"

	"leadline/trend"
)

const waterPath = "../../testdata/reference/data"

var waterFolder = flag.String("water", waterPath, "folder with series of real water for TestWaters")

// TestWaters prints, with -v, how the engine foretells real water; in an ordinary run it only looks that nothing is
// far off.
func TestWaters(t *testing.T) {
	scores, err := Waters(trend.Hindcast, *waterFolder)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range scores {
		if held := s.Engine.Held.Share(); s.Readings < 30 || held < 0.4 || held > 0.95 {
			t.Errorf("%s: 80 %% intervals hold %.2f of %d readings", s.Name, held, s.Readings)
		}
	}
	if *full {
		WaterTable(os.Stdout, scores)
	}
}
