package form

import (
	"errors"
	"fmt"
	"strconv"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/logbook"
	"leadline/tui/part"
)

// newFirstTankForm is that of an empty book.
func newFirstTankForm(e *part.Env, t logbook.Tank, name string) *Form {
	f := newTankForm(e, t, name)
	f.intro = "This book is empty. Name your first tank and press ctrl+s; then come its bands and the first readings."
	return f
}

// newTankForm sets up a tank, and goes on to its bands.
func newTankForm(e *part.Env, _ logbook.Tank, _ string) *Form {
	f := newForm(e, logbook.Tank{}, "new tank",
		&formField{label: "name", hint: "forereef", check: needed("a name is enough to begin")},
		&formField{label: "litres", hint: "net water volume, if known", check: readable(litres)},
		&formField{label: "time zone", hint: "Pacific/Auckland; empty: UTC", initial: localZone(e), check: checkZone(e)})
	f.doubt = doubtVolume
	f.save = func(f *Form) (saver, error) {
		v, err := litres(f.Value("litres"))
		made := logbook.Tank{Name: f.Value("name"), VolumeL: v, Timezone: f.Value("time zone")}
		return func(b *logbook.Book) (tea.Msg, error) {
			_, err := b.Update(func(v *logbook.View) ([]logbook.Record, error) {
				switch _, err := v.Tank(made.Name); {
				case err == nil:
					return nil, fmt.Errorf("there is a tank %s already", part.Clean(made.Name))
				case !errors.Is(err, logbook.ErrNotFound):
					return nil, err
				}
				return []logbook.Record{made}, nil
			})
			return part.ReplaceMsg{Old: f, Want: part.BandsOf{Tank: made}, Notice: part.Clean(made.Name) + " is set up"}, err
		}, err
	}
	return f
}

// newTankChangeForm changes what is known of a tank.
func newTankChangeForm(e *part.Env, t logbook.Tank, _ string) *Form {
	volume := ""
	if t.VolumeL > 0 {
		volume = strconv.FormatFloat(t.VolumeL, 'f', -1, 64)
	}
	f := newForm(e, t, "this tank",
		&formField{label: "litres", initial: volume, hint: "net water volume: without rock, sand and air", check: readable(litres)},
		&formField{label: "time zone", initial: t.Timezone, hint: "empty: UTC", check: checkZone(e)},
		&formField{label: "since", initial: t.Since, hint: "when it was set up"},
		&formField{label: "about", initial: t.About, hint: "what is kept in it"})
	f.doubt = doubtVolume
	f.save = func(f *Form) (saver, error) {
		v, err := litres(f.Value("litres"))
		zone, since, about := f.Value("time zone"), f.Value("since"), f.Value("about")
		return f.changing(part.Clean(t.Name)+" is changed", func(t *logbook.Tank) {
			t.VolumeL, t.Timezone, t.Since, t.About = v, zone, since, about
		}), err
	}
	return f
}

func checkZone(e *part.Env) func(*Form, string) (string, error) {
	return func(_ *Form, text string) (string, error) {
		loc, err := time.LoadLocation(text)
		if err != nil || text == "Local" {
			return "", fmt.Errorf("%q is not a time zone, such as Europe/Berlin", text)
		}
		return "it is " + e.Moment().In(loc).Format("15:04") + " there", nil
	}
}

// localZone is the zone the clock says it is in; "" where it has no name that other machines know.
func localZone(e *part.Env) string {
	name := e.Now().Location().String()
	if name == "Local" || name == "UTC" {
		return ""
	}
	return name
}

func litres(text string) (float64, error) {
	v, err := entry.Volume(text)
	if err != nil {
		err = errors.New(part.RefusalText(err))
	}
	return v, err
}

func doubtVolume(f *Form) (doubter, error) {
	text := f.Value("litres")
	v, err := litres(text)
	return doubting(f.data.DoubtVolume(text, v)), err
}
