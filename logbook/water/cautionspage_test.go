package water

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write the page of cautions anew")

// shownWhere is where each caution is shown, by topic; the whole text of those of supplements is at "supplement show".
var shownWhere = map[string]string{
	"label first":            "describing a supplement, plan",
	"raise slowly":           "plan",
	"calcium and alkalinity": "describing what raises one of them, plan of either",
	"one thing at a time":    "supplement show",
	"limits of this program": "plan",
	"purity":                 "supplement show",
	"order of mixing":        "describing a supplement, refilling its reservoir",
	"oxidisers":              "describing a supplement, refilling its reservoir",
	"limewater and lye": "describing it, dosing it, refilling its reservoir, plan; events and chores that tell " +
		"of it, of lye or of acid",
	"limewater in air":         "supplement show",
	"limewater slowly":         "describing it, dosing it, plan",
	"limewater too fast":       "supplement show",
	"hydroxide in seawater":    "supplement show",
	"alkalinity and nutrients": "plan of alkalinity above 11 dKH, or while a nutrient is near nothing",
	"palytoxin":                "events and chores that tell of cutting, boiling, scrubbing, sawing or zoanthids",
	"electricity":              "events and chores that tell of what has a plug",
	"fish medicines":           "events and chores that tell of medicines or copper",
	"kept apart":               "describing, dosing or refilling one of two supplements that precipitate",
}

// The page of cautions holds each of them once, with where it is shown and where it comes from.
func TestCautionsPage(t *testing.T) {
	lists := [][]Caution{PlanCautions(), {AlkalinityAndNutrients("11 dKH")}, WorkCautions("zoanthids, pump, copper"),
		LimewaterCautions()}
	for _, s := range Salts() {
		lists = append(lists, SaltCautions(s))
	}
	lists = append(lists, []Caution{{Topic: "kept apart", Brief: "Never mix the stock solution of A with B (C " +
		"precipitates).",
		Published: "the solubility products of the CRC Handbook, 87th ed.; testdata/reference/dosing.json"}})
	var b strings.Builder
	b.WriteString("# Cautions\n\nEach caution, where it is shown, and where it comes from. Where the hand is, one line " +
		"is shown; " +
		"the whole text stands below it here\nand at `leadline supplement show NAME`.\n")
	seen := map[string]bool{}
	for _, list := range lists {
		for _, c := range list {
			if seen[c.Topic] {
				continue
			}
			seen[c.Topic] = true
			source := "common practice, no source"
			if c.Published != "" {
				source = c.Published
			}
			where := shownWhere[c.Topic]
			if where == "" {
				t.Errorf("it is not said where the caution %q is shown", c.Topic)
			}
			fmt.Fprintf(&b, "\n## %s\n\n", c.Topic)
			for _, text := range []string{c.Brief, c.Text} {
				if text != "" {
					fmt.Fprintf(&b, "> %s\n\n", text)
				}
			}
			fmt.Fprintf(&b, "- shown: %s\n- source: %s\n", where, source)
		}
	}
	if *update {
		if err := os.WriteFile("CAUTIONS.md", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	page, err := os.ReadFile("CAUTIONS.md")
	if err != nil || string(page) != b.String() {
		t.Errorf("CAUTIONS.md is not what the program says (%v); go test ./logbook/water -run TestCautionsPage -update "+
			"writes it anew", err)
	}
}
