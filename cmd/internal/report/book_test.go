package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"
	"time"

	_ "time/tzdata"

	"leadline/alerts/picture"
	"leadline/logbook"
	"leadline/testdata/demo"
)

var update = flag.Bool("update", false, "rewrite the golden files, and the post in the guide")

// demoEvening is the evening of the last test day of the demo that the golden files show.
func demoEvening(t *testing.T) time.Time {
	t.Helper()
	zone, err := time.LoadLocation("Pacific/Auckland")
	if err != nil {
		t.Fatal(err)
	}
	return time.Date(2026, 3, 7, 20, 0, 0, 0, zone)
}

func demoBook(t *testing.T) *logbook.Book {
	t.Helper()
	log, err := demo.Log(demoEvening(t))
	if err != nil {
		t.Fatal(err)
	}
	return bookOf(t, log)
}

// bookOf makes a book of JSON Lines.
func bookOf(t *testing.T, log []byte) *logbook.Book {
	t.Helper()
	var batch logbook.Batch
	if err := logbook.EachJSONL(bytes.NewReader(log), logbook.JSONLOptions{Parameters: logbook.Standard()},
		batch.Add); err != nil {
		t.Fatal(err)
	}
	book, err := logbook.Create(filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := book.ImportBatch(&batch); err != nil {
		t.Fatal(err)
	}
	return book
}

func sheetOf(t *testing.T, book *logbook.Book, tank string, asOf time.Time) Sheet {
	t.Helper()
	var s Sheet
	err := book.View(func(v *logbook.View) (err error) {
		s, err = Gather(v, tank, asOf, asOf.AddDate(0, 0, -56))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func chartsOf(t *testing.T, book *logbook.Book, tank string, from, asOf time.Time,
	parameters ...string) []picture.Chart {
	t.Helper()
	var out []picture.Chart
	err := book.View(func(v *logbook.View) error {
		tk, err := v.Tank(tank)
		if err != nil {
			return err
		}
		for _, name := range parameters {
			p, err := v.Parameter(name)
			if err != nil {
				return err
			}
			c, err := picture.Of(v, tk, p, from, asOf)
			if err != nil {
				return err
			}
			out = append(out, c)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// golden compares with a file of testdata, or rewrites it.
func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs (-update rewrites it):\n%s", name, got)
	}
}

// hostileLog is a tank whose every text tries to break out of the post, or to run a terminal's command.
func hostileLog(t *testing.T) []byte {
	t.Helper()
	return []byte(`{"kind":"tank","tank":"[/b]# *reef*\u001b[2J \u202e","volume_l":100,"about":"1. [url=x]y[/url] <b> ` +
		"```" + ` ~~~ @all","since":"[quote]"}
{"kind":"method","method":"[/code]m","parameter":"nitrate","unit":"mg/L","step":1}
{"kind":"reading","time":"2026-03-01T09:00:00Z","tank":"[/b]# *reef*\u001b[2J \u202e","parameter":"nitrate","value":"4","unit":"mg/L","method":"[/code]m","note":"a secret note"}
{"kind":"dosing","time":"2026-03-01T09:00:00Z","tank":"[/b]# *reef*\u001b[2J \u202e","parameter":"nitrate","per_day":0.1,"unit":"mg/L","supplement":"[/code][b]s\n` + "```" + `"}
{"kind":"event","time":"2026-03-01T09:00:00Z","tank":"[/b]# *reef*\u001b[2J \u202e","tags":["coral"],"subject":"[/code]","text":"a secret event\n` + "````" + `\nnext"}
{"kind":"chore_done","time":"2026-03-01T09:00:00Z","tank":"[/b]# *reef*\u001b[2J \u202e","chore":"a secret chore"}
`)
}

const hostileTank = "[/b]# *reef*\x1b[2J \u202e"
