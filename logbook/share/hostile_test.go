package share

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"leadline/logbook"
	"leadline/testdata/server"
)

// What a member sends is checked as an import is: nonsense is left out and named, and all other lines come, its own and
// others'.
func TestNonsenseIsNamedAndLeftOut(t *testing.T) {
	server := server.New(t, "").Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef"})
	id := ann.note(reading(0, 4))[0]
	ann.create(server.URL())
	js := jetStream(t, server)
	elsewhere := newMember(t, "elsewhere")
	elsewhere.note(logbook.Tank{Name: "forereef"})
	good := func(n int) string {
		r := reading(n, 5)
		r.ID = elsewhere.note(r)[0]
		return string(logbook.RecordJSON(r))
	}
	other := reading(0, 8)
	other.ID = id
	changed, unnamed := string(logbook.RecordJSON(other)), string(logbook.RecordJSON(reading(6, 7)))
	for _, message := range []string{
		"", "\n\n", "no JSON", "PK\x03\x04", "\x00{\x00}", "{\"kind\":\"reading\"}\n" + good(1),
		good(2) + "\n{\"kind\":\"strike\",\"time\":\"2026-03-01T09:00:00Z\",\"id\":\"01KJSESXM0H9J452SYN7S0P77G\"}\n" +
			good(3),
		changed, unnamed, good(4) + "\n" + strings.Repeat("x", 1<<19), "\xff\xfe\xff", good(5) + "\r\n",
	} {
		if _, err := js.Publish(t.Context(), "leadline.reef.mallory", []byte(message)); err != nil {
			t.Fatal(err)
		}
	}
	ben.join(server.URL())
	ann.sync()
	same(t, ann, ben)
	counted(t, ben, 6)
	st, err := StatusOf(t.Context(), ann.book, ann.opt())
	if err != nil {
		t.Fatal(err)
	}
	if sent := st.Shared.Members["mallory"]; sent.Skipped < 8 || sent.Why == "" {
		t.Errorf("of mallory is told %+v", sent)
	}
	if sent := st.Shared.Members["ann"]; sent.Skipped > 0 {
		t.Errorf("of ann is told %+v", sent)
	}
}

// Whatever nonsense a member sends, its other lines come, and the others'.
func TestFloodOfNonsense(t *testing.T) {
	server := server.New(t, "").Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(server.URL())
	ben.join(server.URL())
	js := jetStream(t, server)
	for range 3 {
		if _, err := js.Publish(t.Context(), "leadline.reef.mallory", []byte(strings.Repeat("nonsense\n", 900))); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := js.Publish(t.Context(), "leadline.reef.mallory",
		logbook.RecordJSON(logbook.Tank{Name: "junk"})); err != nil {
		t.Fatal(err)
	}
	ben.note(reading(2, 6))
	ben.sync()
	ann.sync()
	same(t, ann, ben)
	counted(t, ann, 1)
	if !strings.Contains(ann.export(), `"tank":"junk"`) {
		t.Error("a line that could be taken was not")
	}
	st, err := StatusOf(t.Context(), ann.book, ann.opt())
	if sent := st.Shared.Members["mallory"]; err != nil || sent.Skipped != 2700 {
		t.Errorf("of mallory is told %+v (%v)", sent, err)
	}
}

// Lines that contradict the book are left out one by one, and whoever sends too many of them is passed over as well.
func TestContradictionsAreLeftOut(t *testing.T) {
	server := server.New(t, "").Start()
	ann, ben := newMember(t, "ann"), newMember(t, "ben")
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(server.URL())
	ben.join(server.URL())
	js := jetStream(t, server)
	var wrong, lines strings.Builder
	for i := range 1201 {
		r := reading(20, float64(1+i)) // another one each time, under one ID
		r.ID = logbook.NewID(r.Time, "of mallory", 0)
		fmt.Fprintf(&wrong, "%s\n", logbook.RecordJSON(r))
	}
	for i := range 5 {
		r := reading(i, 5)
		r.ID = logbook.NewID(r.Time, "elsewhere", i)
		fmt.Fprintf(&lines, "%s\n", logbook.RecordJSON(r))
	}
	for member, text := range map[string]string{"mallory": wrong.String(), "carl": lines.String()} {
		if _, err := js.Publish(t.Context(), "leadline.reef."+member, []byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	ben.note(reading(9, 6))
	inStep(t, ann, ben)
	counted(t, ann, 7)
	st, err := StatusOf(t.Context(), ben.book, ben.opt())
	if m, c := st.Shared.Members["mallory"], st.Shared.Members["carl"]; err != nil || m.Skipped != 1200 || c.Skipped != 0 {
		t.Errorf("of mallory is told %+v, of carl %+v (%v)", m, c, err)
	}
}

// The server of the page on sharing lets each member send under its own name alone, and do nothing else to the others.
func TestMembersUnderTheirOwnNames(t *testing.T) {
	page, err := os.ReadFile("../../cmd/leadline/SHARING.md")
	if err != nil {
		t.Fatal(err)
	}
	rules := regexp.MustCompile(`(?s)authorization \{\n.*?\n\}\n`).FindString(string(page))
	rules = strings.Replace(strings.Replace(rules, `"..."`, `"a"`, 1), `"..."`, `"b c"`, 1)
	server := server.New(t, rules).Start()
	login := func(name, password string) string {
		file := filepath.Join(t.TempDir(), name)
		if err := os.WriteFile(file, []byte(name+"\n"+password+"\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	keeper, ann := newMember(t, "keeper"), newMember(t, "ann")
	keeper.login, ann.login = login("keeper", "a"), login("ann", "b c")
	keeper.note(logbook.Tank{Name: "forereef"}, reading(0, 4))
	keeper.create(server.URL())
	ann.join(server.URL())
	ann.note(reading(1, 5))
	inStep(t, keeper, ann)
	other := newMember(t, "mallory")
	other.login = ann.login
	if err := other.try(server.URL(), false); err == nil {
		t.Error("ann's password sends under another name")
	}
	stranger := newMember(t, "ann")
	if err := stranger.try(server.URL(), false); err == nil ||
		!strings.Contains(err.Error(), "does not let this book in") {
		t.Errorf("a stranger is told %v", err)
	}
	if !strings.Contains(fmt.Sprint(CheckServers("nats://ann:b@127.0.0.1")), "no name and no password") {
		t.Error("a password in an address is taken")
	}
}

// Whoever sends another line under the ID of an entry does not keep the entry from being sent.
func TestLineUnderAnotherIDTakesNoPlace(t *testing.T) {
	server := server.New(t, "").Start()
	ann := newMember(t, "ann")
	ann.note(logbook.Tank{Name: "forereef"})
	ann.create(server.URL())
	other := reading(0, 8)
	other.ID = ann.note(reading(0, 4))[0]
	js := jetStream(t, server)
	if _, err := js.Publish(t.Context(), "leadline.reef.mallory", logbook.RecordJSON(other)); err != nil {
		t.Fatal(err)
	}
	if done, err := Sync(t.Context(), ann.book, ann.opt()); err != nil || done.Sent != 1 {
		t.Errorf("%+v were sent (%v), want the entry", done, err)
	}
}

// A line that comes before what it names waits for that, whoever else sends what contradicts the book.
func TestLinesWaitForWhatTheyName(t *testing.T) {
	server := server.New(t, "").Start()
	ann := newMember(t, "ann")
	ann.note(logbook.Tank{Name: "forereef"})
	id := ann.note(reading(0, 4))[0]
	ann.create(server.URL())
	js := jetStream(t, server)
	send := func(member string, recs ...logbook.Record) {
		t.Helper()
		var text strings.Builder
		for _, rec := range recs {
			fmt.Fprintf(&text, "%s\n", logbook.RecordJSON(rec))
		}
		if _, err := js.Publish(t.Context(), "leadline.reef."+member, []byte(text.String())); err != nil {
			t.Fatal(err)
		}
	}
	of := func(parameter string, n int) logbook.Reading {
		r := reading(n, 5)
		r.Parameter, r.ID = parameter, logbook.NewID(r.Time, parameter, n)
		return r
	}
	define := func(name string) logbook.Record { return logbook.Parameter{Name: name, Unit: "mg/L"} }
	contradicts := reading(0, 8)
	contradicts.ID = id
	struck := of("nitrate", 1)
	skipped := func(step string, carl, readings int) {
		t.Helper()
		ann.sync()
		st, err := StatusOf(t.Context(), ann.book, ann.opt())
		if got := st.Shared.Members["carl"]; err != nil || got.Skipped != carl || len(got.Waiting) != carl {
			t.Errorf("%s: of carl is told %+v (%v), want %d lines that wait", step, got, err, carl)
		}
		counted(t, ann, readings)
	}
	send("mallory", contradicts)
	send("carl", define("chromium"), of("chromium", 2), of("chromium", 3))
	skipped("beside a contradiction", 0, 3)
	send("carl", of("barium", 4), logbook.Strike{Target: struck.ID, Time: struck.Time})
	skipped("before what they name", 2, 3)
	send("mallory", contradicts)
	skipped("after something else", 2, 3)
	send("ben", struck, define("barium"))
	skipped("after what they name", 0, 5)
	if !strings.Contains(ann.export(), `"kind":"strike"`) {
		t.Error("the strike is not there")
	}
}
