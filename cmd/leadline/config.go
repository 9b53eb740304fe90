package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"leadline/logbook"
)

func newConfig(a *app) *cobra.Command {
	cmd := a.prints(configJSON{}, &cobra.Command{Use: "config", Short: "your own defaults: what holds now, and which file says so", Args: cobra.ArbitraryArgs})
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
			return unknownCommand(c, args[0])
		}
		return a.showConfig()
	}
	return cmd
}

func newConfigShow(a *app) *cobra.Command {
	return a.prints(configJSON{}, &cobra.Command{
		Use:   "show",
		Short: "what holds now, and where it comes from",
		Args:  cobra.NoArgs,
		RunE:  func(*cobra.Command, []string) error { return a.showConfig() },
	})
}

func newConfigPath(a *app) *cobra.Command {
	return a.prints(configPathJSON{}, &cobra.Command{
		Use:   "path",
		Short: "where the file lies, or would",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			path, _ := a.settingsPath()
			if path == "" {
				return withHint(errors.New("no home folder is known, so there is no place for the settings"), "LEADLINE_CONFIG names the file of settings")
			}
			if a.json {
				return a.printJSON(configPathJSON{path})
			}
			a.printf("%s", path)
			return nil
		},
	})
}

// showConfig prints every setting that holds. A broken file is an error after it, since the rest is of use.
func (a *app) showConfig() error {
	s, wrong := a.settings()
	a.lenient = true
	if wrong == nil {
		wrong = a.checkAgainstBook(s)
	}
	out := configJSON{File: s.path, Found: s.found, Problems: []string{}, Settings: a.effective(s)}
	if wrong != nil {
		out.Problems = strings.Split(wrong.Error(), "\n")
	}
	if a.json {
		if err := a.printJSON(out); err != nil {
			return err
		}
		return wrong
	}
	var c columns
	for _, e := range out.Settings {
		from := e.From
		if e.Where != "" {
			from += ", " + e.Where
		}
		c.add(e.Key, settingText(e.Value), from)
	}
	c.print(a, "")
	if file := s.path; !s.found && file != "" {
		a.printf("there is no file %s yet; leadline config --help shows what it may hold", file)
	}
	return wrong
}

// checkAgainstBook holds the names of the file to the parameters of the book, where there is one.
func (a *app) checkAgainstBook(s *settings) error {
	all := logbook.Standard()
	err := a.view(func(v *logbook.View) (err error) {
		all, err = v.Parameters()
		return err
	})
	if err != nil {
		return nil // what is wrong with the book is for leadline verify
	}
	return s.check(all)
}

// The places a setting can come from.
const (
	fromFlag, fromEnvironment, fromFile, builtIn = "flag", "environment", "file", "built in"
)

// effective lists what holds, with where it comes from.
func (a *app) effective(s *settings) []settingJSON {
	place := func(key string) settingJSON { return settingJSON{Key: key, From: fromFile, Where: s.where(key)} }
	of := func(key string, value any) settingJSON { e := place(key); e.Value = value; return e }
	out := []settingJSON{a.effectiveBook(s), {Key: "tank", Value: nil, From: builtIn}}
	switch name, where, _ := a.usualTank(); {
	case a.tankFlag != "":
		out[1] = settingJSON{"tank", a.tankFlag, fromFlag, "--tank"}
	case where == "LEADLINE_TANK":
		out[1] = settingJSON{"tank", name, fromEnvironment, where}
	case name != "":
		out[1] = of("tank", name)
	}
	order := settingJSON{"order", []string{}, builtIn, ""}
	if len(s.order) > 0 {
		order = of("order", s.order)
	}
	colour := settingJSON{"colour", "auto", builtIn, ""}
	switch {
	case a.env("NO_COLOR") != "":
		colour = settingJSON{"colour", "never", fromEnvironment, "NO_COLOR"}
	case s.colour != "":
		colour = of("colour", s.colour)
	}
	theme := settingJSON{"theme", "dark", builtIn, ""}
	switch set := a.themeOfEnvironment(); {
	case set != "":
		theme = settingJSON{"theme", set, fromEnvironment, "LEADLINE_THEME"}
	case s.theme != "":
		theme = of("theme", s.theme)
	}
	out = append(out, order, colour, theme,
		a.effectiveSwitch(s, "plain", s.plain, "LEADLINE_PLAIN", a.plainFlag), a.effectiveSwitch(s, "mouse", s.mouse, "LEADLINE_MOUSE", false))
	for _, name := range slices.Sorted(maps.Keys(s.units)) {
		e := of(s.unitKey(name), s.units[name])
		e.Key = "units." + name
		out = append(out, e)
	}
	return out
}

// effectiveSwitch is a setting that is on or off.
func (a *app) effectiveSwitch(s *settings, key string, file bool, variable string, flag bool) settingJSON {
	switch set := a.env(variable); {
	case flag:
		return settingJSON{key, true, fromFlag, "--" + key}
	case set != "":
		return settingJSON{key, a.switched(variable, file), fromEnvironment, variable}
	case s.lines[key] > 0:
		return settingJSON{key, file, fromFile, s.where(key)}
	}
	return settingJSON{key, false, builtIn, ""}
}

// switched is a switch by the environment, where 0 is off and anything else on, or else by the settings.
func (a *app) switched(variable string, file bool) bool {
	if set := a.env(variable); set != "" {
		return set != "0"
	}
	return file
}

func (a *app) effectiveBook(s *settings) settingJSON {
	switch {
	case a.bookFlag != "":
		return settingJSON{"book", a.bookFlag, fromFlag, "--book"}
	case a.env("LEADLINE_BOOK") != "":
		return settingJSON{"book", a.env("LEADLINE_BOOK"), fromEnvironment, "LEADLINE_BOOK"}
	case s.book != "":
		return settingJSON{"book", s.book, fromFile, s.where("book")}
	}
	path, err := a.bookPath()
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

// light reports whether the terminal's ground is light, by the environment or the settings.
func (a *app) light(s *settings) bool {
	return cmp.Or(a.themeOfEnvironment(), s.theme) == "light"
}

// themeOfEnvironment is "light", "dark", or "" where the variable says neither.
func (a *app) themeOfEnvironment() string {
	if set := a.env("LEADLINE_THEME"); set == "light" || set == "dark" {
		return set
	}
	return ""
}

// colourless reports whether the screen is to do without colour.
func (a *app) colourless(s *settings) bool { return a.env("NO_COLOR") != "" || s.colour == "never" }

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
