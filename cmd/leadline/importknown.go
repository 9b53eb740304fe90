package main

import (
	"os"
	"time"

	"leadline/logbook"
)

// known is what a file's readings are read by: what the book knows, and what was said on the command line.
type known struct {
	parameters      []logbook.Parameter
	tank, parameter string
	units           map[string]string // by name of the parameter
	zones           map[string]*time.Location
	given           *time.Location // of --timezone; nil: none
}

// zone is the zone of times without an offset.
func (k known) zone(tank string) *time.Location {
	if k.given != nil {
		return k.given
	}
	if zone, ok := k.zones[tank]; ok {
		return zone
	}
	return time.UTC
}

func (a *app) knownFor(opt importOptions) (known, error) {
	k := known{parameters: logbook.Standard(), tank: a.tankFlag, zones: map[string]*time.Location{}}
	if k.tank == "" {
		k.tank = opt.Tank
	}
	if k.tank == "" {
		var err error
		if k.tank, _, err = a.usualTank(); err != nil {
			return k, err
		}
	}
	if opt.Timezone != "" {
		zone, err := time.LoadLocation(opt.Timezone)
		if err != nil || opt.Timezone == "Local" {
			return k, usagef("names are such as Pacific/Auckland or Europe/Lisbon", "--timezone: %q is not a known zone", opt.Timezone)
		}
		k.given = zone
	}
	if err := a.knownOfBook(&k); err != nil {
		return k, err
	}
	if opt.Parameter != "" {
		p, err := findAmong(k.parameters, opt.Parameter)
		if err != nil {
			return k, err
		}
		k.parameter = p.Name
	}
	var err error
	k.units, err = unitsOf(k.parameters, opt.Units)
	return k, err
}

// unitsOf reads --units: parameters by name or code, each with a unit of it.
func unitsOf(known []logbook.Parameter, said map[string]string) (map[string]string, error) {
	units := map[string]string{}
	for name, unit := range said {
		p, err := findAmong(known, name)
		if err != nil {
			return nil, err
		}
		if _, err := p.FindUnit(unit); err != nil {
			return nil, wrongUsage(err, "leadline parameter list shows their units")
		}
		units[p.Name] = unit
	}
	return units, nil
}

// knownOfBook adds what the book knows, if there is one.
func (a *app) knownOfBook(k *known) error {
	path, err := a.bookPath()
	if err != nil {
		return err
	}
	if _, err := os.Lstat(path); err != nil {
		return nil
	}
	return a.view(func(v *logbook.View) error {
		tanks, err := v.Tanks()
		if err != nil {
			return err
		}
		for _, t := range tanks {
			k.zones[t.Name] = t.Zone()
		}
		if len(tanks) == 1 && k.tank == "" {
			k.tank = tanks[0].Name
		}
		k.parameters, err = v.Parameters()
		return err
	})
}

func findAmong(known []logbook.Parameter, name string) (logbook.Parameter, error) {
	p, ok := logbook.FindParameter(known, name)
	if !ok {
		return p, usagef("leadline parameter list shows them", "unknown parameter %q", name)
	}
	return p, nil
}
