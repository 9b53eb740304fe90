package water

import (
	"strings"
	"testing"
)

// The texts are those of practice.json and dosing.json, so that what is marked common practice there stays so here.
func TestCautionsAreThoseOfTheReference(t *testing.T) {
	var practice struct {
		Safety []struct{ Topic, Text, How string }
	}
	readReference(t, "practice.json", &practice)
	var dosing struct {
		Limewater struct {
			Facts []struct{ Text, How string }
		}
	}
	readReference(t, "dosing.json", &dosing)
	how := map[string]string{}
	for _, s := range practice.Safety {
		how[s.Text] = s.How
	}
	for _, f := range dosing.Limewater.Facts { // written without capital and full stop
		how[strings.ToUpper(f.Text[:1])+f.Text[1:]+"."] = f.How
	}
	seen := 0
	lists := [][]Caution{PlanCautions(), LimewaterCautions(), {AlkalinityAndNutrients("11 dKH")},
		WorkCautions("zoanthids, pump, copper")}
	for _, s := range Salts() {
		lists = append(lists, SaltCautions(s))
	}
	for _, list := range lists {
		for _, c := range list {
			if c.Topic == "label first" { // the program's own
				continue
			}
			want := "practice"
			if c.Published != "" {
				want = "published"
			}
			if how[c.Text] != want {
				t.Errorf("%s: marked %q, the reference says %q", c.Topic, want, how[c.Text])
			}
			seen++
		}
	}
	if seen == 0 {
		t.Error("no caution was looked up")
	}
}

func TestSaltCautionsFit(t *testing.T) {
	for _, row := range []struct {
		salt, topic string
		want        bool
	}{
		{"sodium_nitrate", "oxidisers", true},
		{"calcium_nitrate_tetrahydrate", "oxidisers", true},
		{"sodium_bicarbonate", "oxidisers", false},
		{"sodium_bicarbonate", "limewater and lye", false},
		{"calcium_hydroxide", "limewater and lye", true},
		{"calcium_chloride_anhydrous", "order of mixing", true},
		{"calcium_chloride_hexahydrate", "order of mixing", false},
		{"potassium_chloride", "purity", true},
	} {
		s, err := FindSalt(row.salt)
		if err != nil {
			t.Fatal(err)
		}
		got := false
		for _, c := range SaltCautions(s) {
			got = got || c.Topic == row.topic
		}
		if got != row.want {
			t.Errorf("%s has %q: %v, want %v", row.salt, row.topic, got, row.want)
		}
	}
}

// Products from dosing.json, incompatible_mixtures (CRC Handbook, 87th ed.).
func TestClash(t *testing.T) {
	var file struct {
		Mixtures []struct {
			Ksp float64 `json:"Ksp_25C"`
		} `json:"incompatible_mixtures"`
	}
	readReference(t, "dosing.json", &file)
	known := map[float64]bool{0: true}
	for _, m := range file.Mixtures {
		known[m.Ksp] = true
	}
	products := map[string]float64{
		"CaCO3": 3.36e-9, "Ca3(PO4)2": 2.07e-33, "CaSO4.2H2O": 3.14e-5, "MgCO3": 6.82e-6, "Mg(OH)2": 5.61e-12,
		"Mg3(PO4)2": 1.04e-24, "SrCO3": 5.6e-10, "SrSO4": 3.44e-7,
	}
	for _, row := range []struct{ a, b, want string }{
		{"calcium_chloride_dihydrate", "sodium_bicarbonate", "CaCO3"},
		{"soda ash", "calcium_nitrate_tetrahydrate", "CaCO3"},
		{"calcium_hydroxide", "sodium_bicarbonate", "CaCO3"},
		{"calcium_chloride_dihydrate", "monopotassium_phosphate", "Ca3(PO4)2"},
		{"calcium_chloride_dihydrate", "epsom salt", "CaSO4.2H2O"},
		{"magnesium_chloride_hexahydrate", "sodium_carbonate", "MgCO3"},
		{"magnesium_chloride_hexahydrate", "sodium_bicarbonate", ""},
		{"magnesium_chloride_hexahydrate", "calcium_hydroxide", "Mg(OH)2"},
		{"magnesium_sulfate_heptahydrate", "disodium_phosphate", "Mg3(PO4)2"},
		{"strontium_chloride_hexahydrate", "sodium_bicarbonate", "SrCO3"},
		{"strontium_chloride_hexahydrate", "magnesium_sulfate_heptahydrate", "SrSO4"},
		{"calcium_chloride_dihydrate", "magnesium_chloride_hexahydrate", ""},
		{"sodium_nitrate", "sodium_bicarbonate", ""},
	} {
		a, err1 := FindSalt(row.a)
		b, err2 := FindSalt(row.b)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if got, other := Clash(a, b), Clash(b, a); got != row.want || got != other {
			t.Errorf("%s with %s: %q, want %q", row.a, row.b, got, row.want)
		}
		if ksp := products[row.want]; !known[ksp] || (ksp == 0) != (row.want == "") {
			t.Errorf("%s: product %v is not in the reference", row.want, ksp)
		}
	}
}
