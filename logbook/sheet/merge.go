package sheet

import "slices"

// merge is a block of cells that were made one; its text stands in the first.
type merge struct{ top, bottom, column int }

func newMerge(from, to string) (merge, bool) {
	top, column, ok := parsePlace(from)
	bottom, _, ok2 := parsePlace(to)
	return merge{top, bottom, column}, ok && ok2 && bottom > top
}

// mergeDown gives the cells of a merged block the text of the first, in its own column: so a day that was written once for
// several rows holds for all of them. Blocks across columns alone keep their text in the first one. Empty rows go.
func mergeDown(rows []Row, merges []merge, a *archive, err error) ([]Row, error) {
	if err != nil {
		return nil, err
	}
	for _, m := range merges {
		first, ok := slices.BinarySearchFunc(rows, m.top, func(r Row, number int) int { return r.Number - number })
		if !ok || m.column >= len(rows[first].Cells) {
			continue
		}
		c := rows[first].Cells[m.column]
		c.Merged = true
		for i := first + 1; i < len(rows) && rows[i].Number <= m.bottom; i++ {
			row := &rows[i]
			if c.empty() || !slices.ContainsFunc(row.Cells, func(c Cell) bool { return !c.empty() && !c.Merged }) {
				continue // nothing else stands in it
			}
			if err := a.takeCells(max(0, m.column+1-len(row.Cells))); err != nil {
				return nil, err
			}
			row.put(m.column, c)
		}
	}
	kept := rows[:0]
	for _, r := range rows {
		if r.trim(); len(r.Cells) > 0 {
			kept = append(kept, r)
		}
	}
	return kept, nil
}
