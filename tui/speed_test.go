package tui

import (
	"path/filepath"
	"testing"
	"time"

	"leadline/logbook"
)

// millionBook holds a million readings of one tank, a third of an hour apart, up to noon.
func millionBook(b *testing.B) *logbook.Book {
	b.Helper()
	book, err := logbook.Create(filepath.Join(b.TempDir(), "million.book"))
	if err != nil {
		b.Fatal(err)
	}
	names := []string{"alkalinity", "calcium", "magnesium", "nitrate", "phosphate", "salinity", "temperature", "pH"}
	ps := make([]logbook.Parameter, len(names))
	for i, n := range names {
		ps[i] = parameter(b, n)
	}
	var batch logbook.Batch
	for i := range 1_000_000 {
		p := ps[i%len(ps)]
		r := logbook.Reading{Time: noon.Add(-time.Duration(i) * 20 * time.Minute), Tank: "forereef", Parameter: p.Name,
			Text: "8.1", Unit: p.Unit, Value: 8.1}
		if err := batch.Add(&r); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := book.ImportBatch(&batch); err != nil {
		b.Fatal(err)
	}
	return book
}

// BenchmarkMillion measures, on a book of a million readings, what a screen waits for and what a frame costs. Frames
// are drawn from what is loaded, so the last two must not differ from those of a small book.
func BenchmarkMillion(b *testing.B) {
	book := millionBook(b)
	shown := func(s func(*app) screen) *app {
		a := newApp(Options{Book: book, Now: clock, NoColor: true})
		resize(a, 120, 40)
		if s != nil {
			a.push(s(a))
		}
		settle(a, a.top().Init())
		return a
	}
	b.Run("first-frame", func(b *testing.B) {
		for b.Loop() {
			a := newApp(Options{Book: book, Now: clock, NoColor: true})
			resize(a, 120, 40)
			_ = a.View()
		}
	})
	b.Run("glance-load", func(b *testing.B) {
		for b.Loop() {
			_ = shown(nil).View()
		}
	})
	b.Run("parameter-load", func(b *testing.B) {
		for b.Loop() {
			_ = shown(func(a *app) screen {
				return newParameterScreen(a.env, logbook.Tank{Name: "forereef"}, "nitrate")
			}).View()
		}
	})
	b.Run("glance-frame", func(b *testing.B) {
		a := shown(nil)
		for b.Loop() {
			a.Update(keyNamed("j"))
			_ = a.View()
		}
	})
	b.Run("parameter-frame", func(b *testing.B) {
		a := shown(func(a *app) screen {
			return newParameterScreen(a.env, logbook.Tank{Name: "forereef"}, "nitrate")
		})
		for b.Loop() {
			a.Update(keyNamed("j"))
			_ = a.View()
		}
	})
}
