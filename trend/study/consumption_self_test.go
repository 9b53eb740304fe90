package study

import "testing"

func TestDemand(t *testing.T) {
	const tanks = 16
	for name, c := range map[string]struct {
		draw func(seed uint64, number int) Consumer
		most float64 // the relative error to be held
	}{
		"alkalinity": {Alkalinity, 0.040},
		"calcium":    {Calcium, 0.062},
	} {
		var cs []Consumer
		for i := range tanks {
			cs = append(cs, c.draw(11, i))
		}
		engine, line, two := ScoreDemand(cs, EngineDemand), ScoreDemand(cs, LineDemand), ScoreDemand(cs, LastTwoDemand)
		t.Logf("%s: engine %+v; line %+v; two %+v", name, engine, line, two)
		if engine.RMSE > c.most {
			t.Errorf("%s: relative error %.4f, at most %.4f wanted", name, engine.RMSE, c.most)
		}
		if engine.Covered < 0.76 || engine.Covered > 0.84 {
			t.Errorf("%s: 80 %% intervals hold the truth in %.3f", name, engine.Covered)
		}
		if engine.RMSE >= line.RMSE || engine.RMSE >= two.RMSE {
			t.Errorf("%s: a plain rule does better", name)
		}
	}
}
