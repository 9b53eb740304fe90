package app

import (
	"cmp"
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"

	"github.com/adrg/xdg"

	"leadline/alerts/words"
	"leadline/cmd/internal/settings"
	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
	"leadline/tui/part"
)

// Switched is a switch by the environment, where 0 is off and anything else on, or else by the settings.
func (a *App) Switched(variable string, file bool) bool {
	if set := a.Env(variable); set != "" {
		return set != "0"
	}
	return file
}

// Light reports whether the terminal's ground is light, by the environment or the settings.
func (a *App) Light(s *settings.Settings) bool {
	return cmp.Or(a.ThemeOfEnvironment(), s.Theme) == "light"
}

// ThemeOfEnvironment is "light", "dark", or "" where the variable says neither.
func (a *App) ThemeOfEnvironment() string {
	if set := a.Env("LEADLINE_THEME"); set == "light" || set == "dark" {
		return set
	}
	return ""
}

// Colourless reports whether the screen is to do without colour.
func (a *App) Colourless(s *settings.Settings) bool {
	return a.Env("NO_COLOR") != "" || s.Colour == "never"
}

// Terminal is what is known of the terminal at the other end of the results.
func (a *App) Terminal(s *settings.Settings) terminal.Terminal {
	t := terminal.Terminal{There: a.HasTerminal(), Name: a.Env("TERM")}
	if t.There {
		t.Columns, t.Rows = terminal.Size(a.RawOut)
	}
	t.Colour = !a.Colourless(s) && t.Name != "dumb" && (t.Name != "" || runtime.GOOS == "windows")
	t.Utf8, t.Locale = terminal.Utf8Locale(a.Env, runtime.GOOS)
	return t
}

// Columns is the width of the terminal, or 80 where there is none.
func (a *App) Columns() int {
	if w, _ := terminal.Size(a.RawOut); w > 0 {
		return w
	}
	return 80
}

// width is what a table at an end of the program has room for; 0: no limit, as for another program and for who reads
// sentences.
func (a *App) width(end io.Writer) int {
	const least = 40
	if w, _ := terminal.Size(end); w > 0 && !a.Plain() {
		return max(w, least)
	}
	return 0
}

// textWidth is that of running text, of which long lines are hard to read.
func (a *App) textWidth(end io.Writer) int {
	const most = 100
	return min(a.width(end), most)
}

// ink draws a line that stands out, where results go to a terminal that draws.
func (a *App) ink(look words.Look, line string) string {
	if look == words.Quiet || !terminal.IsTerminal(a.RawOut) || a.Talks() {
		return line
	}
	if a.theme == nil {
		set, _ := a.Settings() // what is wrong in the file is said by what depends on it
		a.theme = part.NewTheme(a.RawOut, a.Colourless(set), a.Light(set), false)
	}
	return [...]part.Ink{words.Head: a.theme.Title, words.Notice: a.theme.Key, words.Warning: a.theme.Warn,
		words.Urgent: a.theme.Bad}[look].Render(line)
}

// CheckUnits holds the names of the settings to the parameters of the book: what is typed must not be taken in another
// unit than the keeper set.
func (a *App) CheckUnits(all []logbook.Parameter) error {
	s, err := a.Settings()
	if err == nil && !a.Lenient {
		err = s.Check(all)
	}
	return err
}

// ShowIn tells an open book the units of the settings, those that are right, and what clock and whose name changes
// bear.
func (a *App) ShowIn(b *logbook.Book) {
	if b != nil {
		set, _ := a.Settings()
		b.ShowIn(set.Units)
		b.NotedBy(a.Now, func() string { return set.Who })
	}
}

// SettingsPath is where the file lies, and whether the keeper named it.
func (a *App) SettingsPath() (path string, named bool) {
	if set := a.Env("LEADLINE_CONFIG"); set != "" {
		return set, true
	}
	if set := a.Env("XDG_CONFIG_HOME"); filepath.IsAbs(set) {
		return filepath.Join(set, filepath.FromSlash(settings.Name)), false
	}
	if _, err := os.UserHomeDir(); err != nil {
		return "", false
	}
	return filepath.Join(xdg.ConfigHome, filepath.FromSlash(settings.Name)), false
}

// Settings reads the file once, when something asks for it: most commands do not. What is wrong in it is an error,
// beside which the settings hold what is right; a command that must not depend on the file sets Lenient.
func (a *App) Settings() (*settings.Settings, error) {
	if a.set == nil {
		path, named := a.SettingsPath()
		a.set, a.setErr = settings.Read(path, named)
	}
	if a.Lenient {
		return a.set, nil
	}
	return a.set, a.setErr
}

// WithoutSettings lets a command go on where the file of settings is broken. It says what it does not believe.
func (a *App) WithoutSettings() {
	_, err := a.Settings()
	a.Lenient = true
	var rs logbook.Refusals
	switch {
	case errors.As(err, &rs):
		for _, r := range rs {
			a.Say("warning: %s; the setting is not used", words.OneLine(r.Error()))
		}
	case err != nil:
		what, _ := usage.InWords(err)
		a.Say("warning: %s; no settings are used", words.OneLine(what))
	}
}

// Who is who notes down: the name given, else that of the settings, else nobody.
func (a *App) Who(given string) (string, error) {
	s, err := a.Settings()
	return cmp.Or(given, s.Who), err
}

// UsualTank is the tank that the environment or the settings name, and where.
func (a *App) UsualTank() (name, where string, err error) {
	if name = a.Env("LEADLINE_TANK"); name != "" {
		return name, "LEADLINE_TANK", nil
	}
	s, err := a.Settings()
	if err != nil || s.Tank == "" {
		return "", "", err
	}
	return s.Tank, s.Where("tank"), nil
}
