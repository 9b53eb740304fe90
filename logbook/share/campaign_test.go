package share

import (
	"context"
	"flag"
	"fmt"
	"io"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/nats-io/nats.go/jetstream"

	"leadline/logbook"
	"leadline/testdata/server"
)

var campaign = flag.Bool("campaign", false,
	"play the long campaign: a cluster whose leader is killed, members killed at every step")

const asMember = "LEADLINE_TEST_MEMBER"

// beMember makes this process one that syncs a book, which a test can kill.
func beMember() {
	path := os.Getenv(asMember)
	if path == "" {
		return
	}
	book, err := logbook.Open(path)
	if err == nil {
		_, err = Sync(context.Background(), book, Options{})
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	var used runtime.MemStats
	runtime.ReadMemStats(&used)
	fmt.Println(used.Sys)
	os.Exit(0)
}

// A member that is killed at any moment of a sync has lost nothing and holds nothing half.
func TestMemberKilledAtEveryStep(t *testing.T) {
	server := server.New(t, "").Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(server.URL())
	ben.join(server.URL())
	kills := 4
	if *campaign {
		kills = 200
	}
	for i := range kills {
		ann.note(reading(i, 4), reading(i, 5))
		ben.note(reading(i, 6))
		ben.sync()
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), asMember+"="+ann.book.Path())
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(i*100/kills) * time.Millisecond)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	}
	inStep(t, ann, ben)
	counted(t, ann, 3*kills)
}

// inStep syncs members until all have what the others sent.
func inStep(t testing.TB, members ...*member) {
	t.Helper()
	for range 2 {
		for _, m := range members {
			m.sync()
		}
	}
	same(t, members...)
}

func counted(t testing.TB, m *member, want int) {
	t.Helper()
	if n := strings.Count(m.export(), `"kind":"reading"`); n != want {
		t.Errorf("%s has %d readings, and %d were noted", m.name, n, want)
	}
}

// proxy hands on to a server, and cuts each connection off after so many bytes.
type proxy struct {
	net.Listener
	most atomic.Int64
}

func newProxy(t testing.TB, to string) *proxy {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{Listener: l}
	t.Cleanup(func() { l.Close() })
	go func() {
		for {
			in, err := l.Accept()
			if err != nil {
				return
			}
			go p.carry(in, to)
		}
	}()
	return p
}

func (p *proxy) url() string { return "nats://" + p.Addr().String() }

func (p *proxy) carry(in net.Conn, to string) {
	defer in.Close()
	out, err := net.Dial("tcp", strings.TrimPrefix(to, "nats://"))
	if err != nil {
		return
	}
	defer out.Close()
	done := make(chan struct{}, 2)
	for _, way := range [][2]net.Conn{{in, out}, {out, in}} {
		go func() {
			_, _ = io.CopyN(way[0], way[1], p.most.Load())
			done <- struct{}{}
		}()
	}
	<-done
}

// A connection that breaks after any number of bytes is told in one line, and the next sync goes on where it was.
func TestNetworkCutHalfWay(t *testing.T) {
	server := server.New(t, "").Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	p := newProxy(t, server.URL())
	p.most.Store(1 << 40)
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(p.url())
	ben.join(server.URL())
	step := int64(997)
	if *campaign {
		step = 101
	}
	n := 0
	for most := step; most < 8000; most += step {
		ann.note(reading(n, 4), reading(n, 5))
		ben.note(reading(n, 6))
		ben.sync()
		n++
		p.most.Store(most)
		if _, err := Sync(t.Context(), ann.book, ann.opt()); err != nil {
			if text := err.Error(); strings.Contains(text, "\n") || !strings.Contains(text, "cannot be reached") {
				t.Errorf("cut after %d bytes: %s", most, text)
			}
		}
	}
	p.most.Store(1 << 40)
	inStep(t, ann, ben)
	counted(t, ann, 3*n)
}

// A server without room says so in one line; what was noted goes over when there is room again.
func TestServerWithoutRoom(t *testing.T) {
	server := server.New(t, "")
	limits := func(size string) string {
		return fmt.Sprintf("jetstream { store_dir: %q, max_file_store: %s }", server.Folder+"/streams", size)
	}
	server.Configure(limits("32KB"))
	server.Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(server.URL())
	n := 0
	var err error
	for ; err == nil && n < 100_000; n += 100 {
		var recs []logbook.Record
		for i := range 100 {
			recs = append(recs, reading(n+i, 4))
		}
		ann.note(recs...)
		_, err = Sync(t.Context(), ann.book, ann.opt())
	}
	if err == nil || !strings.Contains(err.Error(), "has no room left") {
		t.Errorf("a full server says %v", err)
	}
	server.Stop()
	server.Configure(limits("1GB"))
	server.Start()
	ann.sync()
	ben.join(server.URL())
	inStep(t, ann, ben)
	counted(t, ben, n)
}

// A cluster goes on when its leader is killed, and whatever a member was told is in step is in every book.
func TestLeaderKilled(t *testing.T) {
	if !*campaign {
		t.Skip("-campaign plays it")
	}
	servers := newCluster(t)
	var urls []string
	for _, s := range servers {
		urls = append(urls, s.URL())
	}
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.replicas = 3
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(strings.Join(urls, ","))
	ben.join(strings.Join(urls, ","))
	n, down := 0, 0
	for round := range 10 {
		dead := servers[leader(t, servers)]
		killed := make(chan struct{})
		go func() {
			time.Sleep(time.Duration(round*20) * time.Millisecond)
			dead.Kill()
			close(killed)
		}()
		for range 15 {
			for _, m := range []*member{ann, ben} {
				m.note(reading(n, 4))
				n++
				if _, err := Sync(t.Context(), m.book, m.opt()); err != nil {
					down++
					if strings.Contains(err.Error(), "\n") {
						t.Error(err)
					}
				}
			}
		}
		<-killed
		dead.Start()
		waitReady(t, servers)
	}
	inStep(t, ann, ben)
	counted(t, ben, n)
	t.Logf("%d notes, %d syncs failed and were made up for", n, down)
}

func newCluster(t testing.TB) (servers []*server.Server) {
	t.Helper()
	ports := []int{server.FreePort(t), server.FreePort(t), server.FreePort(t)}
	var routes []string
	for _, p := range ports {
		routes = append(routes, fmt.Sprintf("nats://127.0.0.1:%d", p))
	}
	for i, p := range ports {
		s := server.New(t, fmt.Sprintf("server_name: s%d\ncluster { name: reef, listen: \"127.0.0.1:%d\", routes: [ %q ] }",
			i, p,
			strings.Join(routes, `", "`)))
		servers = append(servers, s)
	}
	for i, s := range servers {
		s.Configure(fmt.Sprintf("server_name: s%d\ncluster { name: reef, listen: \"127.0.0.1:%d\", routes: [ \"%s\" ] }", i,
			ports[i],
			strings.Join(routes, `", "`)))
		s.Start()
	}
	waitReady(t, servers)
	return servers
}

// waitReady waits until a cluster takes streams.
func waitReady(t testing.TB, servers []*server.Server) {
	t.Helper()
	for range 600 {
		js := jetStream(t, servers[0])
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		_, err := js.CreateOrUpdateStream(ctx,
			jetstream.StreamConfig{Name: "ready", Replicas: 3, Storage: jetstream.MemoryStorage})
		cancel()
		if err == nil {
			return
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatal("the cluster does not get ready")
}

// leader is the server that leads the stream.
func leader(t testing.TB, servers []*server.Server) int {
	t.Helper()
	for {
		stream, err := jetStream(t, servers[0]).Stream(t.Context(), "leadline-reef")
		if err == nil && stream.CachedInfo().Cluster.Leader != "" {
			var n int
			_, _ = fmt.Sscanf(stream.CachedInfo().Cluster.Leader, "s%d", &n)
			return n
		}
		time.Sleep(100 * time.Millisecond)
	}
}
