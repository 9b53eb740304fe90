package share

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"leadline/logbook"
	"leadline/testdata/server"
)

// Members that know a leaf node alone share with those of the server that it belongs to, and note on while it is cut
// off.
func TestLeafNode(t *testing.T) {
	write := func(s *server.Server, format string, args ...any) {
		t.Helper()
		text := fmt.Sprintf("listen: \"127.0.0.1:%d\"\n"+format, append([]any{s.Port}, args...)...)
		if err := os.WriteFile(filepath.Join(s.Folder, "server.conf"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	port, hub, leaf := server.FreePort(t), server.New(t, ""), server.New(t, "")
	write(hub, "jetstream { store_dir: %q, domain: \"reef\" }\nleafnodes { listen: \"127.0.0.1:%d\" }\n",
		filepath.ToSlash(filepath.Join(hub.Folder, "streams")), port)
	write(leaf, "leafnodes { remotes: [ { url: \"nats-leaf://127.0.0.1:%d\" } ] }\n"+
		"default_js_domain { \"$G\": \"reef\" }\n", port)
	hub.Start()
	leaf.Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef"}, reading(1, 4))
	ann.create(hub.URL())
	end := time.Now().Add(20 * time.Second)
	for err := ben.try(leaf.URL(), false); err != nil; err = ben.try(leaf.URL(), false) { // until the leaf is connected
		if time.Now().After(end) {
			t.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond)
	}
	ben.sync()
	hub.Stop()
	ben.note(reading(2, 5))
	if _, err := Sync(t.Context(), ben.book, Options{Within: time.Second}); err == nil {
		t.Error("in step with a server that is down")
	}
	hub.Start()
	for ben.waiting() > 0 && time.Now().Before(end) {
		ben.syncFor(2 * time.Second)
	}
	ann.sync()
	same(t, ann, ben)
}
