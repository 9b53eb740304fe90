package study

import (
	"bytes"
	"fmt"
	"os"
	"testing"
)

// TestDemandStudy writes the page on demand. It runs only when asked.
func TestDemandStudy(t *testing.T) {
	if !*full {
		t.Skip("run it with -study")
	}
	const tanks = 60
	var page bytes.Buffer
	if err := DemandPage(&page, *seed, tanks,
		fmt.Sprintf("go test ./trend/study -run TestDemandStudy -study -seed %d -write", *seed)); err != nil {
		t.Fatal(err)
	}
	fmt.Println(page.String())
	if *write {
		if err := os.WriteFile("../DEMAND.md", page.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// Over tanks that differ from the ordinary in one point the intervals stay honest, if not exact: the bounds are those
// of the page, with room for chance in so few tanks.
func TestDemandIntervalsOverKindsOfTanks(t *testing.T) {
	for _, k := range ConsumerKinds() {
		least, most := 0.72, 0.88
		switch k.Name {
		case "no swing from day to day", "tested weekly, no swing":
			most = 0.99
		case "twice the swing", "swing of a few days":
			least = 0.6
		}
		alkalinity, calcium := k.Draw(31, 12)
		for name, cs := range map[string][]Consumer{"alkalinity": alkalinity, "calcium": calcium} {
			if s := ScoreDemand(cs, EngineDemand); s.Covered < least || s.Covered > most {
				t.Errorf("%s, %s: 80 %% intervals hold the truth in %.3f", k.Name, name, s.Covered)
			}
		}
	}
}
