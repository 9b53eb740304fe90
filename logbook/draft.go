package logbook

import "time"

// Draft is a test day that is being typed.
type Draft struct {
	Tank    string
	Started time.Time
	Fields  map[string]DraftField // by parameter
}

// DraftField is what stands in one field of a draft, as typed.
type DraftField struct{ Text, Unit, Method, Note string }

func (b *Book) SaveDraft(d Draft) error     { return errTodo }
func (b *Book) DropDraft(tank string) error { return errTodo }
func (b *Book) SaveTestDay(tank string, rs []Reading, also ...Record) ([]ID, error) {
	return nil, errTodo
}
func (v *View) Draft(tank string) (Draft, bool, error) { return Draft{}, false, errTodo }
