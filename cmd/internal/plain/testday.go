package plain

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"leadline/alerts"
	"leadline/alerts/entry"
	"leadline/alerts/words"
	"leadline/cmd/internal/app"
	"leadline/logbook"
)

// lineTest is a test day at the prompt. What is acknowledged lies on the disk as a draft, and becomes readings when the
// keeper says yes at the end.
type lineTest struct {
	*dialogue
	tank  logbook.Tank
	when  time.Time
	asked []entry.Test

	tested  []logbook.Parameter
	context entry.Context // by which what is typed is read
	draft   logbook.Draft

	anyDue bool
}

func (d *dialogue) testDay(typed []string) error {
	all := len(typed) > 0 && typed[len(typed)-1] == "all"
	if all {
		typed = typed[:len(typed)-1]
	}
	tank, err := d.whichTank(strings.Join(typed, " "))
	if err != nil {
		return err
	}
	t := &lineTest{dialogue: d, tank: tank}
	if err := t.load(all); err != nil {
		return err
	}
	err = t.run()
	if errors.Is(err, errLeft) && len(t.draft.Fields) > 0 {
		t.keepsDraft()
	}
	return err
}

// whichTank finds the tank of a test day, and asks where there are several.
func (d *dialogue) whichTank(name string) (tank logbook.Tank, err error) {
	if name == "" && d.app.TankFlag == "" {
		tanks, err := logbook.Seen(d.book, d.app.TanksInUse)
		if err == nil && len(tanks) > 1 {
			name, err = d.ask("which tank? " + strings.Join(app.TankNames(tanks), ", ") + ": ")
		}
		if err != nil {
			return tank, err
		}
	}
	if name == "" {
		return logbook.Seen(d.book, d.app.Tank)
	}
	return logbook.Seen(d.book, func(v *logbook.View) (logbook.Tank, error) { return d.app.TankNamed(v, name) })
}

// load finds what is to be asked: what is due, or everything where nothing is or all is wanted.
func (t *lineTest) load(all bool) (err error) {
	if t.when, err = t.app.AsOf(t.tank); err != nil {
		return err
	}
	return t.book.View(func(v *logbook.View) error {
		report, err := alerts.Examine(v, t.tank.Name, t.when)
		if err != nil {
			return err
		}
		found := false
		if t.draft, found, err = v.Draft(t.tank.Name); err != nil {
			return err
		}
		if !found {
			t.draft = logbook.Draft{Tank: t.tank.Name, Started: t.when, Fields: map[string]logbook.DraftField{}}
		}
		var due, rest []alerts.Finding
		for _, l := range report.Findings {
			isDue := l.OnTestDay(t.when)
			t.anyDue = t.anyDue || isDue
			if _, typed := t.draft.Fields[l.Parameter.Name]; typed || isDue {
				due = append(due, l)
			} else {
				rest = append(rest, l)
			}
		}
		if all || !t.anyDue {
			due = append(due, rest...)
		}
		for _, l := range due {
			t.tested = append(t.tested, l.Parameter)
		}
		if t.context, err = entry.Load(v, t.tank, t.when, t.tested...); err != nil {
			return err
		}
		for _, l := range due {
			f, err := t.field(l)
			if err != nil {
				return err
			}
			t.asked = append(t.asked, f)
		}
		return nil
	})
}

// field is one parameter of the test day, by the method of the last time.
func (t *lineTest) field(l alerts.Finding) (entry.Test, error) {
	err := t.app.CheckUnits(t.context.Parameters)
	f := t.context.Test(l)
	if err != nil || len(l.Readings) == 0 {
		f.By("")
		return f, err
	}
	f.By(app.LastReading(l).Method)
	j, err := f.Compare(app.LastReading(l), t.when)
	f.Expected = j.Expected
	return f, err
}

func (t *lineTest) run() error {
	if len(t.asked) == 0 {
		t.say("%s measures nothing yet; band nitrate --low 3 --high 12 gives it something", words.OneLine(t.tank.Name))
		return nil
	}
	if len(t.draft.Fields) > 0 {
		if err := t.resume(); err != nil {
			return err
		}
	}
	if !t.anyDue {
		t.say("nothing is due in %s; all of it is asked", words.OneLine(t.tank.Name))
	}
	t.say("test day of %s: %s. Type each reading; an empty line leaves it out, back goes one back, done goes to the "+
		"end, stop keeps a draft", words.OneLine(t.tank.Name), words.Plural(len(t.asked), "parameter", "parameters"))
	for i := 0; i < len(t.asked); {
		step, err := t.askOne(i)
		if err != nil {
			return err
		}
		if step == stopped {
			t.keepsDraft()
			return nil
		}
		i = max(0, i+int(step))
	}
	return t.finish()
}

// resume tells of the draft of before, and takes it up or throws it away.
func (t *lineTest) resume() (err error) {
	t.say("a test day of %s is half typed:", words.Moment(t.draft.Started.In(t.tank.Zone())))
	t.list()
	if yes, err := t.agrees("go on with it? yes, or no to throw it away: "); err != nil {
		return err
	} else if !yes {
		old := t.draft
		t.draft = logbook.Draft{Tank: t.tank.Name, Started: t.when, Fields: map[string]logbook.DraftField{}}
		return t.book.SaveDraft(old, t.draft)
	}
	t.when = t.draft.Started.In(t.tank.Zone())
	if t.draft.When != "" { // it was typed on the screen
		if t.when, err = t.app.At(t.draft.When, t.tank, false); err != nil {
			return fmt.Errorf("the time of the half-typed test day: %w", err)
		}
	}
	t.context, err = logbook.Seen(t.book, func(v *logbook.View) (entry.Context, error) {
		return entry.Load(v, t.tank, t.when, t.tested...)
	})
	return err
}

// lineStep is where a test day goes from a question.
type lineStep int

// The steps: beyond any list of parameters, one back, the next one; stopped ends it.
const (
	toEnd    lineStep = 1 << 20
	oneBack  lineStep = -1
	oneOn    lineStep = 1
	stopped  lineStep = -1 << 20
	askAgain lineStep = 0
)

// askOne asks for one parameter.
func (t *lineTest) askOne(i int) (lineStep, error) {
	f := t.asked[i]
	p := f.Parameter
	intro := fmt.Sprintf("%d of %d, %s", i+1, len(t.asked), p.Name)
	if f.Unit != p.Name { // the pH has no other unit
		intro += " in " + f.Unit
	}
	if n := len(f.Readings); n > 0 {
		last := f.Readings[n-1]
		intro += ": last " + words.WithUnit(words.ValueIn(p, f.Unit, last), f.Unit) + ", " + words.Ago(last.Time, t.when)
		if f.Method != "" {
			intro += ", by " + f.Method
		}
		if e := f.ExpectedText(); e != "" {
			intro += "; expected " + e
		}
	} else {
		intro += ": first test"
	}
	if x := t.draft.Fields[p.Name]; x.Text != "" {
		intro += "; typed so far " + x.Text
	}
	t.say("%s", words.OneLine(intro))
	steps := map[string]lineStep{"": oneOn, "back": oneBack, "done": toEnd, "stop": stopped} // typed in place of a value
	text, err := t.ask(p.Name + ": ")
	for err == nil {
		if step, is := steps[text]; is {
			return step, nil
		}
		text, err = t.take(f, text)
	}
	if errors.Is(err, errLeft) {
		return askAgain, err
	}
	if err := t.app.Out.Flush(); err != nil { // nobody reads what is asked
		return askAgain, err
	}
	t.complain(err)
	return askAgain, nil
}

// take reads a typed value and keeps it in the draft. An unlikely one is asked about; what is typed then instead of
// yes is the value to take. Nothing instead: it is kept, or left out.
func (t *lineTest) take(f entry.Test, text string) (instead string, err error) {
	p := f.Parameter
	value, unit := logbook.Split(text)
	_, about, err := t.app.NewReading(t.context, p, text, app.TypedBy{Unit: f.Unit, Method: f.Method}, t.when)
	if err != nil {
		return "", err
	}
	doubted := false
	for _, s := range about {
		t.say("%s", words.OneLine(s))
		doubted = doubted || strings.HasPrefix(s, "warning: ")
	}
	if doubted {
		answer, err := t.ask("keep it? yes, or type the value again: ")
		if err != nil {
			return "", err
		}
		if !isYes(answer) {
			if answer == "" || isNo(answer) {
				answer, err = t.ask(p.Name + ": ")
			}
			return answer, err
		}
	}
	if unit == "" {
		unit = f.Unit
	}
	t.draft.Fields[p.Name] = logbook.DraftField{Text: value, Unit: unit, Method: f.Method}
	if err := t.book.SaveDraft(logbook.Draft{When: t.draft.When}, t.draft); err != nil {
		return "", err
	}
	t.say("%s %s %s, kept as a draft", p.Name, value, unit)
	return "", nil
}

// typed are the parameters of which a value is typed, in the order they are asked in.
func (t *lineTest) typed() (names []string) {
	for _, f := range t.asked {
		if t.draft.Fields[f.Parameter.Name].Text != "" {
			names = append(names, f.Parameter.Name)
		}
	}
	return names
}

func (t *lineTest) list() {
	for _, name := range t.typed() {
		x := t.draft.Fields[name]
		value, unit := logbook.Split(x.Text)
		if unit == "" {
			unit = x.Unit
		}
		t.say("%s", words.OneLine(name+" "+value+" "+unit+" "+x.Note))
	}
}

// finish says what was typed and puts it into the book when the keeper says yes.
func (t *lineTest) finish() error {
	if len(t.typed()) == 0 {
		t.say("nothing was typed")
		return nil
	}
	t.say("%s of %s, %s:", words.Plural(len(t.typed()), "reading", "readings"), words.OneLine(t.tank.Name),
		words.Moment(t.when))
	t.list()
	yes, err := t.agrees("save them? yes, or no to keep the draft: ")
	if err != nil {
		return err
	}
	if !yes {
		t.keepsDraft()
		return nil
	}
	var readings []logbook.Reading
	for _, p := range t.tested {
		x := t.draft.Fields[p.Name]
		if x.Text == "" {
			continue
		}
		r, _, err := t.app.NewReading(t.context, p, x.Text, app.TypedBy{Unit: x.Unit, Method: x.Method, Note: x.Note}, t.when)
		if err != nil {
			return err
		}
		readings = append(readings, r)
	}
	if _, err := t.book.SaveTestDay(t.draft, readings); err != nil {
		return err
	}
	t.say("%s of %s in the book", words.Plural(len(readings), "reading", "readings"), words.OneLine(t.tank.Name))
	return nil
}

func (t *lineTest) keepsDraft() {
	t.say("kept as a draft: test %s goes on with it", words.OneLine(t.tank.Name))
}

// agrees asks until the answer is yes or no.
func (d *dialogue) agrees(question string) (yes bool, err error) {
	for {
		answer, err := d.ask(question)
		if err != nil || isYes(answer) || isNo(answer) {
			return isYes(answer), err
		}
	}
}

func isYes(answer string) bool { return answer == "yes" || answer == "y" }

func isNo(answer string) bool { return answer == "no" || answer == "n" }
