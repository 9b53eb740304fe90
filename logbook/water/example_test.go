package water_test

import (
	"fmt"
	"time"

	"leadline/logbook/water"
)

// A photometer prints phosphorus in ppb; the log keeps phosphate in mg/L.
func ExampleFind() {
	u, err := water.Find("phosphate", "µg/L as P")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("33", u, "is", water.Format(u.Canonical(33), 3), "mg/L of phosphate")
	_, err = water.Find("temperature", "mg")
	fmt.Println(err)
	// Output:
	// 33 ug/L P is 0.101 mg/L of phosphate
	// unit "mg" is not known for temperature; accepted: °C, °F, K
}

// One degree of change in Fahrenheit is less than one in Celsius, and there is no 32 about it.
func ExampleUnit_CanonicalChange() {
	f, err := water.Find("temperature", "°F")
	if err != nil {
		fmt.Println(err)
		return
	}
	change, err := f.CanonicalChange(1.8)
	fmt.Println(water.Format(f.Canonical(77), 1), water.Format(change, 1), err)
	// Output: 25.0 1.0 <nil>
}

// A hydrometer is read in water of 27 °C; it is marked for 25 °C.
func ExampleSalinityFromSpecificGravity() {
	fmt.Println(water.Format(water.SalinityFromSpecificGravity(1.0260, 27, 25), 1))
	fmt.Println(water.Format(water.SalinityFromSpecificGravity(1.0260, 25, 25), 1))
	// Output:
	// 35.3
	// 34.5
}

func ExampleSalinityFromConductivity() {
	fmt.Println(water.Format(water.SalinityFromConductivity(53.07, 25), 2))
	// Output: 35.00
}

// How much baking soda lifts 200 L from 7.2 to 7.7 dKH?
func ExampleSalt_PerGram() {
	soda, err := water.FindSalt("baking soda")
	if err != nil {
		fmt.Println(err)
		return
	}
	per, err := soda.PerGram("alkalinity")
	fmt.Println(water.Format((7.7-7.2)*200/per, 1), "g", err)
	// By hand: 0.5 dKH / 2.80385 = 0.17833 meq/L, × 200 L = 35.67 meq, × 84.006 mg = 2996 mg.
	// Output: 3.0 g <nil>
}

// A stock of 50 g soda ash in a litre, and a bottle that says 10 mL raise 100 L by 0.1 dKH.
func ExampleStrength() {
	ash, err := water.FindSalt("soda ash")
	if err != nil {
		fmt.Println(err)
		return
	}
	own, _ := ash.Strength(50, 1, "alkalinity")
	label, _ := water.LabelStrength(10, 100, 0.1)
	for _, s := range []water.Strength{own, label} {
		ml, err := s.Millilitres(0.5, 250)
		fmt.Println(water.Format(ml, 1), "mL", err)
	}
	fmt.Println(ash.Dissolving(50))
	// Output:
	// 47.3 mL <nil>
	// 125.0 mL <nil>
	// dissolves
}

// Nitrate is 20 mg/L; how many changes of a fifth bring it to 5?
func ExampleChangesForTarget() {
	fmt.Println(water.ChangesForTarget(20, 0, 5, 0.2))
	// And what do they settle at, done every week while it rises by 0.5 a day?
	fmt.Println(water.SteadyBatch(0.5, 7, 0.2, 0))
	// Output:
	// 7 true
	// 14 <nil>
}

func ExampleTopOff() {
	l, err := water.TopOff(35.7, 35, 400)
	fmt.Println(water.Format(l, 1), "L of fresh water,", err)
	// Output: 7.8 L of fresh water, <nil>
}

// 40 mL of a supplement of strength 20 lifted alkalinity by 2 dKH, measured twice before and twice after.
func ExampleNetVolumeFromDose() {
	v, err := water.NetVolumeFromDose(20*40, 2, 0.15, 2)
	fmt.Printf("%.0f L, give or take %.0f, %v\n", v.Litres, v.SD, err)
	// Output: 400 L, give or take 30, <nil>
}

// From 7.2 to 8.2 dKH in a tank of 400 L that consumes 0.8 dKH a day.
func ExampleNewPlan() {
	plan, err := water.NewPlan(water.Aim{
		Parameter: "alkalinity", Unit: "dKH", Start: time.Date(2026, 3, 7, 8, 0, 0, 0, time.UTC),
		Level: 7.2, LevelSD: 0.1, Target: 8.2, Demand: 0.8, DemandSD: 0.02, ReadingSD: 0.15,
		Litres: 400, Strength: 20, MaxRise: 0.5, MaxFall: 0.5,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("standing: %.1f mL a day\n", plan.StandingML)
	for _, s := range plan.Steps {
		fmt.Printf("%s: %.1f mL, to %.2f (%.2f to %.2f)\n", s.Time.Format("2 January"), s.Millilitres, s.Expect.Level,
			s.Expect.Lo, s.Expect.Hi)
	}
	fmt.Println("test by day", plan.TestDay)
	for _, n := range plan.Notes {
		fmt.Println(n)
	}
	// Output:
	// standing: 16.0 mL a day
	// 7 March: 22.7 mL, to 7.53 (7.37 to 7.70)
	// 8 March: 22.7 mL, to 7.87 (7.69 to 8.04)
	// 9 March: 22.7 mL, to 8.20 (8.01 to 8.39)
	// test by day 3
	// Spread the day's dose over 3 portions or more.
}
