package usage

import (
	"errors"
	"fmt"
	"io/fs"
)

// ReadError names the file once, whatever the system's own error says.
func ReadError(name string, err error) error {
	var p *fs.PathError
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("%s: there is no such file", name)
	case errors.As(err, &p):
		return fmt.Errorf("%s: %w", name, p.Err)
	}
	return err
}
