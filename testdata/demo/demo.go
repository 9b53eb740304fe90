// Package demo invents the logbook that `leadline demo` opens: fourteen months of two tanks in a teaching laboratory at
// a harbour. Everything in it is made up. The same end date always gives the same log.
//
// What the story holds, for those who test against it:
//
//   - forereef: stony corals; phosphate, by photometer, has been falling since new media went in and is bottoming out
//     at the end. Alkalinity demand has grown all year and the dosing was set after it every four weeks. One calcium
//     reading is a slip of the decimal point that nobody struck; one phosphate reading was struck and put right.
//   - lagoon: soft corals; nitrate, by colour card and then by colorimeter, bottomed out in the middle of the log, was
//     corrected by three doses and a standing dose, and has been steady since.
package demo

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"leadline/logbook"
)

const (
	weeks = 60
	zone  = "Pacific/Auckland"
)

// Log is the demo as JSON Lines, its last test day being the day of end, or the day before when end is earlier in the
// day than that test and what is done after it.
func Log(end time.Time) ([]byte, error) {
	loc, err := time.LoadLocation(zone)
	if err != nil {
		return nil, err
	}
	y, m, d := end.In(loc).Date()
	last := time.Date(y, m, d, 9, 10, 0, 0, loc)
	if last.Add(3 * time.Hour).After(end) {
		last = last.AddDate(0, 0, -1)
	}
	s := &story{last: last}
	s.definitions()
	s.forereef()
	s.lagoon()
	s.supplies()
	return s.out.Bytes(), s.err
}

// story writes the log, line by line.
type story struct {
	out   bytes.Buffer
	err   error
	last  time.Time // the last test day
	noise *rand.Rand
}

type fields map[string]any

func (s *story) line(f fields) {
	b, err := json.Marshal(f)
	if err != nil && s.err == nil {
		s.err = err
	}
	s.out.Write(b)
	s.out.WriteByte('\n')
}

// at is the moment of the test day of a week, 0 being the first, plus some hours.
func (s *story) at(week int, hours float64) string {
	t := s.last.AddDate(0, 0, 7*(week-weeks+1)).Add(time.Duration(hours * float64(time.Hour)))
	return logbook.FormatTime(t)
}

func (s *story) definitions() {
	type band map[string]any
	s.line(fields{"kind": "tank", "tank": "forereef", "volume_l": 450, "timezone": zone, "since": "2021",
		"about": "teaching display, branching and plating stony corals", "bands": map[string]band{
			"alkalinity":  {"low": 7, "high": 9, "unit": "dKH"},
			"calcium":     {"low": 400, "high": 420, "unit": "mg/L"},
			"magnesium":   {"low": 1300, "high": 1400, "unit": "mg/L"},
			"nitrate":     {"low": 3, "high": 12, "floor": 1, "unit": "mg/L"},
			"phosphate":   {"low": 0.03, "high": 0.1, "floor": 0.015, "unit": "mg/L"},
			"salinity":    {"low": 34, "high": 36},
			"temperature": {"low": 24.5, "high": 26.5, "unit": "°C"},
		}})
	s.line(fields{"kind": "tank", "tank": "lagoon", "volume_l": 220, "timezone": zone, "since": "2023",
		"about": "soft corals and seagrass, raised by students", "bands": map[string]band{
			"alkalinity":  {"low": 7, "high": 9.5, "unit": "dKH"},
			"calcium":     {"low": 390, "high": 440, "unit": "mg/L"},
			"nitrate":     {"low": 3, "high": 15, "floor": 1, "unit": "mg/L"},
			"phosphate":   {"low": 0.03, "high": 0.15, "floor": 0.015, "unit": "mg/L"},
			"salinity":    {"low": 34, "high": 36},
			"temperature": {"low": 24, "high": 27, "unit": "°C"},
		}})
	for _, m := range []fields{
		{"method": "titration-alk", "parameter": "alkalinity", "unit": "dKH", "step": 0.1, "sd": 0.12},
		{"method": "titration-ca", "parameter": "calcium", "unit": "mg/L", "step": 5, "sd": 5},
		{"method": "titration-mg", "parameter": "magnesium", "unit": "mg/L", "step": 10, "sd": 15},
		{"method": "nitrate-card", "parameter": "nitrate", "unit": "mg/L", "marks": []float64{0, 1, 2, 5, 10, 20, 50},
			"sd_steps": 0.35},
		{"method": "nitrate-meter", "parameter": "nitrate", "unit": "mg/L", "step": 0.1, "sd": 0.4, "limit": 0.5},
		{"method": "photometer-p", "parameter": "phosphate", "unit": "ppb P", "step": 1, "sd": 2, "limit": 2},
		{"method": "conductivity", "parameter": "salinity", "step": 0.1, "sd": 0.15},
		{"method": "thermometer", "parameter": "temperature", "unit": "°C", "step": 0.1, "sd": 0.1},
	} {
		m["kind"] = "method"
		s.line(m)
	}
	s.line(fields{"kind": "chore", "tank": "forereef", "chore": "phosphate media", "every_days": 42})
	s.line(fields{"kind": "chore", "tank": "forereef", "chore": "refill dosing reservoirs", "every_days": 28})
	s.line(fields{"kind": "chore", "tank": "lagoon", "chore": "filter floss", "every_days": 7})
}

// test writes one reading of a true level: the method's scatter is added, then its step applied.
func (s *story) test(tank, parameter, method, unit string, week int, truth, sd, step float64) {
	v := math.Max(0, truth+sd*s.noise.NormFloat64())
	v = math.Round(v/step) * step
	s.reading(tank, parameter, method, unit, week, decimal(v, step), "")
}

func (s *story) reading(tank, parameter, method, unit string, week int, value, note string) {
	f := fields{"kind": "reading", "time": s.at(week, 0), "tank": tank, "parameter": parameter, "value": value,
		"unit": unit, "method": method}
	if note != "" {
		f["note"] = note
	}
	s.line(f)
}

// card writes a reading of a colour card: the mark nearest to what the eye sees.
func (s *story) card(tank string, week int, truth float64) {
	marks := []float64{0, 1, 2, 5, 10, 20, 50}
	nearest := func(v float64) int {
		best := 0
		for i, m := range marks {
			if math.Abs(m-v) < math.Abs(marks[best]-v) {
				best = i
			}
		}
		return best
	}
	i := nearest(truth)
	step := marks[min(i+1, len(marks)-1)] - marks[max(i-1, 0)]
	seen := marks[nearest(truth+0.35*step/2*s.noise.NormFloat64())]
	s.reading(tank, "nitrate", "nitrate-card", "mg/L", week, decimal(seen, 1), "")
}

func (s *story) forereef() {
	const tank = "forereef"
	s.noise = rand.New(rand.NewPCG(7, 14))
	// Demand grows by 0.9 % a week, from 1.1 to 1.9 dKH a day; every fourth week the dosing is set after it, so as to
	// bring the level back within four weeks. Calcium goes with it: 7.15 mg/L to each dKH that is laid down as carbonate.
	const calciumPerDKH = 7.15
	alk, ca, alkDosing, caDosing := 8.1, 412.0, 0.0, 0.0
	nitrate, phosphate := 6.2, 18.0 // mg/L, ppb P
	for week := range weeks {
		demand := 1.1 * math.Exp(0.009*float64(week))
		if week%4 == 0 {
			alkDosing = math.Round((demand+(8.1-alk)/28)*20) / 20
			caDosing = math.Round((calciumPerDKH*demand+(411-ca)/28)*2) / 2
			s.line(fields{"kind": "dosing", "time": s.at(week, 1), "tank": tank, "parameter": "alkalinity", "per_day": alkDosing,
				"unit": "dKH", "supplement": "soda ash"})
			s.line(fields{"kind": "dosing", "time": s.at(week, 1.1), "tank": tank, "parameter": "calcium", "per_day": caDosing,
				"unit": "mg/L", "supplement": "calcium chloride"})
		}
		s.test(tank, "alkalinity", "titration-alk", "dKH", week, alk, 0.12, 0.1)
		if week == 31 {
			s.reading(tank, "calcium", "titration-ca", "mg/L", week, "42", "")
		} else {
			s.test(tank, "calcium", "titration-ca", "mg/L", week, ca, 4, 5)
		}
		if week%2 == 0 {
			s.test(tank, "magnesium", "titration-mg", "mg/L", week, 1340+25*math.Sin(float64(week)/9), 12, 10)
		}
		s.test(tank, "nitrate", "nitrate-meter", "mg/L", week, nitrate, 0.35, 0.1)
		s.forereefPhosphate(week, phosphate)
		s.test(tank, "salinity", "conductivity", "psu", week, 35+0.25*math.Sin(float64(week)/5), 0.12, 0.1)
		s.test(tank, "temperature", "thermometer", "°C", week, 25.4+0.4*math.Cos(float64(week)/8), 0.1, 0.1)
		alk += 7 * (alkDosing - demand)
		ca += 7 * (caDosing - calciumPerDKH*demand)
		nitrate = returning(nitrate, 6.6+1.5*math.Sin(float64(week)/7))
		if week < 52 {
			phosphate = returning(phosphate, 19.5)
		} else {
			phosphate -= 1.3 // the new media take more than the food brings
		}
		if week%4 == 2 {
			alk += 0.12 * (8.3 - alk)
			ca += 0.12 * (425 - ca)
			nitrate, phosphate = 0.88*nitrate, 0.88*phosphate
			s.line(fields{"kind": "water_change", "time": s.at(week, 3), "tank": tank, "fraction": 0.12, "new": fields{
				"alkalinity": fields{"value": 8.3, "unit": "dKH"}, "calcium": fields{"value": 425, "unit": "mg/L"},
				"nitrate": fields{"value": 0, "unit": "mg/L"}, "phosphate": fields{"value": 0, "unit": "mg/L"}}})
		}
		if week%4 == 0 {
			s.line(fields{"kind": "chore_done", "time": s.at(week, 2), "tank": tank, "chore": "refill dosing reservoirs"})
		}
		if week%6 == 3 {
			s.line(fields{"kind": "chore_done", "time": s.at(week, 2.5), "tank": tank, "chore": "phosphate media"})
		}
	}
	s.event(tank, 12, "equipment", "return pump", "cleaned; flow back to normal")
	s.event(tank, 24, "dosing", "soda ash",
		"demand has grown by a quarter since the start; dosing follows every four weeks")
	s.event(tank, 44, "dosing", "soda ash", "demand has grown by half since the start")
	s.event(tank, 52, "media", "phosphate media", "new kind of media, twice the old amount")
	s.event(tank, 58, "coral", "plating colony 2", "paler at the rim than last month")
}

// returning is a level a week later that food and uptake pull back to where they balance.
func returning(level, balance float64) float64 { return level + 0.5*(balance-level) }

// forereefPhosphate is the test of a week, and in one week a slip.
func (s *story) forereefPhosphate(week int, truth float64) {
	if week == 37 {
		// The slip: the display's 17 ppb P went down as 17 ppm; struck the same day.
		wrong := logbook.NewID(s.last.AddDate(0, 0, 7*(week-weeks+1)), "demo slip", 0)
		right := logbook.NewID(s.last.AddDate(0, 0, 7*(week-weeks+1)), "demo slip put right", 0)
		f := fields{"kind": "reading", "id": wrong.String(), "time": s.at(week, 0), "tank": "forereef",
			"parameter": "phosphate", "value": "1.7", "unit": "mg/L", "method": "photometer-p"}
		s.line(f)
		f["id"], f["value"], f["unit"] = right.String(), "17", "ppb P"
		s.line(f)
		s.line(fields{"kind": "strike", "time": s.at(week, 0.5), "id": wrong.String(), "who": "tank crew",
			"why": "typed ppb P as ppm", "successor": right.String()})
		return
	}
	s.test("forereef", "phosphate", "photometer-p", "ppb P", week, truth, 1.0, 1)
}

func (s *story) lagoon() {
	const tank = "lagoon"
	s.noise = rand.New(rand.NewPCG(8, 6))
	nitrate, phosphate := 9.0, 25.0 // mg/L, ppb P
	for week := range weeks {
		s.test(tank, "alkalinity", "titration-alk", "dKH", week, 8.2+0.3*math.Sin(float64(week)/6), 0.12, 0.1)
		if week%2 == 0 {
			s.test(tank, "calcium", "titration-ca", "mg/L", week, 418+6*math.Sin(float64(week)/5), 4, 5)
		}
		if week < 34 {
			s.card(tank, week, nitrate)
		} else {
			s.test(tank, "nitrate", "nitrate-meter", "mg/L", week, nitrate, 0.4, 0.1)
		}
		s.test(tank, "phosphate", "photometer-p", "ppb P", week, phosphate, 1.6, 1)
		s.test(tank, "salinity", "conductivity", "psu", week, 34.8+0.3*math.Sin(float64(week)/7), 0.12, 0.1)
		s.test(tank, "temperature", "thermometer", "°C", week, 25.1+0.5*math.Cos(float64(week)/8), 0.1, 0.1)
		nitrate = returning(nitrate, lagoonNitrate(week+1))
		phosphate = returning(phosphate, 27+3*math.Sin(float64(week)/8))
		if week%3 == 1 {
			nitrate, phosphate = 0.9*nitrate, 0.9*phosphate
			s.line(fields{"kind": "water_change", "time": s.at(week, 4), "tank": tank, "fraction": 0.1, "new": fields{
				"alkalinity": fields{"value": 8.2, "unit": "dKH"}, "nitrate": fields{"value": 0, "unit": "mg/L"},
				"phosphate": fields{"value": 0, "unit": "mg/L"}}})
		}
		s.line(fields{"kind": "chore_done", "time": s.at(week, 2), "tank": tank, "chore": "filter floss"})
	}
	s.event(tank, 20, "fish", "", "half of the fish moved to the quarantine room")
	s.event(tank, 31, "coral", "leather coral", "closed for a week, pale")
	for i, week := range []int{33, 33, 34} {
		s.line(fields{"kind": "dose", "time": s.at(week, 5+48*float64(i%2)), "tank": tank, "parameter": "nitrate",
			"amount": 1, "unit": "mg/L", "supplement": "sodium nitrate"})
	}
	s.line(fields{"kind": "dosing", "time": s.at(35, 5), "tank": tank, "parameter": "nitrate", "per_day": 0.3,
		"unit": "mg/L", "supplement": "sodium nitrate"})
	s.event(tank, 34, "method", "nitrate", "colour card replaced by the colorimeter")
}

// lagoonNitrate is where the nitrate of the lagoon would go without water changes: it holds at 9, falls after week 20
// to under the floor by week 31, and recovers by dosing.
func lagoonNitrate(week int) float64 {
	w := float64(week)
	switch {
	case week <= 20:
		return 9 + math.Sin(w/4)
	case week <= 33:
		return math.Max(0.4, 9*math.Exp(-0.24*(w-20)))
	case week <= 42:
		return 2.4 + 0.45*(w-33)
	default:
		return 6.4 + 0.8*math.Sin((w-42)/5)
	}
}

func (s *story) event(tank string, week int, tag, subject, text string) {
	s.line(fields{"kind": "event", "time": s.at(week, 6), "tank": tank, "tags": []string{tag}, "subject": subject,
		"text": text})
}

// decimal prints v with the decimals that a step has.
func decimal(v, step float64) string {
	digits := 0
	for s := step; s < 0.999 && digits < 4; s *= 10 {
		digits++
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}
