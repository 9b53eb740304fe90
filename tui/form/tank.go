package form

import (
	"errors"
	"fmt"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/logbook"
	"leadline/tui/part"
)

// NewFirstTank sets up the first tank of a book.
func NewFirstTank(e *part.Env, _ logbook.Tank, _ string) *Form {
	f := settingUp(e)
	f.intro = "This book is empty. Name your first tank and press ctrl+s; then come its bands and the first readings."
	return f
}

// NewTank sets up a tank beside others, with the bands and the time zone of the first of them unless it is to have
// its own.
func NewTank(e *part.Env, _ logbook.Tank, _ string) *Form {
	f := settingUp(e, &formField{label: "like", hint: "no other: it gets its own bands", offers: tankNames})
	f.ready = func(f *Form) {
		if t, there := words.First(f.data.Tanks, func(t logbook.Tank) bool { return len(t.Bands) > 0 }); there {
			f.set("like", t.Name)
			f.set("time zone", t.Timezone)
		}
	}
	return f
}

// settingUp sets up a tank, and goes on to its bands where it gets none from another.
func settingUp(e *part.Env, more ...*formField) *Form {
	f := newForm(e, logbook.Tank{}, "new tank", append([]*formField{
		{label: "name", hint: "forereef", check: needed("a name is enough to begin")},
		{label: "litres", hint: "net water volume, if known", check: readable(entry.Volume)},
		{label: "time zone", hint: "Pacific/Auckland; empty: UTC", initial: localZone(e), check: checkZone(e)}}, more...)...)
	f.read = func(f *Form) (typed, error) {
		v, doubt, err := f.volume()
		made, like := logbook.Tank{Name: f.Value("name"), VolumeL: v, Timezone: f.Value("time zone")}, ""
		if len(more) > 0 {
			like = f.Value("like")
		}
		return typed{doubts: []string{doubt}, save: func(b *logbook.Book) (tea.Msg, error) {
			_, err := b.Update(func(v *logbook.View) ([]logbook.Record, error) {
				switch there, err := v.Tank(made.Name); {
				case err == nil && !there.InUse(e.Moment()):
					return nil, fmt.Errorf("%s is retired: in a shell, leadline tank return brings it back", part.Clean(there.Name))
				case err == nil:
					return nil, fmt.Errorf("there is a tank %s already", part.Clean(there.Name))
				case !errors.Is(err, logbook.ErrNotFound):
					return nil, err
				}
				if like != "" {
					other, err := v.Tank(like)
					if err != nil {
						return nil, err
					}
					made.Like(other, true)
				}
				return []logbook.Record{made}, nil
			})
			if len(made.Bands) > 0 {
				return f.done(part.Clean(made.Name) + " is set up, with the bands of " + part.Clean(like)), err
			}
			return part.DoneMsg{S: f, Notice: part.Clean(made.Name) + " is set up", Changed: true,
				Then: part.OfTank(NewBandPicker, made, nil)}, err
		}}, err
	}
	return f
}

// NewTankChange changes what is set of a tank.
func NewTankChange(e *part.Env, t logbook.Tank, _ string) *Form {
	volume, used := "", map[bool]string{true: "yes", false: "no"}
	if t.VolumeL > 0 {
		volume = words.Plain(t.VolumeL)
	}
	f := newForm(e, t, "this tank",
		&formField{label: "name", initial: t.Name, hint: "the old name still means it", check: needed("what is it called?")},
		&formField{label: "litres", initial: volume, hint: "net water volume: without rock, sand and air",
			check: readable(entry.Volume)},
		&formField{label: "time zone", initial: t.Timezone, hint: "empty: UTC", check: checkZone(e)},
		&formField{label: "since", initial: t.Since, hint: "when it was set up"},
		&formField{label: "about", initial: t.About, hint: "what is kept in it"},
		&formField{label: "in use", initial: used[t.InUse(e.Moment())], choices: []string{"yes", "no"},
			check: func(f *Form, text string) (string, error) {
				switch {
				case text == used[true]:
					return "", nil
				case text == used[false]:
					return "not in the glance, nor in alerts; all of it is kept", nil
				}
				return "", errors.New("yes or no?")
			}})
	f.StartAt("litres")
	f.read = func(f *Form) (typed, error) {
		v, doubt, err := f.volume()
		zone, since, about := f.Value("time zone"), f.Value("since"), f.Value("about")
		name, inUse, at := f.Value("name"), f.Value("in use") == used[true], e.Moment()
		change := f.changing(part.Clean(name)+" is changed", func(t *logbook.Tank) {
			t.VolumeL, t.Timezone, t.Since, t.About = v, zone, since, about
			t.SetUse(inUse, at)
		})
		return typed{doubts: []string{doubt}, save: func(b *logbook.Book) (tea.Msg, error) {
			if name != t.Name {
				if _, err := b.RenameTank(t.Name, name, at); err != nil {
					return nil, err
				}
			}
			return change(b)
		}}, err
	}
	return f
}

// NewWho says who tests and notes down from here on, until the screens are left.
func NewWho(e *part.Env, t logbook.Tank, _ string) *Form {
	f := newForm(e, t, "who tests", &formField{label: "who", initial: e.Who, hint: "nobody is named"})
	f.intro = "This name is noted with every entry from now on, until you leave; who = \"…\" in the settings keeps one."
	f.read = func(f *Form) (typed, error) {
		who := f.Value("who")
		return typed{save: func(*logbook.Book) (tea.Msg, error) {
			return part.AnswerMsg{To: &f.Page, Take: func() tea.Cmd {
				e.Who = who
				return func() tea.Msg { return part.DoneMsg{S: f} }
			}}, nil
		}}, nil
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

// volume reads the net volume of a tank, in litres, and says why it may be a slip.
func (f *Form) volume() (v float64, doubt string, err error) {
	text := f.Value("litres")
	v, err = entry.Volume(text)
	return v, f.data.DoubtVolume(text, v), err
}
