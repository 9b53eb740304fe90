package logbook

import (
	"bytes"
	"strings"
	"testing"
)

// benchRows is a long log as WriteCSV would write it.
func benchRows(n int) []byte {
	b := []byte(csvHeader + ",who\r\n")
	for i := range n {
		r := benchReading(i, n)
		if r.Parameter == "ph" || r.Parameter == "temperature" || r.Parameter == "salinity" || r.Parameter == "alkalinity" {
			r.Unit = ""
		}
		b = exactRow(b, &r)
	}
	return b
}

func BenchmarkEachCSV(b *testing.B) {
	text := benchRows(100_000)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if err := EachCSV(bytes.NewReader(text), csvOptions(), func(Record) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkEachJSONL(b *testing.B) {
	var text []byte
	var l jsonLine
	for i := range 100_000 {
		r := benchReading(i, 100_000)
		r.Parameter, r.Note = "nitrate", "dull"
		text = append(text, l.of(r)...)
	}
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		if err := EachJSONL(bytes.NewReader(text), JSONLOptions{Parameters: Standard()}, func(Record) error {
			return nil
		}); err != nil {
			b.Fatal(err)
		}
	}
}

// A row costs the text of its value, and nothing for its names once they have been seen.
func TestEachCSVAllocatesLittle(t *testing.T) {
	text := benchRows(20_000)
	allocs := testing.AllocsPerRun(1, func() {
		if err := EachCSV(bytes.NewReader(text), csvOptions(), func(Record) error { return nil }); err != nil {
			t.Fatal(err)
		}
	})
	if allocs > 22_000 {
		t.Errorf("%.0f allocations for 20,000 rows", allocs)
	}
	if !strings.Contains(string(text[:200]), "forereef") {
		t.Error("the rows are not what they should be")
	}
}
