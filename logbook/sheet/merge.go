package sheet

import "slices"

// merge is a block of cells that were made one; its text stands in the first.
type merge struct{ top, bottom, column int }

// mergeDown gives the cells of a merged block the text of the first, in its own column: so a day that was written once
// for several rows holds for all of them. Blocks across columns alone keep their text in the first one. Empty rows go.
func mergeDown(rows []Row, merges []merge, a *archive, err error) ([]Row, error) {
	if err != nil {
		return nil, err
	}
	kept := rows[:0]
	for _, r := range rows {
		if r.trim(); len(r.Cells) > 0 {
			kept = append(kept, r)
		}
	}
	for _, m := range merges {
		first, ok := slices.BinarySearchFunc(kept, m.top, func(r Row, number int) int { return r.Number - number })
		if !ok || m.column >= len(kept[first].Cells) {
			continue
		}
		c := kept[first].Cells[m.column]
		if c.Merged = true; c.empty() {
			continue
		}
		for i := first + 1; i < len(kept) && kept[i].Number <= m.bottom; i++ {
			row := &kept[i]
			// A file may merge the same cells again and again: each time counts.
			if err := a.takeCells(max(1, m.column+1-len(row.Cells))); err != nil {
				return nil, err
			}
			row.put(m.column, c)
		}
	}
	return kept, nil
}
