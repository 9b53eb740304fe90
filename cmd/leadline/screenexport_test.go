package main

import (
	"bufio"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"leadline/cmd/internal/app"
	"leadline/logbook"
	"leadline/tui"
)

// Every export of the screens writes a file of its kind of the demo, whole, and replaces none unasked.
func TestScreenExports(t *testing.T) {
	now := time.Date(2026, 3, 14, 12, 0, 0, 0, time.UTC)
	a := &app.App{Out: bufio.NewWriter(io.Discard), ErrOut: io.Discard, Env: func(string) string {
		return ""
	}, Now: func() time.Time { return now }}
	book, err := demoBook(a, filepath.Join(t.TempDir(), "demo.book"))
	if err != nil {
		t.Fatal(err)
	}
	var tank logbook.Tank
	if err := book.View(func(v *logbook.View) (err error) { tank, err = v.Tank("forereef"); return err }); err != nil {
		t.Fatal(err)
	}
	starts := map[string]string{".png": "\x89PNG\r\n", ".svg": "<?xml", ".csv": "time,tank,parameter",
		"table.csv": "date,time,", ".md": "", ".txt": ""}
	folder := t.TempDir()
	for i, x := range screenExports(a, book) {
		path := filepath.Join(folder, string(rune('a'+i))+x.Suffix)
		of := tui.Exported{Tank: tank, Parameter: "nitrate", From: now.AddDate(0, 0, -84), AsOf: now}
		if err := x.Write(of, path, false); err != nil {
			t.Errorf("%s: %v", x.Name, err)
			continue
		}
		text, err := os.ReadFile(path)
		text = bytes.TrimPrefix(text, []byte("\ufeff")) // by which a spreadsheet knows the encoding
		kind := x.Suffix
		if x.Stem == "table" {
			kind = "table.csv"
		}
		if start, known := starts[kind]; err != nil || len(text) < 200 || !known || !bytes.HasPrefix(text, []byte(start)) {
			t.Errorf("%s: %.40q %v", x.Name, text, err)
		}
		if strings.Contains(x.Name, "CSV") &&
			(bytes.Contains(text, []byte("2025-11-")) || !bytes.Contains(text, []byte("nitrate"))) {
			t.Errorf("%s reaches beyond the left end of the chart", x.Name)
		}
		if err := x.Write(of, path, false); err == nil {
			t.Errorf("%s: a file was replaced unasked", x.Name)
		}
		if err := x.Write(of, path, true); err != nil {
			t.Errorf("%s: not replaced though asked: %v", x.Name, err)
		}
	}
}

// Where the screens keep what was open: in the folder of state, and not of an invented book or a past moment.
func TestPlaceFile(t *testing.T) {
	state := t.TempDir()
	a := &app.App{Env: func(name string) string { return map[string]string{"XDG_STATE_HOME": state}[name] }}
	if got, want := placeFile(a, false), filepath.Join(state, "leadline", "place.json"); got != want {
		t.Errorf("kept in %s, want %s", got, want)
	}
	if got := placeFile(a, true); got != "" {
		t.Errorf("that of the demo is kept in %s", got)
	}
	a.AsOfFlag = "2026-03-01"
	if got := placeFile(a, false); got != "" {
		t.Errorf("that of a past moment is kept in %s", got)
	}
}

// The invented book never holds what is still to come, at whatever hour it is made.
func TestDemoEndsBeforeNow(t *testing.T) {
	for hour := range 24 {
		now := time.Date(2026, 3, 14, hour, 30, 0, 0, time.UTC)
		a := &app.App{Now: func() time.Time { return now }}
		book, err := demoBook(a, filepath.Join(t.TempDir(), "demo.book"))
		if err != nil {
			t.Fatal(err)
		}
		newest, err := logbook.Seen(book, func(v *logbook.View) (time.Time, error) { return v.NewestAfter(now) })
		if err != nil || !newest.IsZero() {
			t.Errorf("at %s it holds an entry of %s (%v)", now, newest, err)
		}
	}
}
