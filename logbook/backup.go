package logbook

func (b *Book) Backup(path string) error { return errTodo }
func Restore(from, to string) error      { return errTodo }
