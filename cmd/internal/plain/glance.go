package plain

import (
	"leadline/cmd/internal/look"
)

// glance says the morning glance.
func (d *dialogue) glance() error {
	reports, err := d.app.Examine(d.book)
	if err != nil {
		return err
	}
	return look.PrintGlance(d.app, d.book, reports)
}
