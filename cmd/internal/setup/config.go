package setup

import (
	"cmp"
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
	cmd := a.Command("config", configJSON{}, func([]string) error { return showConfig(a) })
	cmd.Args = usage.NoArguments
	cmd.AddCommand(
		a.Command("show", configJSON{}, func([]string) error { return showConfig(a) }),
		a.Command("path", configPathJSON{}, func([]string) error {
			path, err := configPath(a)
			if err != nil {
				return err
			}
			if a.JSON {
				return a.PrintJSON(configPathJSON{path})
			}
			_, err = fmt.Fprintln(a.Out, logbook.Clean(path))
			return err
		}),
		a.Command("set KEY VALUE", settingJSON{}, func(args []string) error { return setConfig(a, args[0], args[1]) }))
	return cmd
}

func configPath(a *app.App) (string, error) {
	path, _ := a.SettingsPath()
	if path == "" {
		return "", usage.WithHint(errors.New("no home folder is known, so there is no place for the settings"),
			"LEADLINE_CONFIG names the file of settings")
	}
	return path, nil
}

// setConfig writes a key into the file. Of the unit of a parameter, the name that the file has already stays.
func setConfig(a *app.App, key, value string) error {
	path, err := configPath(a)
	if err != nil {
		return err
	}
	s, err1 := settings.Read(path, false)
	all, err2 := a.Parameters()
	if err := cmp.Or(err1, err2, s.Check(all)); err != nil {
		return err
	}
	if typed, isUnit := strings.CutPrefix(key, "units."); isUnit {
		p, err := app.FindAmong(all, typed)
		if err != nil {
			return err
		}
		key = cmp.Or(s.KeyOfUnit(p), "units."+p.Name)
	}
	text, now, err := s.Edit(key, value, all)
	if err != nil {
		return err
	}
	if err := a.WriteOwn(path, []byte(text)); err != nil {
		return err
	}
	set := settingJSON{Key: key, From: "built in"}
	for _, e := range effective(a, now) {
		if e.Key == key {
			set = e
		}
	}
	return a.Answer(set, func() { printSettings(a, set) })
}

func printSettings(a *app.App, settings ...settingJSON) {
	var c words.Table
	for _, e := range settings {
		c.Add(e.Key, settingText(e.Value), e.From+words.With(", ", e.Where))
	}
	a.Table(c, "")
}

// showConfig prints every setting that holds. A broken file is an error after it, since the rest is of use.
func showConfig(a *app.App) error {
	s, wrong := a.Settings()
	a.Lenient = true
	if wrong == nil {
		if all, err := app.Seen(a, (*logbook.View).Parameters); err == nil { // else it is for leadline verify
			wrong = s.Check(all)
		}
	}
	out := configJSON{File: s.Path, Found: s.Found, Problems: []string{}, Settings: effective(a, s)}
	if wrong != nil {
		out.Problems = strings.Split(wrong.Error(), "\n")
	}
	return cmp.Or(a.Answer(out, func() {
		printSettings(a, out.Settings...)
		if file := s.Path; !s.Found && file != "" {
			a.Printf("there is no file %s yet; leadline config --help shows what it may hold", file)
		}
	}), wrong)
}

// effective lists what holds, with where it comes from: a flag, the environment, the file, or what is built in.
func effective(a *app.App, s *settings.Settings) []settingJSON {
	const flag, env = "flag", "environment"
	set := func(is bool, value any, from, where string) settingJSON {
		if !is {
			return settingJSON{}
		}
		return settingJSON{Value: value, From: from, Where: where}
	}
	text := func(value, from, where string) settingJSON { return set(value != "", value, from, where) }
	filed := func(is bool, value any, key string) settingJSON { return set(is, value, "file", s.Where(key)) }
	first := func(key string, builtIn any, places ...settingJSON) settingJSON {
		for _, e := range places {
			if e.From != "" {
				e.Key = key
				return e
			}
		}
		return settingJSON{Key: key, Value: builtIn, From: "built in"}
	}
	var book, backups any
	if path, err := a.BookPath(); err == nil {
		book, backups = path, a.BackupFolder(path)
	}
	plain, mouse := a.Env("LEADLINE_PLAIN"), a.Env("LEADLINE_MOUSE")
	out := []settingJSON{
		first("book", book, text(a.BookFlag, flag, "--book"), text(a.Env("LEADLINE_BOOK"), env, "LEADLINE_BOOK"),
			filed(s.Book != "", s.Book, "book")),
		first("backups", backups, filed(s.Backups != "", s.Backups, "backups")),
		first("tank", nil, text(a.TankFlag, flag, "--tank"), text(a.Env("LEADLINE_TANK"), env, "LEADLINE_TANK"),
			filed(s.Tank != "", s.Tank, "tank")),
		first("who", nil, filed(s.Who != "", s.Who, "who")),
		first("order", []string{}, filed(len(s.Order) > 0, s.Order, "order")),
		first("colour", "auto", set(a.Env("NO_COLOR") != "", "never", env, "NO_COLOR"),
			filed(s.Colour != "", s.Colour, "colour")),
		first("theme", "dark", text(a.ThemeOfEnvironment(), env, "LEADLINE_THEME"), filed(s.Theme != "", s.Theme, "theme")),
		first("plain", false, set(a.PlainFlag, true, flag, "--plain"), set(plain != "", plain != "0", env, "LEADLINE_PLAIN"),
			filed(s.Lines["plain"] > 0, s.Plain, "plain")),
		first("mouse", false, set(mouse != "", mouse != "0", env, "LEADLINE_MOUSE"),
			filed(s.Lines["mouse"] > 0, s.Mouse, "mouse")),
	}
	for _, name := range slices.Sorted(maps.Keys(s.Units)) {
		out = append(out, first("units."+name, "", filed(true, s.Units[name], "units."+name)))
	}
	return out
}

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

type configPathJSON struct {
	Path string `json:"path"`
}

type settingJSON struct {
	Key   string `json:"key"`
	Value any    `json:"value"` // a text, a list of texts, or true or false; null where nothing is set
	From  string `json:"from"`  // "flag", "environment", "file" or "built in"
	Where string `json:"where"` // the flag, the variable, or the file and line
}
