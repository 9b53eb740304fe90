package setup

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/settings"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

func newConfig(a *app.App) *cobra.Command {
	cmd := a.Prints(configJSON{}, &cobra.Command{Use: "config", Short: "your own defaults: what holds now, and which file says so", Args: cobra.ArbitraryArgs})
	cmd.AddCommand(newConfigShow(a), newConfigPath(a))
	cmd.Long = `Show your own defaults, and where each comes from. They are written in a file that you edit; it may be missing.
A flag goes before the environment, the environment before the file, the file before what is built in.

A whole file:

  book   = "~/harbour/water.book"                # else --book or LEADLINE_BOOK
  tank   = "forereef"                            # where a command is about one tank, and first on the screens
  order  = ["alkalinity", "calcium", "nitrate"]  # of the parameters on a test day and on the glance
  colour = "auto"                                # or "never"
  theme  = "dark"                                # or "light": the ground of your terminal
  mouse  = false                                 # true: the wheel scrolls, a click chooses
  plain  = false                                 # true: sentences and a prompt in place of screens

  [units]                                        # of a bare number typed for a test, in add and on a test day
  phosphate = "ppb P"

Answers stay in the parameter's own unit, and so does what import reads and what bands and doses are given in.`
	cmd.Example = `  # what holds, and from where
  leadline config

  # edit the file
  "$EDITOR" "$(leadline config path)"`
	cmd.RunE = func(c *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usage.UnknownCommand(c, args[0])
		}
		return showConfig(a)
	}
	return cmd
}

func newConfigShow(a *app.App) *cobra.Command {
	return a.Prints(configJSON{}, usage.Command("show",
		"what holds now, and where it comes from", "", func([]string) error { return showConfig(a) }))
}

func newConfigPath(a *app.App) *cobra.Command {
	return a.Prints(configPathJSON{}, usage.Command("path", "where the file lies, or would", "", func([]string) error {
		path, _ := a.SettingsPath()
		if path == "" {
			return usage.WithHint(errors.New("no home folder is known, so there is no place for the settings"), "LEADLINE_CONFIG names the file of settings")
		}
		if a.JSON {
			return a.PrintJSON(configPathJSON{path})
		}
		a.Printf("%s", path)
		return nil
	}))
}

// showConfig prints every setting that holds. A broken file is an error after it, since the rest is of use.
func showConfig(a *app.App) error {
	s, wrong := a.Settings()
	a.Lenient = true
	if wrong == nil {
		wrong = checkAgainstBook(a, s)
	}
	out := configJSON{File: s.Path, Found: s.Found, Problems: []string{}, Settings: effective(a, s)}
	if wrong != nil {
		out.Problems = strings.Split(wrong.Error(), "\n")
	}
	if a.JSON {
		if err := a.PrintJSON(out); err != nil {
			return err
		}
		return wrong
	}
	var c words.Table
	for _, e := range out.Settings {
		from := e.From
		if e.Where != "" {
			from += ", " + e.Where
		}
		c.Add(e.Key, settingText(e.Value), from)
	}
	a.Table(c, "")
	if file := s.Path; !s.Found && file != "" {
		a.Printf("there is no file %s yet; leadline config --help shows what it may hold", file)
	}
	return wrong
}

// checkAgainstBook holds the names of the file to the parameters of the book, where there is one.
func checkAgainstBook(a *app.App, s *settings.Settings) error {
	all := logbook.Standard()
	err := a.View(func(v *logbook.View) (err error) {
		all, err = v.Parameters()
		return err
	})
	if err != nil {
		return nil // what is wrong with the book is for leadline verify
	}
	return s.Check(all)
}

// The places a setting can come from.
const (
	fromFlag, fromEnvironment, fromFile, builtIn = "flag", "environment", "file", "built in"
)

// effective lists what holds, with where it comes from.
func effective(a *app.App, s *settings.Settings) []settingJSON {
	place := func(key string) settingJSON { return settingJSON{Key: key, From: fromFile, Where: s.Where(key)} }
	of := func(key string, value any) settingJSON { e := place(key); e.Value = value; return e }
	out := []settingJSON{effectiveBook(a, s), {Key: "tank", Value: nil, From: builtIn}}
	switch name, where, _ := a.UsualTank(); {
	case a.TankFlag != "":
		out[1] = settingJSON{"tank", a.TankFlag, fromFlag, "--tank"}
	case where == "LEADLINE_TANK":
		out[1] = settingJSON{"tank", name, fromEnvironment, where}
	case name != "":
		out[1] = of("tank", name)
	}
	order := settingJSON{"order", []string{}, builtIn, ""}
	if len(s.Order) > 0 {
		order = of("order", s.Order)
	}
	colour := settingJSON{"colour", "auto", builtIn, ""}
	switch {
	case a.Env("NO_COLOR") != "":
		colour = settingJSON{"colour", "never", fromEnvironment, "NO_COLOR"}
	case s.Colour != "":
		colour = of("colour", s.Colour)
	}
	theme := settingJSON{"theme", "dark", builtIn, ""}
	switch set := a.ThemeOfEnvironment(); {
	case set != "":
		theme = settingJSON{"theme", set, fromEnvironment, "LEADLINE_THEME"}
	case s.Theme != "":
		theme = of("theme", s.Theme)
	}
	out = append(out, order, colour, theme,
		effectiveSwitch(a, s, "plain", s.Plain, "LEADLINE_PLAIN", a.PlainFlag), effectiveSwitch(a, s, "mouse", s.Mouse, "LEADLINE_MOUSE", false))
	for _, name := range slices.Sorted(maps.Keys(s.Units)) {
		e := of(s.UnitKey(name), s.Units[name])
		e.Key = "units." + name
		out = append(out, e)
	}
	return out
}

// effectiveSwitch is a setting that is on or off.
func effectiveSwitch(a *app.App, s *settings.Settings, key string, file bool, variable string, flag bool) settingJSON {
	switch set := a.Env(variable); {
	case flag:
		return settingJSON{key, true, fromFlag, "--" + key}
	case set != "":
		return settingJSON{key, a.Switched(variable, file), fromEnvironment, variable}
	case s.Lines[key] > 0:
		return settingJSON{key, file, fromFile, s.Where(key)}
	}
	return settingJSON{key, false, builtIn, ""}
}

func effectiveBook(a *app.App, s *settings.Settings) settingJSON {
	switch {
	case a.BookFlag != "":
		return settingJSON{"book", a.BookFlag, fromFlag, "--book"}
	case a.Env("LEADLINE_BOOK") != "":
		return settingJSON{"book", a.Env("LEADLINE_BOOK"), fromEnvironment, "LEADLINE_BOOK"}
	case s.Book != "":
		return settingJSON{"book", s.Book, fromFile, s.Where("book")}
	}
	path, err := a.BookPath()
	if err != nil {
		return settingJSON{"book", nil, builtIn, ""}
	}
	return settingJSON{"book", path, builtIn, ""}
}

// settingText is a setting's value for people.
func settingText(v any) string {
	switch v := v.(type) {
	case nil:
		return "–"
	case []string:
		if len(v) == 0 {
			return "–"
		}
		return strings.Join(v, ", ")
	default:
		return fmt.Sprint(v)
	}
}

// configJSON is what holds of the keeper's own defaults.
type configJSON struct {
	File     string        `json:"file"` // "" where no folder for it is known
	Found    bool          `json:"found"`
	Problems []string      `json:"problems"`
	Settings []settingJSON `json:"settings"`
}

// configPathJSON is where the file of settings lies, or would.
type configPathJSON struct {
	Path string `json:"path"`
}

type settingJSON struct {
	Key   string `json:"key"`
	Value any    `json:"value"` // a text, a list of texts, or true or false; null where nothing is set
	From  string `json:"from"`  // "flag", "environment", "file" or "built in"
	Where string `json:"where"` // the flag, the variable, or the file and line
}
