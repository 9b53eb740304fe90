package entry_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"leadline/alerts/entry"
	"leadline/logbook"
)

func linesOf() entry.Lines {
	now := time.Date(2026, 11, 4, 10, 20, 30, 0, time.UTC)
	at := func(logbook.Tank) (time.Time, error) { return now, nil }
	tanks := []logbook.Tank{{Name: "forereef"}, {Name: "the lagoon", Timezone: "Pacific/Auckland"}, {Name: "k"}}
	return entry.Lines{File: "note.txt", Tanks: tanks, Parameters: logbook.Standard(), Tank: tanks[0], At: at, Now: now}
}

func TestLines(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"alk 7.9  po4 8ppb  no3<2  @09:30", "forereef 09:30 alkalinity=7.9 phosphate=8ppb nitrate=<2"},
		{"@09:30 alk=7.9", "forereef 09:30 alkalinity=7.9"},
		{"alk: 7,9, ca:420; mg = 1350", "forereef 10:20 alkalinity=7,9 calcium=420 magnesium=1350"},
		{"no3 5 ppm NO3 po4 8 ppb P", "forereef 10:20 nitrate=5 ppm NO3 phosphate=8 ppb P"},
		{"no3 < 2 sal 1.026 SG 25/25", "forereef 10:20 nitrate=< 2 salinity=1.026 SG 25/25"},
		{"calcium 420 430 ppm", "forereef 10:20 calcium=420 430 ppm"},
		{"The Lagoon: alk 8 @09:30", "the lagoon 09:30 alkalinity=8"},
		{"the lagoon alk 8", "the lagoon 10:20 alkalinity=8"},
		{"k 400", "forereef 10:20 potassium=400"}, // a tank of that name needs its colon
		{"k: 400", "refused"},
		{"k: k 400", "k 10:20 potassium=400"},
		{"@2 hours ago k 400", "forereef 08:20 potassium=400"},
		{"- alk 8\n• alk 9\n\n# nothing", "forereef 10:20 alkalinity=8; forereef 10:20 alkalinity=9"},
		{"@ 09:00\nthe lagoon\nalk 8\nforereef: alk 9", "the lagoon 09:00 alkalinity=8; forereef 09:00 alkalinity=9"},
		{"alk", "refused"},
		{"alk 8 foo", "forereef 10:20 alkalinity=8 foo"}, // the unit is refused where the value is read
		{"foo alk 8", "refused"},
		{"alk 8 @", "refused"},
		{"alk 8 @soon", "refused"},
	} {
		l := linesOf()
		lines, err := l.Read(c.text)
		var got []string
		for _, line := range lines {
			text := line.Tank.Name + " " + line.At.Format("15:04")
			for _, x := range line.Tests {
				text += " " + x.Parameter.Name + "=" + x.Text
			}
			got = append(got, text)
		}
		said := strings.Join(got, "; ")
		var refused logbook.Refusals
		if errors.As(err, &refused) {
			said = "refused"
		}
		if said != c.want {
			t.Errorf("%q: %s (%v), want %s", c.text, said, err, c.want)
		}
	}
}

func FuzzLines(f *testing.F) {
	for _, text := range []string{"alk 7.9  po4 8ppb  no3<2  @09:30", "the lagoon: @mon 9 pm\n- k= , <\u00a0#",
		"@\n@@ :=<≤", "k: k"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		l := linesOf()
		lines, err := l.Read(text)
		var refused logbook.Refusals
		if err != nil && !errors.As(err, &refused) {
			t.Errorf("%q: %v", text, err)
		}
		for _, line := range lines {
			for _, x := range line.Tests {
				if x.Parameter.Name == "" || x.Column < 1 || line.Tank.Name == "" || line.At.IsZero() && err == nil {
					t.Errorf("%q: %+v", text, line)
				}
			}
		}
	})
}
