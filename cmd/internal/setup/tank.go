// Package setup holds the commands that describe what there is: tanks, bands, methods, parameters, supplements,
// defaults.
package setup

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/cobra"

	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func Commands(a *app.App) []*cobra.Command {
	return []*cobra.Command{newTank(a), newBand(a), newMethod(a), newParameter(a), newSupplement(a), newConfig(a)}
}

type tankOptions struct {
	volume, timezone, since, about string
	like                           string
	order                          []string
}

func newTank(a *app.App) *cobra.Command {
	return usage.Group("tank", newTankAdd(a),
		a.Command("list", shape.Records{}, func([]string) error { return app.Show(a, (*logbook.View).Tanks, printTanks) }),
		newTankSet(a), newTankRename(a),
		newTankUse(a, "retire NAME", false),
		newTankUse(a, "return NAME", true),
		newTankMerge(a),
		app.NewHistory(a, "history [NAME]",
			func(_ *logbook.View, t logbook.Tank, _ []string) ([]logbook.Record, string, error) {
				return []logbook.Record{t}, "", nil
			}),
		a.Command("show [NAME]", shape.Records{}, func(args []string) error { return showTank(a, args) }))
}

func newTankAdd(a *app.App) *cobra.Command {
	var opt tankOptions
	cmd := a.CommandOf("add NAME", shape.Records{}, func(cmd *cobra.Command, args []string) error {
		return addTank(a, cmd, args[0], opt)
	})
	tankFlags(a, cmd, &opt)
	return cmd
}

func tankFlags(a *app.App, cmd *cobra.Command, opt *tankOptions) {
	f := cmd.Flags()
	f.StringVar(&opt.volume, "volume", "", "net water volume in `LITRES`, or 100gal (US gallons), or '100 imp gal'")
	f.StringVar(&opt.timezone, "timezone", "",
		"`ZONE` such as Pacific/Auckland, in which its days are counted (else this machine's, or UTC)")
	f.StringVar(&opt.since, "since", "", "`WHEN` it was set up")
	f.StringVar(&opt.about, "about", "", "`TEXT`: what is kept in it")
	f.StringSliceVar(&opt.order, "order", nil,
		"the `PARAMETERS` you test, in your own order: alk,ca,mg,no3 (the others follow; \"\" for the usual order)")
	f.StringVar(&opt.like, "like", "", "`NAME` of a tank whose bands, order and time zone it gets")
	_ = cmd.RegisterFlagCompletionFunc("order", a.CompleteOrder)
}

func addTank(a *app.App, cmd *cobra.Command, name string, opt tankOptions) error {
	if strings.TrimSpace(name) == "" {
		return usage.Errorf("leadline tank add forereef", "the tank needs a name")
	}
	tank := logbook.Tank{Name: name, Timezone: localZone(a.Env)}
	if err := opt.apply(a, cmd, &tank, entry.Context{}); err != nil {
		return err
	}
	book, err := a.BookOrNew()
	if err != nil {
		return err
	}
	_, err = book.Update(func(v *logbook.View) ([]logbook.Record, error) {
		there, err := v.Tank(name)
		if errors.Is(err, logbook.ErrNotFound) {
			if err = opt.ofBook(a, cmd, v, &tank); err == nil {
				err = offerBands(a, v, tank)
			}
			return []logbook.Record{tank}, err
		}
		if err == nil && there.Name != name {
			err = usage.WithHint(fmt.Errorf("%q is a name of tank %q", name, there.Name), "leadline tank set changes it")
		} else if err == nil {
			err = usage.WithHint(fmt.Errorf("tank %q is there already", name), "leadline tank set changes it")
		}
		return nil, err
	})
	return printTank(a, tank, err)
}

// ofBook puts into a tank what --like and --order name of the book.
func (opt tankOptions) ofBook(a *app.App, cmd *cobra.Command, v *logbook.View, t *logbook.Tank) (err error) {
	if opt.like != "" {
		other, err := a.TankNamed(v, opt.like)
		if err != nil {
			return err
		}
		t.Like(other, cmd.Flags().Changed("timezone"))
	}
	if cmd.Flags().Changed("order") {
		t.Order, err = a.Order(v, opt.order)
	}
	return err
}

// offerBands says how a tank without bands gets those of another.
func offerBands(a *app.App, v *logbook.View, t logbook.Tank) error {
	tanks, err := v.Tanks()
	if i := slices.IndexFunc(tanks, func(t logbook.Tank) bool { return len(t.Bands) > 0 }); i >= 0 && len(t.Bands) == 0 {
		a.Say("hint: leadline tank set %q --like %q gives it the bands, the order and the time zone of %[2]s", t.Name,
			tanks[i].Name)
	}
	return err
}

// apply puts the given flags into a tank, of which was is what the book holds.
func (opt tankOptions) apply(a *app.App, cmd *cobra.Command, t *logbook.Tank, was entry.Context) (err error) {
	given := cmd.Flags().Changed
	if given("volume") {
		if t.VolumeL, err = entry.Volume(opt.volume); err == nil && t.VolumeL == 0 {
			err = usage.Errorf("--volume 450", "how much?")
		}
		if err != nil {
			return fmt.Errorf("--volume: %w", usage.Mistyped(err))
		}
		a.Warn(was.DoubtVolume(opt.volume, t.VolumeL))
	}
	if given("timezone") {
		if _, err := app.ParseZone("--timezone", opt.timezone); err != nil {
			return err
		}
		t.Timezone = opt.timezone
	}
	if given("since") {
		t.Since = opt.since
	}
	if given("about") {
		t.About = opt.about
	}
	return nil
}

// localZone is the name of this machine's zone, or "" where it cannot be told or is what a tank without one has.
func localZone(env func(string) string) string {
	name := strings.TrimPrefix(env("TZ"), ":")
	if name == "" {
		target, err := os.Readlink("/etc/localtime")
		if err != nil {
			return ""
		}
		_, name, _ = strings.Cut(target, "zoneinfo/")
	}
	if _, err := time.LoadLocation(name); err != nil || name == "Local" || strings.TrimPrefix(name, "Etc/") == "UTC" {
		return ""
	}
	return name
}

func newTankSet(a *app.App) *cobra.Command {
	var opt tankOptions
	cmd := a.CommandOf("set [NAME]", shape.Records{}, func(cmd *cobra.Command, args []string) error {
		if cmd.Flags().NFlag() == 0 {
			return usage.Errorf("leadline tank set forereef --volume 437", "nothing to change was given")
		}
		tank, err := changeTank(a, args, func(t *logbook.Tank, v *logbook.View) error {
			if err := opt.ofBook(a, cmd, v, t); err != nil {
				return err
			}
			was, err := entry.Load(v, *t, a.Now())
			if err != nil {
				return err
			}
			return opt.apply(a, cmd, t, was)
		})
		return printTank(a, tank, err)
	})
	tankFlags(a, cmd, &opt)
	return cmd
}

// changeTank changes the tank that is meant and keeps it. names may hold its name.
func changeTank(a *app.App, names []string, change func(*logbook.Tank, *logbook.View) error) (logbook.Tank, error) {
	if len(names) > 0 {
		a.TankFlag = names[0]
	}
	var tank logbook.Tank
	book, err := a.Book()
	if err != nil {
		return tank, err
	}
	_, err = book.Update(func(v *logbook.View) (_ []logbook.Record, err error) {
		if tank, err = a.Tank(v); err != nil {
			return nil, err
		}
		err = change(&tank, v)
		return []logbook.Record{tank}, err
	})
	return tank, err
}

func printTanks(a *app.App, tanks []logbook.Tank) error {
	return app.PrintRecords(a, tanks, func(t logbook.Tank) []string {
		cells := []string{t.Name, volumeText(t), zoneText(t), t.Since, t.About}
		if !t.InUse(a.Now()) {
			cells = append(cells, retiredText(t))
		}
		return cells
	})
}

// printTank prints what a tank is now, unless what was done to it failed.
func printTank(a *app.App, tank logbook.Tank, err error) error {
	if err != nil {
		return err
	}
	return printTanks(a, []logbook.Tank{tank})
}

func retiredText(t logbook.Tank) string { return "retired " + words.Day(t.Retired.In(t.Zone())) }

func volumeText(t logbook.Tank) string {
	if t.VolumeL == 0 {
		return "volume not told"
	}
	return words.Litres(t.VolumeL)
}

func zoneText(t logbook.Tank) string { return cmp.Or(t.Timezone, "UTC") }

func showTank(a *app.App, names []string) error {
	if len(names) > 0 {
		a.TankFlag = names[0]
	}
	return a.ViewTank(func(v *logbook.View, t logbook.Tank) error {
		if a.JSON {
			return app.PrintRecords(a, []logbook.Tank{t}, nil)
		}
		measured, err1 := v.Measured(t.Name)
		chores, err2 := v.Chores(t.Name)
		stocks, err3 := v.Stocks(t.Name)
		parameters, err4 := v.Parameters()
		if err := cmp.Or(err1, err2, err3, err4); err != nil {
			return err
		}
		var c words.Table
		c.Add("tank", t.Name)
		c.Add("volume", volumeText(t))
		c.Add("timezone", zoneText(t))
		c.Add("since", t.Since)
		c.Add("about", t.About)
		if len(t.Was) > 0 {
			c.Add("also called", strings.Join(t.Was, ", "))
		}
		if !t.InUse(a.Now()) {
			c.Add("use", retiredText(t))
		}
		c.Add("measured", strings.Join(measured, ", "))
		if len(t.Order) > 0 {
			c.Add("order", strings.Join(t.Order, ", "))
		}
		for _, p := range slices.Sorted(maps.Keys(t.Bands)) {
			c.Add("band", p+" "+words.Band(parameters, p, t.Bands[p]))
		}
		for _, ch := range chores {
			c.Add("chore", words.Chore(ch))
		}
		for _, s := range stocks {
			c.Add("stock", s.Name+", in "+s.Unit)
		}
		a.Table(c, "")
		return nil
	})
}

func newTankRename(a *app.App) *cobra.Command {
	return a.Command("rename OLD NEW", shape.Records{}, func(args []string) error {
		tank, err := app.Seen(a, func(v *logbook.View) (logbook.Tank, error) { return a.TankNamed(v, args[0]) })
		if err == nil {
			tank, err = a.Opened.RenameTank(tank.Name, args[1], a.Now())
		}
		if errors.Is(err, logbook.ErrExists) {
			err = usage.WithHint(err, fmt.Sprintf("leadline tank merge %q %q makes one tank of two", args[0], args[1]))
		}
		return printTank(a, tank, err)
	})
}

func newTankUse(a *app.App, use string, inUse bool) *cobra.Command {
	return a.Command(use, shape.Records{}, func(args []string) error {
		tank, err := changeTank(a, args, func(t *logbook.Tank, _ *logbook.View) error {
			t.SetUse(inUse, a.Now())
			return nil
		})
		return printTank(a, tank, err)
	})
}

func newTankMerge(a *app.App) *cobra.Command {
	var yes bool
	cmd := a.Command("merge FROM INTO", shape.Records{}, func(args []string) error {
		return mergeTanks(a, args[0], args[1], yes)
	})
	cmd.Flags().BoolVarP(&yes, "yes", "y", false, "do not ask")
	return cmd
}

func mergeTanks(a *app.App, from, into string, yes bool) error {
	var two [2]logbook.Tank
	n := 0
	err := a.View(func(v *logbook.View) (err error) {
		for i, name := range []string{from, into} {
			if two[i], err = a.TankNamed(v, name); err != nil {
				return err
			}
		}
		n, err = v.CountOf(two[0].Name)
		return err
	})
	if err != nil {
		return err
	}
	entries := words.Plural(n, "entry", "entries")
	if !yes {
		question := fmt.Sprintf("%s of %s would be of %s, for good: do it?", entries, two[0].Name, two[1].Name)
		if err := a.MustAgree(question, "pass --yes"); err != nil {
			return err
		}
	}
	if two[0].Name == two[1].Name {
		return usage.WithHint(fmt.Errorf("%s and %s are names of one tank already", from, into),
			"leadline tank list shows them")
	}
	copied, err := a.Opened.BackupBeside("merge")
	if err != nil {
		return err
	}
	tank, err := a.Opened.MergeTanks(two[0].Name, two[1].Name, a.Now())
	if err != nil {
		return err
	}
	a.Say("note: %s of %s are of %s now; the book as it was: %s", entries, two[0].Name, tank.Name, copied)
	return printTanks(a, []logbook.Tank{tank})
}
