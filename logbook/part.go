package logbook

import (
	"encoding/binary"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// Part is a file in the making, for its owner alone. It stands in the folder of the file that it becomes, so that it
// can take its name in one step, and is locked as long as its maker lives: one without a lock was left by a kill
// and is removed by whoever comes next.
type Part struct {
	*os.File
	path string
}

// NewPart begins the file at path. Where a link stands there, it begins the file that the link names.
func NewPart(path string) (*Part, error) {
	path = follow(path)
	removeParts(path)
	for {
		f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".leadline.part-*")
		if err != nil {
			return nil, err
		}
		hold(f)
		if isNamed(f, f.Name()) { // nobody took it for one that was left
			return &Part{f, path}, nil
		}
		f.Close()
	}
}

// Share gives the file the mode of any new file, by the umask, unless another is replaced. A file system without modes
// refuses, and has its own rule.
func (p *Part) Share() {
	if _, err := os.Stat(p.path); err != nil {
		_ = p.Chmod(0o666 &^ umask())
	}
}

// Finish puts the finished file on the disk and gives it its name. What bears that is replaced, or else it is
// ErrExists.
func (p *Part) Finish(replace bool) error {
	if replace {
		p.standInFor()
	}
	if err := p.Sync(); err != nil {
		return err
	}
	if runtime.GOOS == "windows" { // which renames no file that is open
		if err := p.Close(); err != nil {
			return err
		}
	}
	if replace {
		if err := os.Rename(p.Name(), p.path); err != nil {
			return err
		}
		return syncFolder(p.path)
	}
	return appear(p.Name(), p.path)
}

// standInFor takes mode and owner of the file that is to be replaced. Where its group cannot be kept, the group that
// the file has instead may do no more with it than anybody.
func (p *Part) standInFor() {
	old, err := os.Stat(p.path)
	if err != nil {
		return
	}
	mode := old.Mode().Perm()
	own, err := p.Stat()
	if was := owner(old); err == nil && owner(own) != was && p.Chown(was[0], was[1]) != nil && p.Chown(-1, was[1]) != nil {
		mode = mode&^0o070 | mode&0o007<<3
	}
	_ = p.Chmod(mode)
}

// Drop ends the making. Of a file that was not finished nothing is left.
func (p *Part) Drop() {
	p.Close()
	os.Remove(p.Name())
}

// appear gives a finished file its name, unless something stands there already.
func appear(part, path string) error {
	err := os.Link(part, path)
	if errors.Is(err, fs.ErrExist) {
		return alreadyThere(path)
	}
	if err != nil { // a file system without links
		if _, err := os.Lstat(path); err == nil {
			return alreadyThere(path)
		}
		if err := os.Rename(part, path); err != nil {
			return err
		}
	}
	return syncFolder(path)
}

// syncFolder makes the name of a file durable.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" { // which cannot sync a folder
		return nil
	}
	d, err := os.Open(filepath.Dir(path))
	if err != nil {
		return unsettled{err}
	}
	defer d.Close()
	if err := d.Sync(); err != nil {
		return unsettled{err}
	}
	return nil
}

// follow is the path that a path means: where a link stands, the one that it names, whether or not a file is there.
func follow(path string) string {
	for range 40 { // as many as Linux follows
		to, err := os.Readlink(path)
		if err != nil {
			break
		}
		if !filepath.IsAbs(to) { // not cleaned: what stands before .. may be a link
			to = filepath.Dir(path) + string(filepath.Separator) + to
		}
		path = to
	}
	return path
}

func isNamed(f *os.File, path string) bool {
	ours, err := f.Stat()
	if err != nil {
		return true // the next step will say so
	}
	named, err := os.Stat(path)
	return err == nil && os.SameFile(ours, named)
}

// removeParts removes what a kill left in the folder of a file.
func removeParts(file string) {
	for _, path := range beside(file) {
		if of, ours := partOf(path); (ours || of == filepath.Base(file)) && abandoned(path) {
			os.Remove(path)
		}
	}
}

// leftBeside are the files beside a book from which it may be got back: what a restore put aside, and
// copies that were broken off. An empty book in the making is none.
func leftBeside(book string) (left []string) {
	base := filepath.Base(book)
	for _, path := range beside(book) {
		of, _ := partOf(path)
		if strings.HasPrefix(filepath.Base(path), base+".replaced") || of == base && abandoned(path) && !holdsNothing(path) {
			left = append(left, path)
		}
	}
	return left
}

func beside(file string) (paths []string) {
	files, _ := os.ReadDir(filepath.Dir(file))
	for _, f := range files {
		if f.Type().IsRegular() {
			paths = append(paths, filepath.Join(filepath.Dir(file), f.Name()))
		}
	}
	return paths
}

// partOf is the name that a part is made for, or "" of another file; ours where no other program names its parts so.
func partOf(path string) (of string, ours bool) {
	name := filepath.Base(path)
	i := strings.LastIndex(name, ".part-")
	if i < 1 || name[0] != '.' || strings.Trim(name[i+len(".part-"):], "0123456789") != "" {
		return "", false
	}
	return strings.CutSuffix(name[1:i], ".leadline")
}

func holdsNothing(path string) bool {
	if info, err := os.Stat(path); err != nil || info.Size() == 0 {
		return true
	}
	tanks := 1
	err := newBook(path).View(func(v *View) error {
		all, err := v.Tanks()
		tanks = len(all)
		return err
	})
	return err == nil && tanks == 0
}

// BeginsLikeBook reports whether a file has the mark of a book in one of its two head pages. Where the second one lies
// depends on the size of the pages, which is a power of two.
func BeginsLikeBook(path string) (bool, error) {
	f, err := os.Open(path)
	if err != nil {
		return false, err
	}
	defer f.Close()
	var mark [4]byte // behind the head of a page
	for page := int64(0); page <= 16<<20; page = max(1024, 2*page) {
		if _, err := f.ReadAt(mark[:], page+pageHead); err != nil {
			if errors.Is(err, io.EOF) {
				err = nil
			}
			return false, err
		}
		if binary.NativeEndian.Uint32(mark[:]) == 0xED0CDAED {
			return true, nil
		}
	}
	return false, nil
}
