package main

import (
	"context"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// A line that is too long to be read ends the talk with a word on it, at the prompt as in the middle of a test day;
// what was acknowledged before is a draft.
func TestPlainInputTooLong(t *testing.T) {
	book, err := logbook.Create(filepath.Join(t.TempDir(), "test.book"))
	if err != nil {
		t.Fatal(err)
	}
	low := 7.0
	if _, err := book.Append(logbook.Tank{Name: "forereef",
		Bands: map[string]logbook.Band{"alkalinity": {Low: &low}}}); err != nil {
		t.Fatal(err)
	}
	env := func(name string) string { return map[string]string{"LEADLINE_BOOK": book.Path()}[name] }
	now := func() time.Time { return time.Date(2026, 3, 7, 9, 10, 0, 0, time.UTC) }
	long := strings.Repeat("9", 1<<17)
	for _, c := range []struct{ input, said string }{
		{"status\n" + long + "\n", "help for what can be typed here"},
		{"test all\n8.2\n" + long + "\nstop\n", "kept as a draft: test forereef goes on with it"},
	} {
		var out, errOut strings.Builder
		code := run(context.Background(), []string{"--plain"}, strings.NewReader(c.input), &out, &errOut, env, now)
		if code != usage.ExitFailed || !strings.Contains(errOut.String(),
			"a line of the input is longer than 65536 characters") || !strings.Contains(out.String(), c.said) {
			t.Errorf("code %d, %q\n%s", code, errOut.String(), out.String())
		}
	}
}

// TestPlainReaderGone: a talk ends, without a word, where nobody reads the answers any more.
func TestPlainReaderGone(t *testing.T) {
	book := testBook(t)
	nitrate := logbook.Reading{Tank: "forereef", Parameter: "nitrate", Text: "5", Value: 5, Unit: "mg/L",
		Time: time.Now().AddDate(0, -1, 0)}
	if _, err := book.Append(nitrate); err != nil {
		t.Fatal(err)
	}
	env := func(name string) string { return map[string]string{"LEADLINE_BOOK": book.Path()}[name] }
	ctx, stop := context.WithTimeout(context.Background(), time.Minute)
	defer stop()
	for _, typed := range []string{"status\nstatus\nquit\n", "test\nquit\n"} {
		var errOut strings.Builder
		code := run(ctx, []string{"--plain"}, strings.NewReader(typed), &goneReader{}, &errOut, env, time.Now)
		if code != usage.ExitDone || errOut.Len() > 0 {
			t.Errorf("%q: code %d, %q", typed, code, errOut.String())
		}
	}
}

// goneReader is a pipe whose reader went away after the first lines.
type goneReader struct{ wrote bool }

func (g *goneReader) Write(p []byte) (int, error) {
	if !g.wrote {
		g.wrote = true
		return len(p), nil
	}
	return 0, syscall.EPIPE
}
