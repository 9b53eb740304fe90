package study

import (
	"math"
	"math/rand/v2"

	"leadline/trend"
)

// The slides: a level that stands for six weeks of weekly tests, then falls to the floor by the same amount or by the
// same share a day.
const (
	slideFlat   = 6 // tests before the fall
	slideEvery  = 7 // days between tests
	slideWobble = 0.03
	slideFade   = 4 // days
)

var (
	slideStarts = [...]float64{3, 5, 8, 14}         // floors
	slideWeeks  = [...]float64{4, 6, 8, 11, 14, 18} // from the start of the fall to the floor
	slideKits   = [...]string{"fine", "card", "photometer", "not described"}
	slideCells  = 2 * len(slideStarts) * len(slideWeeks) * len(slideKits)
)

// Slide is one fall with its readings.
type Slide struct {
	Series
	Straight     bool // by the same amount a day, else by the same share
	Start, Weeks float64
	Method       string
	Onset, Reach float64 // days: the fall begins, and its course is at the floor
}

// Slides draws so many falls of each combination of shape, start, weeks and kit.
func Slides(seed uint64, each int) []Slide {
	var out []Slide
	for _, straight := range [...]bool{true, false} {
		for _, start := range slideStarts {
			for _, weeks := range slideWeeks {
				for _, method := range slideKits {
					for range each {
						r := rand.New(rand.NewPCG(seed, uint64(len(out))))
						out = append(out, newSlide(r, straight, start, weeks, method))
					}
				}
			}
		}
	}
	return out
}

func newSlide(r *rand.Rand, straight bool, start, weeks float64, method string) Slide {
	k, floor := slideKit(method)
	s := Slide{Straight: straight, Start: start, Weeks: weeks, Method: method, Onset: (slideFlat - 0.5) * slideEvery}
	s.Reach = s.Onset + weeks*7
	s.Floor, s.Phosphate, s.Kit, s.Days = floor, method == "photometer", k.class, s.Reach+10
	s.Settings = trend.Settings{Floor: floor, Low: 1.5 * floor, High: 12 * floor, Wobble: 0.10}
	fade := math.Exp(-1.0 / (perDay * slideFade))
	wobble := slideWobble * r.NormFloat64()
	for i := range int(s.Days*perDay) + 1 {
		level, _ := s.course(float64(i) / perDay)
		s.Level = append(s.Level, level*math.Exp(wobble))
		wobble = fade*wobble + slideWobble*math.Sqrt(1-fade*fade)*r.NormFloat64()
	}
	for due := 0.0; due+0.5 < s.Days; due += slideEvery {
		day := math.Max(0, due+uniform(r, -0.5, 0.5))
		o := k.test(r, day, s.LevelAt(day)*floor)
		if method == "not described" {
			o = generic(o, s.Phosphate)
		}
		s.Obs = append(s.Obs, o)
	}
	return s
}

// slideKit is one of the four kits, with the floor that its keeper uses.
func slideKit(method string) (kit, float64) {
	switch method {
	case "card":
		return kit{class: Card, marks: []float64{0, 1, 2, 5, 10, 20, 50}, sdSteps: 0.2, told: 1}, 2
	case "photometer":
		return kit{class: Fine, step: ppbP, sd: 1.5 * ppbP, sdRel: 0.03, top: 200 * ppbP, told: 1}, 0.025
	case "not described":
		return kit{class: Fine, step: 0.1, sd: 0.2, sdRel: 0.05, top: 100, told: 1}, 1
	default:
		return kit{class: Fine, step: 0.1, sd: 0.3, sdRel: 0.05, top: 100, told: 1}, 1
	}
}

// course is the level in floors without the wobble, and its change a week.
func (s *Slide) course(day float64) (level, slope float64) {
	since, length := day-s.Onset, 7*s.Weeks
	switch {
	case since <= 0:
		return s.Start, 0
	case s.Straight:
		slope = (1 - s.Start) / s.Weeks
		return math.Max(0.05, s.Start+slope*since/7), slope
	default:
		level = s.Start * math.Exp(-math.Log(s.Start)*since/length)
		return level, -level * math.Log(s.Start) / s.Weeks
	}
}

// warned says at each reading whether the ruler warns: it is under the floor within 42 days.
func warned(s *Series) []bool {
	var out []bool
	for _, x := range ruler(s) {
		out = append(out, x >= -falseDays)
	}
	return out
}

// SlideScore is how the warnings over some slides did.
type SlideScore struct {
	N            int
	Slope        Cover     // 80 % interval of the slope, from two weeks into the fall until the floor
	Ratio        []float64 // slope said / true there
	Leads, Ruler []float64 // days from the first flag of the fall to the floor, and from the ruler's
	Early        int       // flagged 7 days or more before the floor
	RulerEarly   int
	Flat         int // flagged at a reading before the fall
	RulerFlat    int
	Later        int  // flagged more than one test after the ruler
	Overruled    int  // still without a flag one test after the ruler warned for the second time in a row
	Comes, Not   Mean // chance within 28 days, where the floor comes then and where it does not; from the third reading on
}

// see judges what was said at the readings of a slide.
func (c *SlideScore) see(s *Slide, run []said) {
	c.N++
	warns := warned(&s.Series)
	flag := make([]bool, len(run))
	flat, rulerFlat := false, false
	for j := range run {
		r, day := &run[j], s.Obs[j].Day
		flag[j] = r.alarm
		if day < s.Onset {
			flat, rulerFlat = flat || r.alarm, rulerFlat || warns[j]
		}
		if _, slope := s.course(day); day >= s.Onset+14 && day < s.Reach && !math.IsNaN(r.slope.lo) {
			c.Slope.see(slope, r.slope)
			c.Ratio = append(c.Ratio, r.slope.mean/slope)
		}
		if j < 2 || day >= s.Reach || math.IsNaN(r.p28) {
			continue
		}
		if day+28 >= s.Reach {
			c.Comes.see(r.p28)
		} else {
			c.Not.see(r.p28)
		}
	}
	c.Flat += count(flat)
	c.RulerFlat += count(rulerFlat)
	ours, plains := s.first(flag), s.first(warns)
	lead, plainLead := s.lead(ours), s.lead(plains)
	c.Leads, c.Ruler = append(c.Leads, lead), append(c.Ruler, plainLead)
	c.Early += count(lead >= earlyDays)
	c.RulerEarly += count(plainLead >= earlyDays)
	c.Later += count(plainLead > 0 && ours > plains+1)
	c.Overruled += count(s.overruled(flag, warns))
}

// first is the first reading of the fall with an alarm; far away where there is none.
func (s *Slide) first(alarm []bool) int {
	for j, on := range alarm {
		if on && s.Obs[j].Day >= s.Onset {
			return j
		}
	}
	return len(s.Obs) + 99
}

// lead is how many days before the floor reading j was; 0 for later.
func (s *Slide) lead(j int) float64 {
	if j >= len(s.Obs) {
		return 0
	}
	return math.Max(0, s.Reach-s.Obs[j].Day)
}

// overruled says whether the flag was down at a reading of the fall above the floor though the ruler had warned at
// the two before it.
func (s *Slide) overruled(flag, warns []bool) bool {
	for j := 2; j < len(flag); j++ {
		if s.Obs[j-2].Day >= s.Onset && s.Obs[j].Day < s.Reach && warns[j-2] && warns[j-1] && !flag[j] {
			return true
		}
	}
	return false
}

func count(yes bool) int {
	if yes {
		return 1
	}
	return 0
}
