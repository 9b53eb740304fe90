package logbook

import (
	"strings"
	"testing"
)

// Names and codes are both understood, and what is not listed follows in the order it had.
func TestOrderSorts(t *testing.T) {
	names := func(ps []Parameter) string {
		var out []string
		for _, p := range ps {
			out = append(out, p.Name)
		}
		return strings.Join(out, " ")
	}
	some := func() []Parameter {
		var ps []Parameter
		for _, n := range []string{"alkalinity", "calcium", "magnesium", "nitrate", "pH"} {
			p, ok := FindParameter(Standard(), n)
			if !ok {
				t.Fatal(n)
			}
			ps = append(ps, p)
		}
		return ps
	}
	for _, c := range []struct {
		order Order
		want  string
	}{
		{nil, "alkalinity calcium magnesium nitrate pH"},
		{Order{"NO3", "ca"}, "nitrate calcium alkalinity magnesium pH"},
		{Order{"ph", "unheard of", "magnesium"}, "pH magnesium alkalinity calcium nitrate"},
	} {
		ps := some()
		c.order.Sort(ps)
		if got := names(ps); got != c.want {
			t.Errorf("%v gives %s, want %s", c.order, got, c.want)
		}
	}
	if own := (Tank{Order: Order{"pH"}}).OrderOr(Order{"calcium"}); own[0] != "pH" {
		t.Error("the usual order went before the tank's own")
	}
	if usual := (Tank{}).OrderOr(Order{"calcium"}); usual[0] != "calcium" {
		t.Error("a tank without an order does not take the usual one")
	}
}

// A tank without an order is kept and written as it always was; the bytes and the line are those of before there were
// orders.
func TestTankWithoutOrderIsUnchanged(t *testing.T) {
	tank := Tank{Name: "lagoon", VolumeL: 1, About: "soft corals"}
	const kept = "?\xf0\x00\x00\x00\x00\x00\x00\x00\x00\vsoft corals\x00"
	if _, got := appendDefinition(tank); string(got) != kept {
		t.Errorf("kept as %q, want %q", got, kept)
	}
	line := RecordJSON(tank)
	if want := `{"kind":"tank","tank":"lagoon","volume_l":1,"about":"soft corals"}`; string(line) != want {
		t.Errorf("written as %s, want %s", line, want)
	}
	tank.Order = Order{"nitrate", "calcium"}
	key, value := appendDefinition(tank)
	back, _, err := readDefinition(KindTank, key, value)
	if err != nil || strings.Join(back.(Tank).Order, " ") != "nitrate calcium" {
		t.Errorf("read back as %v (%v)", back, err)
	}
}

// An order that names a parameter twice, or none that is known, is refused.
func TestOrderIsChecked(t *testing.T) {
	for _, line := range []string{
		`{"kind":"tank","tank":"lagoon","order":["nitrate","no3"]}`,
		`{"kind":"tank","tank":"lagoon","order":["unheard of"]}`,
		`{"kind":"tank","tank":"lagoon","order":"nitrate"}`,
	} {
		err := EachJSONL(strings.NewReader(line), JSONLOptions{File: "orders", Parameters: Standard()}, func(Record) error {
			return nil
		})
		if err == nil || !strings.Contains(err.Error(), "order") {
			t.Errorf("%s: %v", line, err)
		}
	}
	if Validate(Tank{Name: "lagoon", Order: Order{"nitrate", "nitrate"}}) == nil {
		t.Error("a tank with a parameter twice in its order is kept")
	}
}
