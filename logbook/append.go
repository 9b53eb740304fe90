package logbook

// Imported says what an import did.
type Imported struct {
	Added   int          // records that are new in the book
	Already int          // records that were there, or are struck
	Tanks   []string     // tanks that were created because entries name them
	ByKind  map[Kind]int // the added ones
}

// Batch gathers the records of an import in little memory. The zero Batch is empty and ready.
type Batch struct{}

func (bt *Batch) Add(rec Record) error { return errTodo }
func (bt *Batch) Len() int             { return 0 }

func (b *Book) Append(recs ...Record) ([]ID, error)          { return nil, errTodo }
func (b *Book) Import(recs []Record) (Imported, error)       { return Imported{}, errTodo }
func (b *Book) ImportBatch(bt *Batch) (Imported, error)      { return Imported{}, errTodo }
func (b *Book) Strike(s Strike, successor Entry) (ID, error) { return ID{}, errTodo }
