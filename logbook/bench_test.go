package logbook

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"
)

// benchReading is the i-th of a long log: two tanks, eight parameters, hour after hour, as a probe would write it. The
// last ones are the newest, and end at the same moment for every n.
func benchReading(i, n int) Reading {
	parameters := []string{"nitrate", "phosphate", "alkalinity", "calcium", "magnesium", "temperature", "ph", "salinity"}
	series := i % 16
	hour := i/16 - n/16
	value := 4 + float64(i%97)/100
	return Reading{
		Time: time.Date(2026, 3, 1, 9, 0, 0, 0, time.FixedZone("", 13*3600)).Add(time.Duration(hour) * time.Hour),
		Tank: []string{"forereef", "lagoon"}[series/8], Parameter: parameters[series%8],
		Text: strconv.FormatFloat(value, 'f', 2, 64), Unit: "mg/L", Value: value, Method: "probe",
	}
}

func benchBatch(tb testing.TB, n int) *Batch {
	var bt Batch
	for i := range n {
		r := benchReading(i, n)
		if err := bt.Add(&r); err != nil {
			tb.Fatal(err)
		}
	}
	return &bt
}

func benchBook(tb testing.TB, n int) *Book {
	tb.Helper()
	b, err := Create(filepath.Join(tb.TempDir(), "book"))
	if err != nil {
		tb.Fatal(err)
	}
	if _, err := b.ImportBatch(benchBatch(tb, n)); err != nil {
		tb.Fatal(err)
	}
	return b
}

// bookSizes are the sizes at which a window must cost the same.
var bookSizes = []int{10_000, 100_000, 1_000_000}

// BenchmarkWindow opens the book and reads what an overview reads: for every series a window of readings, and the last
// one. What it costs must not depend on the size of the book.
func BenchmarkWindow(b *testing.B) {
	for _, n := range bookSizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			book := benchBook(b, n)
			end := benchReading(n-1, n).Time
			for b.Loop() {
				read := 0
				err := book.View(func(v *View) error {
					tanks, err := v.Tanks()
					if err != nil {
						return err
					}
					for _, tank := range tanks {
						parameters, err := v.Measured(tank.Name)
						if err != nil {
							return err
						}
						for _, parameter := range parameters {
							rs, err := v.Readings(tank.Name, parameter, end.Add(-500*time.Hour), end)
							if err != nil {
								return err
							}
							read += len(rs)
						}
					}
					return nil
				})
				if err != nil || read != 16*501 {
					b.Fatal(read, err)
				}
			}
		})
	}
}

// BenchmarkAppendOne is one durable `add`: open, check, commit, close.
func BenchmarkAppendOne(b *testing.B) {
	for _, n := range bookSizes {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			path := benchBook(b, n).Path()
			i := 0
			for b.Loop() {
				r := benchReading(i, n)
				r.Time = r.Time.AddDate(10, 0, 0)
				if _, err := newBook(path).Append(r); err != nil { // a Book of its own, as a new process has
					b.Fatal(err)
				}
				i++
			}
		})
	}
}

// BenchmarkPageCheck is what every look at a book pays, and what every writing to a small one does.
func BenchmarkPageCheck(b *testing.B) {
	for _, n := range bookSizes {
		s, err := benchBook(b, n).open(false, 0)
		if err != nil {
			b.Fatal(err)
		}
		for _, deep := range []bool{false, true} {
			b.Run(fmt.Sprint(n, " deep ", deep), func(b *testing.B) {
				for b.Loop() {
					if _, err := s.check(deep); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
		s.close()
	}
}

func BenchmarkEntryByID(b *testing.B) {
	book := benchBook(b, 1_000_000)
	var id ID
	if err := book.View(func(v *View) error {
		rs, err := v.LastReadings("lagoon", "ph", time.Time{}, 1)
		id = rs[0].ID
		return err
	}); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := book.View(func(v *View) error { _, err := v.Entry(id); return err }); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkVerify(b *testing.B) {
	book := benchBook(b, 1_000_000)
	for b.Loop() {
		if f, err := Verify(book.Path()); err != nil || len(f.Problems) > 0 {
			b.Fatal(f, err)
		}
	}
}

// BenchmarkImport is the whole way of a million readings from records in memory to a durable book, and again into the
// book that has them all.
func BenchmarkImport(b *testing.B) {
	const n = 1_000_000
	for b.Loop() {
		began := time.Now()
		bt := benchBatch(b, n)
		b.ReportMetric(time.Since(began).Seconds(), "s-batch")
		book, err := Create(filepath.Join(b.TempDir(), "book"))
		if err != nil {
			b.Fatal(err)
		}
		began = time.Now()
		if _, err := book.ImportBatch(bt); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(time.Since(began).Seconds(), "s-first")
		if peak := peakMemory(); peak > 0 {
			b.ReportMetric(float64(peak)/1024, "MB-peak")
		}
		began = time.Now()
		if done, err := book.ImportBatch(bt); err != nil || done.Already != n {
			b.Fatal(done, err)
		}
		b.ReportMetric(time.Since(began).Seconds(), "s-again")
		info, _ := os.Stat(book.Path())
		b.ReportMetric(float64(info.Size())/n, "B/reading")
	}
}

// peakMemory is the most memory the process has had resident, in kB; 0 where the system does not tell.
func peakMemory() int {
	runtime.GC()
	status, _ := os.ReadFile("/proc/self/status")
	_, after, _ := strings.Cut(string(status), "VmHWM:")
	fields := strings.Fields(after)
	if len(fields) == 0 {
		return 0
	}
	kB, _ := strconv.Atoi(fields[0])
	return kB
}

// BenchmarkDefine notes changes of definitions in a book that has many: one, a hundred at once, one that comes from
// others.
func BenchmarkDefine(b *testing.B) {
	const tanks, each = 50, 100
	book := testBook(b)
	n := 0
	changed := func(many int) (recs []Record) {
		for range many {
			n++
			recs = append(recs, Tank{Name: fmt.Sprint("tank ", n%tanks), About: fmt.Sprint("the state of ", n)})
		}
		return recs
	}
	var all Batch
	for range tanks * each {
		if err := all.Add(Change{Of: changed(1)[0], Noted: testTime(0, n)}); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := book.ImportBatch(&all); err != nil {
		b.Fatal(err)
	}
	for _, many := range []int{1, 100} {
		b.Run(fmt.Sprint(many), func(b *testing.B) {
			for b.Loop() {
				mustAppend(b, book, changed(many)...)
			}
		})
	}
	b.Run("from others", func(b *testing.B) {
		for b.Loop() {
			var bt Batch
			if err := bt.Add(Change{Of: changed(1)[0], Noted: testTime(0, n)}); err != nil {
				b.Fatal(err)
			}
			if _, err := book.ImportBatch(&bt); err != nil {
				b.Fatal(err)
			}
		}
	})
}
