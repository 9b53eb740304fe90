package tui

import (
	"slices"
	"testing"

	"leadline/alerts"
	"leadline/logbook"
	"leadline/logbook/water"
	rules "leadline/testdata/typed"
	"leadline/tui/form"
	"leadline/tui/part"
)

func TestTypedOnTheScreens(t *testing.T) {
	for _, row := range rules.Rows(t) {
		b := row.Book(t)
		b.ShowIn(row.Units)
		before := rules.Lines(t, b)
		var tank logbook.Tank
		if err := b.View(func(v *logbook.View) (err error) { tank, err = v.Tank("forereef"); return err }); err != nil {
			t.Fatal(err)
		}
		a := newApp(Options{Book: b, Now: clock, NoColor: true})
		resize(a, 80, 24)
		settle(a, a.top().Init())
		var doubts, cautions []string
		refused := ""
		switch row.Kind {
		case "reading":
			doubts, refused = typeReading(a, tank, row)
		case "plan":
			cautions, refused = typePlan(t, a, tank, row)
		default:
			doubts, cautions, refused = typeForm(t, a, tank, row)
		}
		row.Check(t, rules.Added(t, b, before), doubts, cautions, refused)
	}
}

// typeReading types a reading on a test day and saves it, whatever is asked.
func typeReading(a *app, tank logbook.Tank, row rules.Row) (doubts []string, refused string) {
	d := newTestDay(a.env, tank, nil)
	a.push(d)
	settleAll(a, d.Init())
	at := slices.IndexFunc(d.fields, func(f *testField) bool { return f.Parameter.Name == row.Fields["parameter"] })
	d.focus(at)
	doText(a, row.Fields["value"])
	f := d.fields[at]
	if q, _ := f.question(); q != "" {
		doubts = append(doubts, q)
	}
	refused = f.refused
	do(a, "ctrl+s")
	if a.top() == d {
		do(a, "ctrl+s")
	}
	return doubts, refused
}

// typePlan types what a plan is to do.
func typePlan(t *testing.T, a *app, tank logbook.Tank, row rules.Row) (cautions []string, refused string) {
	t.Helper()
	line, err := logbook.Seen(a.env.Book, func(v *logbook.View) (alerts.Finding, error) {
		return part.ExamineNow(v, tank.Name, row.Fields["parameter"], noon)
	})
	if err != nil {
		t.Fatal(err)
	}
	p := form.NewPlan(a.env, line)
	a.push(p)
	settleAll(a, p.Init())
	for _, field := range [][2]string{{"target", row.Fields["to"]}, {"supplement", row.Fields["supplement"]},
		{"most a day", row.Fields["most"]}} {
		p.StartAt(field[0])
		p.Field(field[0]).Input.SetValue("")
		doText(a, field[1])
	}
	if p.Refused != "" {
		return nil, p.Refused
	}
	return p.Answer.Beware(), ""
}

// typeForm fills in a form and saves it, whatever is asked.
func typeForm(t *testing.T, a *app, tank logbook.Tank, row rules.Row) (doubts, cautions []string, refused string) {
	t.Helper()
	x := row.Fields
	var f *form.Form
	var typed [][2]string
	switch row.Kind {
	case "dose":
		f, typed = form.NewDose(a.env, tank, x["parameter"]),
			[][2]string{{"supplement", x["supplement"]}, {"rise", x["amount"]}, {"when", x["when"]}}
	case "dosing":
		f, typed = form.NewDosing(a.env, tank, x["parameter"]),
			[][2]string{{"supplement", x["supplement"]}, {"per day", x["amount"]}, {"when", x["when"]}}
	case "band":
		f, typed = form.NewBand(a.env, tank, x["parameter"], 0),
			[][2]string{{"low", x["low"]}, {"high", x["high"]}}
	case "water change":
		f, typed = form.NewWaterChange(a.env, tank, ""),
			[][2]string{{"how much", x["share"]}, {"new water", x["levels"]}}
	case "refill":
		f, typed = form.NewRefill(a.env, tank,
			logbook.Stock{Tank: tank.Name, Name: x["stock"], Unit: "mL", Supplement: x["supplement"]}),
			[][2]string{{"there now", x["amount"]}}
	case "stock":
		f, typed = form.NewStock(a.env, tank, ""),
			[][2]string{{"name", x["name"]}, {"supplement", x["supplement"]}}
	case "tank":
		f, typed = form.NewTankChange(a.env, tank, ""), [][2]string{{"litres", x["volume"]}}
	case "supplement":
		f, typed = form.NewSupplement(a.env, tank, x["name"]),
			[][2]string{{"label", x["label"]}, {"raises", x["raises"]}, {"or salt", x["salt"]}, {"grams per litre", x["grams"]}}
	case "method":
		f = form.NewMethod(a.env, tank, x["parameter"])
		typed = [][2]string{{"name", x["name"]}, {"unit", x["unit"]}, {"steps or marks", x["step"] + x["marks"]},
			{"repeatability", x["sd"]}}
	case "event":
		f, typed = form.NewEvent(a.env, tank, ""), [][2]string{{"what", x["what"]}}
	case "chore":
		f, typed = form.NewChore(a.env, tank, ""), [][2]string{{"chore", x["name"]}}
	default:
		t.Fatalf("no form for %s", row.Kind)
	}
	a.push(f)
	settleAll(a, f.Init())
	for _, field := range typed {
		f.StartAt(field[0])
		f.Field(field[0]).Input.SetValue(field[1])
	}
	if texts := water.Briefs(f.Cautions()); len(texts) > 0 {
		cautions = texts
		slices.Sort(cautions)
	}
	do(a, "ctrl+s")
	refused = f.Message
	if q := f.Question(); q != "" {
		doubts = append(doubts, q)
		do(a, "ctrl+s")
	}
	return doubts, cautions, refused
}
