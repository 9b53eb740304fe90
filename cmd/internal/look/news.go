package look

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/cmd/internal/shape"
	"leadline/cmd/internal/usage"
)

// told are the alerts that the keeper was told of, each by what tells it from the others.
type told map[string]shape.Alert

// toldKey tells alerts apart. The overdue tests of a tank are one, as they are for reading.
func toldKey(al shape.Alert) string {
	of := cmp.Or(al.Parameter, al.Subject, new(string))
	if al.Rule == string(alerts.RuleOverdue) {
		of = new(string)
	}
	return fmt.Sprintf("%q %q %s", al.Tank, *of, al.Rule)
}

// tellNews tells of the alerts that opened, changed or cleared since they were told last, which is kept beside the
// book: by a line each, or by running a command. What could not be told is told the next time.
func tellNews(ctx context.Context, a *app.App, opt alertsOptions) error {
	reports, err := a.Reports()
	if err != nil {
		return err
	}
	path := a.Opened.Path() + ".told"
	known, err := readTold(path)
	if err != nil {
		return err
	}
	keep := func() error {
		if opt.dryRun {
			return nil
		}
		list := []shape.Alert{}
		for _, key := range slices.Sorted(maps.Keys(known)) {
			list = append(list, known[key])
		}
		return a.WriteOwnJSON(path, list)
	}
	news, failed := known.news(reports, a.TankFlag == ""), 0
	if err := keep(); err != nil { // what was answered; and where it cannot be kept, nothing is told again and again
		return err
	}
	for _, al := range news {
		if opt.run != "" && !opt.dryRun {
			err := tell(ctx, a, opt, al)
			switch {
			case err != nil && ctx.Err() != nil:
				return app.ErrInterrupted
			case err != nil:
				a.Say("%s: %s: %v", words.OneLine(al.Tank), words.OneLine(al.Headline), err)
				failed++
				continue
			}
		}
		known.take(al)
		if err := keep(); err != nil {
			return err
		}
	}
	switch {
	case a.JSON:
		err = a.PrintJSON(news)
	case opt.run == "" || opt.dryRun:
		for _, al := range news {
			a.Printf("%s: %s, %s: %s", al.Change, words.OneLine(al.Tank), al.Severity, al.Headline)
		}
	}
	if err == nil && failed > 0 {
		err = usage.WithHint(fmt.Errorf("%d of %s could not be told", failed, words.Plural(len(news), "alert", "alerts")),
			"they are told again the next time")
	}
	return err
}

func readTold(path string) (told, error) {
	known := told{}
	var list []shape.Alert
	err := app.ReadOwnJSON(path, &list, "remove it, and all open alerts are told anew")
	for _, al := range list {
		known[toldKey(al)] = al
	}
	return known, err
}

// news are the changes since the alerts were told. One that the keeper answered is quiet until it asks again. whole:
// the reports are of all tanks.
func (known told) news(reports []alerts.Report, whole bool) []shape.Alert {
	news, there, looked := []shape.Alert{}, map[string]bool{}, map[string]bool{}
	for _, r := range reports {
		looked[r.Tank.Name] = true
		for _, al := range shape.AlertsOf(r.Joined(), r.AsOf) {
			key := toldKey(al)
			there[key] = true
			switch before, was := known[key]; {
			case !al.Open && !was:
				continue
			case !al.Open:
				before.Open = false
				known[key] = before
				continue
			case !was:
				al.Change = "opened"
			case !before.Open || before.Severity != al.Severity:
				al.Change = "changed"
			default:
				known[key] = al // its words may be newer
				continue
			}
			news = append(news, al)
		}
	}
	for _, key := range slices.Sorted(maps.Keys(known)) {
		if al := known[key]; !there[key] && (whole || looked[al.Tank]) {
			al.Change, al.Open = "cleared", false
			al.Headline = overHeadline(al)
			al.Text = al.Headline
			news = append(news, al)
		}
	}
	return news
}

// overHeadline says that an alert is over, by its rule: the value, the dates and the advice it had hold no more.
func overHeadline(al shape.Alert) string {
	rule := strings.NewReplacer("test_again", "low reading", "overdue", "test overdue", "_band", " your band", "_", " ").
		Replace(al.Rule)
	if what := cmp.Or(al.Parameter, al.Subject); what != nil {
		return "over: " + words.OneLine(*what) + ", " + rule
	}
	return "over: " + rule
}

// take notes that a change was told.
func (known told) take(al shape.Alert) {
	key := toldKey(al)
	if al.Change == "cleared" {
		delete(known, key)
		return
	}
	al.Change = ""
	known[key] = al
}

// tell runs the keeper's command for one alert: JSON on its standard input, what fits a line in its environment.
func tell(ctx context.Context, a *app.App, opt alertsOptions, al shape.Alert) error {
	ctx, cancel := context.WithTimeout(ctx, opt.limit)
	defer cancel()
	shell := []string{"sh", "-c", opt.run}
	if runtime.GOOS == "windows" {
		shell = []string{"cmd", "/C", opt.run}
	}
	in, err1 := json.Marshal(al)
	book, err2 := filepath.Abs(a.Opened.Path())
	err := cmp.Or(err1, err2)
	if err != nil {
		return err
	}
	cmd := exec.CommandContext(ctx, shell[0], shell[1:]...)
	cmd.Stdin, cmd.Stdout, cmd.Stderr = bytes.NewReader(append(in, '\n')), a.ErrOut, a.ErrOut
	cmd.Env = append(os.Environ(), "LEADLINE_BOOK="+book, "LEADLINE_TANK="+al.Tank, "LEADLINE_CHANGE="+al.Change,
		"LEADLINE_SEVERITY="+al.Severity, "LEADLINE_HEADLINE="+words.OneLine(al.Tank+": "+al.Headline))
	inGroup(cmd)
	a.OnScreen.Store(true)
	defer a.OnScreen.Store(false)
	cmd.WaitDelay = time.Second // for what it leaves behind
	err = cmd.Run()
	if err != nil && ctx.Err() != nil {
		err = fmt.Errorf("the command took longer than %s", opt.limit)
	}
	return err
}
