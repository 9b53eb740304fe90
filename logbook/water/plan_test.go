package water

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// alkalinityAim is an ordinary correction, from which cases are made by changing a field or two.
func alkalinityAim() Aim {
	return Aim{
		Parameter: "alkalinity", Unit: "dKH",
		Start: time.Date(2026, 9, 25, 8, 0, 0, 0, time.UTC),
		Level: 7.2, LevelSD: 0.1, Target: 8.2, Demand: 0.8, DemandSD: 0.02, ReadingSD: 0.15,
		Litres: 400, Strength: 20, MaxRise: 0.5, MaxFall: 0.5, Low: 5, High: 13,
	}
}

func TestPlanHoldsTheLevel(t *testing.T) {
	a := alkalinityAim()
	a.Target = a.Level
	p, err := NewPlan(a)
	if err != nil {
		t.Fatal(err)
	}
	// 0.8 dKH × 400 L / 20 dKH·L/mL
	if p.StandingRise != 0.8 || math.Abs(p.StandingML-16) > 1e-12 || len(p.Steps) != 0 {
		t.Errorf("got %+v", p)
	}
	if p.Portions != 2 { // 0.8 at once is more than 0.5
		t.Errorf("%d portions, want 2", p.Portions)
	}
}

func TestPlanSteps(t *testing.T) {
	p, err := NewPlan(alkalinityAim())
	if err != nil {
		t.Fatal(err)
	}
	// The margin is 4 × 0.02, so that a day may bring 0.42 and three days bring 1.
	if len(p.Steps) != 3 {
		t.Fatalf("%d steps, want 3: %+v", len(p.Steps), p.Steps)
	}
	for i, s := range p.Steps {
		if math.Abs(s.Change-1.0/3) > 1e-12 || math.Abs(s.Millilitres-(0.8+1.0/3)*20) > 1e-9 {
			t.Errorf("step %d: %+v", i, s)
		}
	}
	if got := p.Steps[2].Time; !got.Equal(time.Date(2026, 9, 27, 8, 0, 0, 0, time.UTC)) {
		t.Errorf("third step on %v", got)
	}
	if math.Abs(p.Final.Level-8.2) > 1e-12 {
		t.Errorf("ends at %v", p.Final)
	}
	// √(0.1² + (3×0.02)²) × 1.645
	if want := 1.6448536 * math.Hypot(0.1, 0.06); math.Abs(p.Final.Hi-8.2-want) > 1e-6 ||
		math.Abs(8.2-p.Final.Lo-want) > 1e-6 {
		t.Errorf("interval %v, want ± %v", p.Final, want)
	}
}

// The room of a day is the limit less four standard deviations: 0.42 here, so that 0.84 takes two days and a little
// more takes three. What a dose truly brings counts as well.
func TestPlanMargin(t *testing.T) {
	for _, row := range []struct {
		rise, contentSD float64
		steps           int
	}{
		{0.83, 0, 2}, {0.85, 0, 3},
		// 0.5 - 4 √(0.02² + (0.05 × 1.3)²) = 0.228
		{0.45, 0.05, 2}, {0.46, 0.05, 3},
	} {
		a := alkalinityAim()
		a.Target, a.ContentSD = a.Level+row.rise, row.contentSD
		if p, err := NewPlan(a); err != nil || len(p.Steps) != row.steps {
			t.Errorf("a rise of %v takes %d days, want %d (%v)", row.rise, len(p.Steps), row.steps, err)
		}
	}
}

// A step is a calendar day, also across the change of clocks.
func TestPlanDatesAreCalendarDays(t *testing.T) {
	zone, err := time.LoadLocation("Pacific/Auckland")
	if err != nil {
		t.Skip("this machine has no time zones: ", err)
	}
	a := alkalinityAim()
	a.Start = time.Date(2026, 9, 26, 8, 0, 0, 0, zone) // clocks go forward on 27 September
	p, err := NewPlan(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range p.Steps {
		if s.Time.Hour() != 8 || s.Time.Day() != 26+s.Day {
			t.Errorf("day %d is %v", s.Day, s.Time)
		}
	}
}

func TestPlanLowersByGivingLess(t *testing.T) {
	a := alkalinityAim()
	a.Level, a.Target = 9.6, 8.2
	p, err := NewPlan(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range p.Steps {
		if !(s.Change < 0 && -s.Change <= 0.42+1e-12) || math.Abs(s.Millilitres-(0.8+s.Change)*20) > 1e-9 {
			t.Errorf("%+v", s)
		}
	}
	a.Demand = 0.1 // then no day can fall by more than that
	p, err = NewPlan(a)
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range p.Steps {
		if s.Millilitres > 1e-9 || -s.Change > 0.1+1e-12 {
			t.Errorf("%+v", s)
		}
	}
}

// Phosphate at 0.01 mg/L may double in a day, which for alkalinity would be refused.
func TestPlanNearZero(t *testing.T) {
	a := Aim{
		Parameter: "phosphate", Unit: "mg/L", Level: 0.01, Target: 0.03, Demand: 0.002, Litres: 300, Strength: 1,
		MaxRise:  0.01,
		NearZero: true,
	}
	if p, err := NewPlan(a); err != nil || len(p.Steps) != 2 || p.Final.Level != 0.03 {
		t.Errorf("%+v (%v)", p, err)
	}
	a.NearZero = false
	if _, err := NewPlan(a); err == nil {
		t.Error("doubling in a day was planned")
	}
	// Without a limit on rises there is nothing to divide a dose by.
	a.Level, a.Target, a.MaxRise = 0.03, 0.03, 0
	if p, err := NewPlan(a); err != nil || p.Portions != 1 {
		t.Errorf("%+v (%v)", p, err)
	}
}

// A heavy demand is known to 4 % at best; the room left is then less than the margin wants, and the plan slow.
func TestPlanOfAHeavyDemand(t *testing.T) {
	a := alkalinityAim()
	a.Demand, a.DemandSD = 3, 0.12 // four times that would leave 0.02 a day
	p, err := NewPlan(a)
	if err != nil || len(p.Steps) != 10 {
		t.Fatalf("%d steps, want 10 of 0.1 (%v)", len(p.Steps), err)
	}
	a.DemandSD = 0.14 // three times that and 0.1 are more than 0.5
	if _, err = NewPlan(a); err == nil {
		t.Error("a plan was made on a demand known to 0.14 a day")
	}
}

func TestPlanRefusals(t *testing.T) {
	for _, row := range []struct {
		name string
		edit func(*Aim)
		says string
	}{
		{"no volume", func(a *Aim) { a.Litres = 0 }, "net volume"},
		{"no strength", func(a *Aim) { a.Strength = 0 }, "strength"},
		{"no number", func(a *Aim) { a.Level = math.NaN() }, "level"},
		{"negative doubt", func(a *Aim) { a.DemandSD = -1 }, "doubt of the demand"},
		{"target beyond sense", func(a *Aim) { a.Target = 25 }, "makes sense"},
		{"a daily rise of 30 %", func(a *Aim) { a.MaxRise = 0.3 * a.Level },
			"a daily rise of 2.16 dKH is 30 % of the level 7.2 dKH: no plan goes beyond 20 %"},
		{"from nothing", func(a *Aim) { a.Level = 0 }, "more than all of the level 0 dKH"},
		{"without a unit", func(a *Aim) { a.MaxRise, a.Unit = 2, "" }, "a daily rise of 2 is 28 %"},
		{"too fast", func(a *Aim) { a.Within = 1 }, "takes at least 3 days"},
		{"too long", func(a *Aim) { a.Target = 12; a.MaxRise = 0.13 }, "demand changes"},
		{"no limit", func(a *Aim) { a.MaxRise = 0 }, "set one"},
		{"demand hardly known", func(a *Aim) { a.DemandSD = 0.2 }, "test more often"},
		{"nothing consumes it", func(a *Aim) { a.Target = 7; a.Demand = 0 }, "water change"},
		{"weak supplement", func(a *Aim) { a.Strength = 0.01 }, "too weak"},
		{"limewater not enough", func(a *Aim) { a.Strength = 0.1138; a.MaxDailyML = 2000 }, "71 % of the demand"},
		{"limewater just enough", func(a *Aim) { a.Strength = 0.1138; a.MaxDailyML = 2812 }, "only meets the demand"},
		{"does not dissolve", func(a *Aim) { a.Dissolving = DissolvesNot }, "does not dissolve"},
	} {
		a := alkalinityAim()
		row.edit(&a)
		if _, err := NewPlan(a); err == nil || !strings.Contains(err.Error(), row.says) {
			t.Errorf("%s: got %v, want a refusal that says %q", row.name, err, row.says)
		}
	}
}

func TestPlanNotesAndReservoir(t *testing.T) {
	a := alkalinityAim()
	a.ReservoirML = 60 // 22.67 mL a day for three days, then 16
	p, err := NewPlan(a)
	if err != nil {
		t.Fatal(err)
	}
	if want := 2 + (60-2*22.0-4.0/3)/(22+2.0/3); math.Abs(p.ReservoirDays-want) > 1e-9 ||
		!mentions(p.Notes, "before the correction is done") {
		t.Errorf("lasts %v days, want %v; notes %q", p.ReservoirDays, want, p.Notes)
	}
	a.ReservoirML = 68 + 160
	if p, err = NewPlan(a); err != nil || math.Abs(p.ReservoirDays-13) > 1e-9 {
		t.Errorf("lasts %v days, want 13 (%v)", p.ReservoirDays, err)
	}
	a.ReservoirML = 0
	if p, err = NewPlan(a); err != nil || !math.IsNaN(p.ReservoirDays) {
		t.Errorf("a reservoir that is not known lasts %v days", p.ReservoirDays)
	}
	a.Target = 7.35 // farther away than the doubt of 0.1
	if p, err = NewPlan(a); err != nil || len(p.Notes) != 1 ||
		p.Notes[0] != "Spread the day's dose over 2 portions or more." {
		t.Errorf("notes %q (%v)", p.Notes, err)
	}
	a.MaxRise = 1.2
	if p, err = NewPlan(a); err != nil || len(p.Notes) != 0 || p.Portions != 1 {
		t.Errorf("%d portions, notes %q (%v)", p.Portions, p.Notes, err)
	}
	a.MaxRise, a.Target = 0.5, a.Level
	if p, err = NewPlan(a); err != nil || mentions(p.Notes, "as close to its target") {
		t.Errorf("at its target already: notes %q (%v)", p.Notes, err)
	}
	a.Dissolving, a.Target = DissolvesBarely, 7.25
	if p, err = NewPlan(a); err != nil || !mentions(p.Notes, "may not all dissolve") ||
		!mentions(p.Notes, "as close to its target") {
		t.Errorf("notes %q (%v)", p.Notes, err)
	}
	a.Demand, a.DemandSD = -0.05, 0.01
	if p, err = NewPlan(a); err != nil || p.StandingML != 0 || !mentions(p.Notes, "rises by itself") {
		t.Errorf("standing %v mL, notes %q (%v)", p.StandingML, p.Notes, err)
	}
	a.Demand = -0.2
	if p, err = NewPlan(a); err != nil || len(p.Steps) != 0 || !mentions(p.Notes, "by itself in about 0.25 days") {
		t.Errorf("%d steps, notes %q (%v)", len(p.Steps), p.Notes, err)
	}
	a.Demand, a.DemandSD = 0.05, 0.04
	if p, err = NewPlan(a); err != nil || !mentions(p.Notes, "not clearly above zero yet") {
		t.Errorf("notes %q (%v)", p.Notes, err)
	}
}

func mentions(notes []string, what string) bool {
	return strings.Contains(strings.Join(notes, "\n"), what)
}

func TestPlanTestDay(t *testing.T) {
	a := alkalinityAim()
	a.Target, a.MaxRise = 9.7, 0.2 // a long way
	a.DemandSD, a.ReadingSD = 0.02, 0.1
	p, err := NewPlan(a)
	if err != nil {
		t.Fatal(err)
	}
	if p.TestDay != 4 { // 5 × 0.02 is a test's 0.1, and a correction is tested every 4 days at least
		t.Errorf("test on day %d, want 4", p.TestDay)
	}
	a.ReadingSD = 0.04 // 2 × 0.02
	if p, err = NewPlan(a); err != nil || p.TestDay != 2 {
		t.Errorf("test on day %d, want 2 (%v)", p.TestDay, err)
	}
	a.ReadingSD = 0.1
	a.Target = a.Level
	if p, err = NewPlan(a); err != nil || p.TestDay != 5 {
		t.Errorf("a level that is held is tested on day %d, want 5 (%v)", p.TestDay, err)
	}
	a.DemandSD = 0
	if p, err = NewPlan(a); err != nil || p.TestDay != 7 {
		t.Errorf("a level that is held for certain is tested on day %d, want 7 (%v)", p.TestDay, err)
	}
	a.Target = 9.7
	if p, err = NewPlan(a); err != nil || p.TestDay != 4 {
		t.Errorf("test on day %d of %d, want 4", p.TestDay, len(p.Steps))
	}
}

// drawAim is any aim that a keeper might have.
func drawAim(t *rapid.T) Aim {
	return Aim{
		Parameter: "alkalinity", Unit: "dKH",
		Level:       rapid.Float64Range(5, 12).Draw(t, "level"),
		LevelSD:     rapid.Float64Range(0, 0.3).Draw(t, "levelSD"),
		Target:      rapid.Float64Range(6, 10).Draw(t, "target"),
		Demand:      rapid.Float64Range(-0.2, 3).Draw(t, "demand"),
		DemandSD:    rapid.Float64Range(0, 0.08).Draw(t, "demandSD"),
		ReadingSD:   rapid.Float64Range(0, 0.3).Draw(t, "readingSD"),
		ContentSD:   rapid.Float64Range(0, 0.05).Draw(t, "contentSD"),
		Litres:      rapid.Float64Range(20, 5000).Draw(t, "litres"),
		Strength:    Strength(rapid.Float64Range(0.1, 100).Draw(t, "strength")),
		MaxRise:     rapid.Float64Range(0.1, 1).Draw(t, "maxRise"),
		MaxFall:     rapid.Float64Range(0.1, 1).Draw(t, "maxFall"),
		MaxDailyML:  rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(10, 5000)).Draw(t, "maxDaily"),
		ReservoirML: rapid.Float64Range(0, 5000).Draw(t, "reservoir"),
	}
}

// Whatever is planned adds up to the way to the target, and no day goes beyond its limits.
func TestPlanAddsUp(t *testing.T) {
	made := 0
	rapid.Check(t, func(t *rapid.T) {
		a := drawAim(t)
		p, err := NewPlan(a)
		if err != nil {
			return
		}
		made++
		level := a.Level
		for i, s := range p.Steps {
			limit := a.MaxRise
			if s.Change < 0 {
				limit = a.MaxFall
			}
			if math.Abs(s.Change) > limit || s.Millilitres < 0 {
				t.Fatalf("step %d: %+v", i, s)
			}
			if most := max(a.MaxDailyML, 0); most > 0 && s.Millilitres > most*(1+1e-9) {
				t.Fatalf("step %d gives %v mL of at most %v", i, s.Millilitres, most)
			}
			// Conservation: what dosing added less what demand took is the change of the level.
			level += s.Millilitres*float64(a.Strength)/a.Litres - a.Demand
			if math.Abs(level-s.Expect.Level) > 1e-9 {
				t.Fatalf("step %d ends at %v, expected %v", i, level, s.Expect.Level)
			}
			if !(s.Expect.Lo <= s.Expect.Level && s.Expect.Level <= s.Expect.Hi) {
				t.Fatalf("step %d: interval %+v", i, s.Expect)
			}
		}
		if len(p.Steps) == 0 && a.Level < a.Target && a.Demand < 0 {
			if !mentions(p.Notes, "by itself in about") {
				t.Fatalf("no steps and no word why: %q", p.Notes)
			}
		} else if math.Abs(level-a.Target) > 1e-9 {
			t.Fatalf("ends at %v, target %v", level, a.Target)
		}
		if p.TestDay < 1 || p.TestDay > max(len(p.Steps), holdDays) || p.Portions < 1 {
			t.Fatalf("%+v", p)
		}
		if largest := largestDose(p); largest/float64(p.Portions)*float64(a.Strength)/a.Litres > a.MaxRise*(1+1e-9) {
			t.Fatalf("%v mL in %d portions", largest, p.Portions)
		}
	})
	if made == 0 {
		t.Error("no plan was made at all")
	}
}

func largestDose(p Plan) float64 {
	most := p.StandingML
	for _, s := range p.Steps {
		most = max(most, s.Millilitres)
	}
	return most
}

// Five hundred tanks carry a plan out day by day. What they truly hold, consume and are given differs from what the
// plan believed by just the doubt it was told. No day may pass the limit, and the level must lie in the plan's interval
// of the target at the end as often as PlanConfidence says; 3 standard errors of 500 tanks are 4 %.
func TestPlanInSimulatedTanks(t *testing.T) {
	const tanks = 500
	rng := rand.New(rand.NewPCG(20260307, 4))
	within, steps := 0, 0
	worst := 0.0
	for i := range tanks {
		a := alkalinityAim()
		a.Demand = 0.3 + 2*rng.Float64()
		a.DemandSD = 0.005 + 0.05*rng.Float64()
		a.LevelSD = 0.05 + 0.15*rng.Float64()
		a.ContentSD = 0.02 * rng.Float64()
		a.Level = 6 + 4*rng.Float64()
		a.Target = 7.5 + 1.5*rng.Float64()
		p, err := NewPlan(a)
		if err != nil {
			t.Fatalf("tank %d: %v", i, err)
		}
		demand := a.Demand + a.DemandSD*rng.NormFloat64()
		content := 1 + a.ContentSD*rng.NormFloat64()
		level := a.Level + a.LevelSD*rng.NormFloat64()
		for _, s := range p.Steps {
			before := level
			level += s.Millilitres*float64(a.Strength)/a.Litres*content - demand
			limit := a.MaxRise
			if s.Change < 0 {
				limit = a.MaxFall
			}
			worst = max(worst, math.Abs(level-before)/limit)
			steps++
		}
		if level >= p.Final.Lo && level <= p.Final.Hi {
			within++
		}
	}
	if worst > 1 {
		t.Errorf("a day moved the level by %.3f of the daily limit", worst)
	}
	if share := float64(within) / tanks; share < PlanConfidence-0.04 || share > PlanConfidence+0.04 {
		t.Errorf("%.1f %% of the tanks ended within the plan's interval, want %.0f %%", 100*share, 100*PlanConfidence)
	}
	t.Logf("%d days, largest %.3f of the daily limit; %d of %d tanks within the interval", steps, worst, within, tanks)
}
