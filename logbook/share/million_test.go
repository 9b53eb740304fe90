package share

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
	"leadline/testdata/server"
)

// BenchmarkMillion shares a log of a million readings, and lets a second member join, catch up with a day, and fifty
// join at once a log of twenty thousand; beside a bare program that publishes and reads the same lines, a message each,
// and in messages as large as ours.
func BenchmarkMillion(b *testing.B) {
	const readings, day = 1_000_000, 2880
	for range b.N {
		server := server.New(b, "").Start()
		ann, ben := newMember(b, "ann"), newMember(b, "ben")
		lines := fill(b, ann.book, 0, readings)
		began := time.Now()
		ann.probes = true
		ann.create(server.URL())
		b.ReportMetric(time.Since(began).Seconds(), "s/create")
		began = time.Now()
		ben.begun(server.URL(), false)
		mb := inProcess(b, ben)
		b.ReportMetric(time.Since(began).Seconds(), "s/join")
		b.ReportMetric(mb, "MB/join")
		fill(b, ann.book, readings, day)
		began = time.Now()
		ann.sync()
		ben.sync()
		b.ReportMetric(time.Since(began).Seconds(), "s/day")
		if n := strings.Count(ben.export(), "\n"); n != readings+day+1 {
			b.Errorf("%d lines came", n)
		}
		js := jetStream(b, server)
		publish, read := bare(b, js, "each", split(lines, 1))
		b.ReportMetric(publish, "s/bare-publish")
		b.ReportMetric(read, "s/bare-read")
		publish, read = bare(b, js, "packs", split(lines, packLines))
		b.ReportMetric(publish, "s/packed-publish")
		b.ReportMetric(read, "s/packed-read")
	}
}

// BenchmarkFifty lets fifty members join at once, and one note then reach them all.
func BenchmarkFifty(b *testing.B) {
	const joiners = 50
	for range b.N {
		server := server.New(b, "").Start()
		ann := newMember(b, "ann")
		fill(b, ann.book, 0, 20_000)
		ann.probes = true
		ann.create(server.URL())
		members := make([]*member, joiners)
		began := time.Now()
		var all sync.WaitGroup
		for i := range members {
			members[i] = newMember(b, fmt.Sprint("m", i))
			all.Go(func() { members[i].join(server.URL()) })
		}
		all.Wait()
		b.ReportMetric(time.Since(began).Seconds(), "s/50-join")
		ctx, cancel := context.WithCancel(b.Context())
		var following, arrived sync.WaitGroup
		var ready sync.WaitGroup
		for _, m := range members {
			ready.Add(1)
			arrived.Add(1)
			following.Go(func() {
				var once sync.Once
				_ = Follow(ctx, m.book, Options{Tell: func(text string) {
					if strings.Contains(text, "in step") {
						once.Do(ready.Done)
					} else if strings.Contains(text, "new from") {
						arrived.Done()
					}
				}})
			})
		}
		ready.Wait()
		began = time.Now()
		ann.note(reading(0, 77))
		ann.sync()
		arrived.Wait()
		b.ReportMetric(time.Since(began).Seconds(), "s/note-to-50")
		cancel()
		following.Wait()
	}
}

// fill fills a book with readings of a probe, one each half minute, and gives their lines.
func fill(b *testing.B, book *logbook.Book, from, n int) []byte {
	b.Helper()
	var batch logbook.Batch
	start := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	if err := batch.Add(logbook.Tank{Name: "forereef"}); err != nil {
		b.Fatal(err)
	}
	for i := from; i < from+n; i++ {
		v := fmt.Sprintf("%.2f", 25+float64(i%200)/100)
		r := logbook.Reading{Tank: "forereef", Parameter: "temperature", Time: start.Add(time.Duration(i) * 30 * time.Second),
			Text: v,
			Unit: "°C"}
		fmt.Sscan(v, &r.Value)
		if err := batch.Add(r); err != nil {
			b.Fatal(err)
		}
	}
	if _, err := book.ImportBatch(&batch); err != nil {
		b.Fatal(err)
	}
	var lines bytes.Buffer
	err := book.View(func(v *logbook.View) error { return logbook.WriteJSONL(&lines, v, logbook.ExportOptions{}) })
	if err != nil {
		b.Fatal(err)
	}
	return lines.Bytes()
}

func split(lines []byte, each int) (packs [][]byte) {
	all := bytes.SplitAfter(lines, []byte("\n"))
	for len(all) > 0 {
		n := min(each, len(all))
		packs = append(packs, bytes.Join(all[:n], nil))
		all = all[n:]
	}
	return packs
}

// bare publishes and reads messages as a program does that does nothing else.
func bare(b *testing.B, js jetstream.JetStream, name string, packs [][]byte) (publish, read float64) {
	b.Helper()
	stream, err := js.CreateStream(b.Context(), jetstream.StreamConfig{Name: name, Subjects: []string{name}})
	if err != nil {
		b.Fatal(err)
	}
	began := time.Now()
	var last jetstream.PubAckFuture
	for _, p := range packs {
		for {
			if last, err = js.PublishMsgAsync(&nats.Msg{Subject: name, Data: p}); err == nil {
				break
			}
			<-js.PublishAsyncComplete()
		}
	}
	<-js.PublishAsyncComplete()
	<-last.Ok()
	publish = time.Since(began).Seconds()
	began = time.Now()
	c, err := stream.OrderedConsumer(b.Context(), jetstream.OrderedConsumerConfig{})
	if err != nil {
		b.Fatal(err)
	}
	it, err := c.Messages()
	if err != nil {
		b.Fatal(err)
	}
	defer it.Stop()
	for range packs {
		if _, err := it.Next(); err != nil {
			b.Fatal(err)
		}
	}
	return publish, time.Since(began).Seconds()
}

// inProcess syncs a member in a process of its own, and gives the most memory that it took, in MB.
func inProcess(b *testing.B, m *member) float64 {
	b.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), asMember+"="+m.book.Path())
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		b.Fatal(err)
	}
	var bytes float64
	fmt.Sscan(string(out), &bytes)
	return bytes / (1 << 20)
}
