package app

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"leadline/cmd/internal/terminal"
	"leadline/cmd/internal/usage"
	"leadline/logbook"
)

// Spool writes to a temporary file first and from there to its reader: one that takes its time, such as a pager, must
// not keep the book from being written to.
func (a *App) Spool(to io.Writer, write func(io.Writer) error) error {
	const name = "leadline-export-*"
	left, _ := fs.Glob(os.DirFS(os.TempDir()), name) // by a kill, where a file cannot go without its name
	for _, old := range left {
		os.Remove(filepath.Join(os.TempDir(), old))
	}
	f, err := os.CreateTemp("", name)
	if err != nil {
		return err
	}
	a.RemoveAtEnd(f.Name())
	os.Remove(f.Name())
	defer f.Close()
	if err := buffered(f, write); err != nil {
		return err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return err
	}
	if to == a.Out && terminal.IsTerminal(a.RawOut) {
		return a.copyCleaned(f)
	}
	_, err = io.Copy(to, f)
	return err
}

// copyCleaned shows an export on a terminal, where what others wrote must not be taken for a command.
func (a *App) copyCleaned(r io.Reader) error {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<26)
	for lines.Scan() {
		if _, err := fmt.Fprintln(a.Out, logbook.Clean(lines.Text())); err != nil {
			return err
		}
	}
	return lines.Err()
}

// WriteFile makes every file that leaves the program. It appears whole or not at all, and is written through a link.
// Who may read it is said by the umask, and one that is replaced keeps its mode and owner. What begins like a book is
// never replaced.
func (a *App) WriteFile(path string, force bool, write func(io.Writer) error) error {
	return a.writeFile(path, force, (*logbook.Part).Share, write)
}

// WriteOwn writes a file of the program's own, such as the settings, for the keeper alone. Its folder is made.
func (a *App) WriteOwn(path string, text []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return usage.ReadError(path, err)
	}
	return a.writeFile(path, true, func(*logbook.Part) {}, Text(text))
}

// Text is what WriteFile and its like write where the whole of it is there already.
func Text[T string | []byte](text T) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write([]byte(text))
		return err
	}
}

// WriteOwnJSON writes a value into such a file.
func (a *App) WriteOwnJSON(path string, v any) error {
	text, err := json.MarshalIndent(v, "", "  ")
	if err != nil {
		return err
	}
	return a.WriteOwn(path, append(text, '\n'))
}

// ReadOwnJSON reads a value from a file of the program's own; one that is not there says nothing. hint says what to do
// with one that cannot be read.
func ReadOwnJSON(path string, into any, hint string) error {
	text, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err == nil:
		err = json.Unmarshal(text, into)
	}
	if err != nil {
		err = usage.WithHint(fmt.Errorf("%s: it cannot be read: %w", path, err), hint)
	}
	return err
}

func (a *App) writeFile(path string, force bool, share func(*logbook.Part), write func(io.Writer) error) error {
	if info, err := os.Stat(path); err == nil {
		switch mode := info.Mode(); {
		case mode.IsDir():
			return fmt.Errorf("%s: it is a directory", path)
		case mode.Type() == fs.ModeDevice:
			return fmt.Errorf("%s: it is a disk", path)
		case !mode.IsRegular():
			return a.writeInto(path, write)
		}
		is, err := logbook.BeginsLikeBook(path)
		switch {
		case err != nil:
			return usage.ReadError(path, err)
		case is:
			return usage.WithHint(fmt.Errorf("%s: it is a logbook, which nothing replaces but leadline restore", path),
				"name another file")
		case !force:
			return usage.WithHint(fmt.Errorf("%s: it is there already", path), "--force replaces it")
		}
	}
	part, err := logbook.NewPart(path)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no such folder", path)
	}
	if err != nil {
		return usage.ReadError(path, err)
	}
	a.RemoveAtEnd(part.Name())
	defer part.Drop()
	share(part)
	if err = buffered(part, write); err == nil {
		err = part.Finish(force)
	}
	return ofFile(path, part.Name(), err)
}

// writeInto writes to what is no file on a disk: a pipe or a device.
func (a *App) writeInto(path string, write func(io.Writer) error) error {
	f, err := os.OpenFile(path, os.O_WRONLY, 0)
	if err != nil {
		return usage.ReadError(path, err)
	}
	defer f.Close()
	return ofFile(path, f.Name(), a.Spool(f, write))
}

// ofFile names a file as it was typed in what the system says of it; what went wrong elsewhere stays as it is.
func ofFile(typed, name string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) && at.Path == name {
		return usage.ReadError(typed, at)
	}
	return err
}

func buffered(w io.Writer, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(w, 1<<16)
	if err := write(b); err != nil {
		return err
	}
	return b.Flush()
}
