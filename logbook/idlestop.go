package logbook

import (
	"fmt"
	"strings"
)

// refuseIdleStop refuses a daily amount of 0 that would stop nothing while the parameter is dosed by something else:
// whoever writes 0 means the dosing to end, and a standing amount is one of a supplement. Of a supplement that runs for
// another parameter of the tank it is let through: to stop its volume stops everything that it raises.
func (v *View) refuseIdleStop(d Dosing) error {
	if d.PerDay != 0 {
		return nil
	}
	all, err := v.DosingsBefore(d.Tank, "", d.Time)
	if err != nil {
		return err
	}
	var running, named []string
	for _, other := range all {
		switch {
		case other.PerDay == 0:
		case other.Supplement == d.Supplement && (d.Supplement != "" || other.Parameter == d.Parameter):
			return nil
		case other.Parameter == d.Parameter:
			running = append(running, other.Supplement)
			if other.Supplement == "" {
				named = append(named, "dosing without a supplement's name")
			} else {
				named = append(named, quote(other.Supplement))
			}
		}
	}
	if len(running) == 0 {
		return nil
	}
	why := "0 would stop nothing"
	if d.Supplement != "" {
		why += " of " + quote(d.Supplement)
	}
	hint := "say which one stops: --supplement " + quote(running[0])
	if running[0] == "" {
		hint = "leave out the supplement to stop it"
	}
	return Refusal{Field: d.Parameter, Value: "0", Reason: fmt.Sprintf("%s: what runs is %s", why, strings.Join(named, ", ")), Hint: hint}
}
