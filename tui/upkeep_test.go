package tui

import (
	"strings"
	"testing"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/tui/form"
)

// A new stock asks how much of it there is, and the journal says the count with its unit.
func TestNewStockWithWhatIsThere(t *testing.T) {
	b, a, _ := formBook(t)
	do(a, "s", "N")
	f := a.top().(*form.Form)
	for _, k := range [][2]string{{"name", "KH reservoir"}, {"unit", "mL"}, {"supplement", "carbonate mix"},
		{"there now", "2500"}} {
		f.StartAt(k[0])
		doText(a, k[1])
	}
	do(a, "ctrl+s")
	es := entriesOf(t, b, logbook.KindRefill)
	if len(es) != 1 || es[0].(logbook.Refill).Amount != 2500 {
		t.Fatalf("the book holds %+v; the screen says\n%s", es, a.View())
	}
	do(a, "esc", "J")
	if view := a.View(); !strings.Contains(view, "KH reservoir: 2500 mL there") {
		t.Errorf("the journal:\n%s", view)
	}
}

// A chore that was never done shows how often it comes round.
func TestChoreNotDoneShowsItsInterval(t *testing.T) {
	_, a, _ := formBook(t)
	do(a, "s")
	if view := a.View(); !strings.Contains(view, "not yet") || !strings.Contains(view, "every 42 days; not done yet") {
		t.Errorf("no interval:\n%s", view)
	}
}

// Done opens the form of the chore that is chosen, not of the first one.
func TestDoneIsOfTheChosenChore(t *testing.T) {
	b, a, _ := formBook(t)
	if _, err := b.Append(logbook.Chore{Tank: "forereef", Name: "clean the pump", EveryDays: 7}); err != nil {
		t.Fatal(err)
	}
	do(a, "s")
	for _, key := range []string{"g", "G"} {
		do(a, key)
		u := a.top().(*upkeep)
		want := u.lines()[u.At].name
		do(a, "enter")
		if got := a.top().(*form.Form).Value("chore"); got != want {
			t.Errorf("the form is of %q, chosen was %q", got, want)
		}
		do(a, "esc")
	}
}

// Where there is no chore and no stock yet, the keys that are named for the first ones open their forms.
func TestTheFirstChoreAndStock(t *testing.T) {
	for key, title := range map[string]string{"C": "new chore", "N": "new stock"} {
		_, a, _ := formBook(t)
		u := newUpkeep(a.env, example(t)[0].Tank, "")
		a.push(u)
		u.fill(alerts.Upkeep{})
		if view := a.View(); !strings.Contains(view, key+" adds a") {
			t.Errorf("%s is not named:\n%s", key, view)
		}
		if do(a, key); !strings.Contains(a.top().About().Title, title) {
			t.Errorf("%s opened %s", key, a.top().About().Title)
		}
	}
}
