package importing

import (
	"cmp"
	"os"
	"time"

	"leadline/cmd/internal/app"
	"leadline/logbook"
)

// known is what a file's readings are read by: what the book knows, and what was said on the command line.
type known struct {
	parameters      []logbook.Parameter
	tank, parameter string
	tanks           []logbook.Tank
	units           map[string]string // by name of the parameter
	given           *time.Location    // of --timezone; nil: none
}

// zone is the zone of times without an offset.
func (k known) zone(tank string) *time.Location {
	t, _ := logbook.FindTank(k.tanks, tank)
	return cmp.Or(k.given, t.Zone())
}

func knownFor(a *app.App, opt importOptions) (known, error) {
	k := known{parameters: logbook.Standard(), tank: cmp.Or(a.TankFlag, opt.Tank)}
	var err error
	if k.tank == "" {
		if k.tank, _, err = a.UsualTank(); err != nil {
			return k, err
		}
	}
	if opt.Timezone != "" {
		if k.given, err = app.ParseZone("--timezone", opt.Timezone); err != nil {
			return k, err
		}
	}
	if err := knownOfBook(a, &k); err != nil {
		return k, err
	}
	if opt.Parameter != "" {
		p, err := app.FindAmong(k.parameters, opt.Parameter)
		if err != nil {
			return k, err
		}
		k.parameter = p.Name
	}
	k.units, err = app.UnitsOf(k.parameters, opt.Units)
	return k, err
}

// knownOfBook adds what the book knows, if there is one.
func knownOfBook(a *app.App, k *known) error {
	path, err := a.BookPath()
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err != nil {
		return nil
	}
	return a.View(func(v *logbook.View) (err error) {
		if k.tanks, err = v.Tanks(); err != nil {
			return err
		}
		if len(k.tanks) == 1 && k.tank == "" {
			k.tank = k.tanks[0].Name
		}
		k.parameters, err = v.Parameters()
		return err
	})
}
