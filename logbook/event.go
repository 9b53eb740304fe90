package logbook

import "time"

// Event is what was seen or done.
type Event struct {
	ID      ID
	Time    time.Time
	Tank    string
	Tags    []string
	Subject string
	Text    string
	Who     string
}

func (Event) Kind() Kind         { return KindEvent }
func (e Event) EntryID() ID      { return e.ID }
func (e Event) When() time.Time  { return e.Time }
func (e Event) TankName() string { return e.Tank }

func (e Event) fields(v visitor) Record {
	v.entry(&e.ID, &e.Time, &e.Tank)
	v.texts("tags", "a tag", &e.Tags, 0)
	v.text("subject", "the subject", &e.Subject, freeText)
	v.text("text", "the text", &e.Text, freeText)
	byWhom(v, &e.Who)
	v.check(func(c *checks) {
		if e.Subject == "" && e.Text == "" && len(e.Tags) == 0 {
			c.fail("the event says nothing: it has no tag, no subject and no text")
		}
	})
	return e
}

// Acknowledgement is the keeper's word on an alert: seen, or not again before Until. An acknowledgement holds while
// the alert it answers stays open; one with Until is a snooze and holds until then.
type Acknowledgement struct {
	ID        ID
	Time      time.Time
	Tank      string
	Parameter string // "" for an alert that is not about a parameter
	Subject   string // the stock or chore that the alert is about; "" means all of the rule
	Rule      string
	Until     time.Time // zero: seen, for as long as the alert stays open
	Note      string
	Who       string
}

func (Acknowledgement) Kind() Kind         { return KindAcknowledgement }
func (a Acknowledgement) EntryID() ID      { return a.ID }
func (a Acknowledgement) When() time.Time  { return a.Time }
func (a Acknowledgement) TankName() string { return a.Tank }

func (a Acknowledgement) fields(v visitor) Record {
	v.entry(&a.ID, &a.Time, &a.Tank)
	v.text("parameter", "the parameter", &a.Parameter, ofParameter)
	subject := v.last(a.Subject != "" || a.Who != "", func() { v.text("subject", "the subject", &a.Subject, 0) })
	v.text("rule", "the rule", &a.Rule, needed)
	v.moment("until", "the end of the snooze", &a.Until, 0)
	v.text("note", "the note", &a.Note, freeText)
	subject()
	byWhom(v, &a.Who)
	return a
}
