package logbook

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// KeepBackups has checked copies of the book made in a folder: before the first writing of a day by the clock of
// NotedBy, and by BackupNow. It is for whoever opens the book; without it none is made.
func (b *Book) KeepBackups(folder string) { b.backups = folder }

// BackupFailed is why the last of these copies could not be made; nil where none failed. The writing goes on without.
func (b *Book) BackupFailed() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.uncopied
}

// BackupNow makes such a copy unless the newest holds all there is.
func (b *Book) BackupNow() { _ = b.backupUnless(func(time.Time) bool { return false }) }

// backupToday makes one where there is none of today. A book that is found damaged by it is not written to.
func (b *Book) backupToday() error {
	return b.backupUnless(func(newest time.Time) bool {
		now := b.now()
		return !newest.Before(time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location()))
	})
}

// backupUnless makes one unless the newest will do, or nothing was written since. Who waits for another's copy to be
// made finds it made. Only damage is an error.
func (b *Book) backupUnless(willDo func(newest time.Time) bool) error {
	made := func() bool {
		copies := Backups(b.backups, b.path, b.now())
		info, err := os.Stat(b.path)
		return err != nil || len(copies) > 0 && (willDo(copies[0]) || info.ModTime().Before(copies[0])) ||
			len(copies) == 0 && b.isEmpty()
	}
	if b.backups == "" || made() {
		return nil
	}
	err := b.makeBackupFolder()
	if err == nil {
		defer lockFolder(b.backups)()
		if made() {
			return nil
		}
		path := backupPath(b.backups, b.path, b.now())
		if err = b.backup(path); err == nil {
			_ = os.Chmod(path, fileMode(b.path))
		}
	}
	if errors.Is(err, ErrDamaged) { // the fault may be that of the copy's disk
		if _, own := b.walkFile(true); errors.Is(own, ErrDamaged) {
			return b.remember(own)
		}
	}
	if errors.Is(err, ErrExists) { // of this second
		err = nil
	}
	b.mu.Lock()
	b.uncopied = err
	b.mu.Unlock()
	if err == nil {
		b.removeOld()
	}
	return nil
}

// makeBackupFolder makes the folder unless it is there, and the one that it lies in; one more that is missing may be a
// disk that is not connected. Who may write to the book may have it copied.
func (b *Book) makeBackupFolder() error {
	if _, err := os.Stat(b.backups); err == nil {
		return nil
	}
	mode := fileMode(b.path)
	_ = os.Mkdir(filepath.Dir(b.backups), 0o700)
	if err := os.Mkdir(b.backups, 0o700); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return os.Chmod(b.backups, mode|mode&0o444>>2)
}

func fileMode(path string) fs.FileMode {
	info, err := os.Stat(path)
	if err != nil {
		return 0o600
	}
	return info.Mode().Perm()
}

// mostOfBackups is how many bytes the copies of a book may take together; but the best three stay whatever they take.
const mostOfBackups = 1 << 30

func (b *Book) removeOld() {
	made, bytes := Backups(b.backups, b.path, b.now()), int64(0)
	best := worthKeeping(made)
	for i, at := range best {
		info, err := os.Stat(backupPath(b.backups, b.path, at))
		if err != nil {
			continue
		}
		if bytes += info.Size(); i >= 3 && bytes > mostOfBackups {
			best = best[:i]
			break
		}
	}
	for _, at := range made {
		if !slices.Contains(best, at) {
			os.Remove(backupPath(b.backups, b.path, at))
		}
	}
}

// isEmpty reports whether nothing was ever noted.
func (b *Book) isEmpty() (empty bool) {
	_ = b.session(false, func(s *session) {
		k, _ := s.tx.Bucket([]byte(changesName)).Cursor().First()
		empty = k == nil
	})
	return empty
}

// backupStamp is the end of a copy's name: the moment, by UTC.
const backupStamp = ".2006-01-02T150405Z"

func backupPath(folder, book string, at time.Time) string {
	return filepath.Join(folder, filepath.Base(book)+at.UTC().Format(backupStamp))
}

// Backups are the moments of the copies of a book in a folder, the newest first; none where the folder cannot be read.
// One of a day or more after now was made by a clock that was wrong: it is left alone, and is no reason to make none.
func Backups(folder, book string, now time.Time) (made []time.Time) {
	files, _ := os.ReadDir(folder) // in the order of their names, which is that of time
	for _, f := range files {
		if stamp, is := strings.CutPrefix(f.Name(), filepath.Base(book)); is {
			if at, err := time.Parse(backupStamp, stamp); err == nil && at.Before(now.AddDate(0, 0, 1)) {
				made = append([]time.Time{at}, made...)
			}
		}
	}
	return made
}

// worthKeeping are the copies that stay, of those given newest first, the best first: the last of each of seven days,
// five weeks and twelve months, and then the rest of the last ten.
func worthKeeping(made []time.Time) []time.Time {
	type span struct {
		kind     byte
		year, no int
	}
	var best, rest []time.Time
	stay, left := map[span]bool{}, map[byte]int{'d': 7, 'w': 5, 'm': 12}
	for i, at := range made {
		year, week := at.ISOWeek()
		isLast := false
		for _, s := range []span{{'d', at.Year(), at.YearDay()}, {'w', year, week}, {'m', at.Year(), int(at.Month())}} {
			if !stay[s] && left[s.kind] > 0 {
				stay[s], isLast = true, true
				left[s.kind]--
			}
		}
		switch {
		case isLast:
			best = append(best, at)
		case i < 10:
			rest = append(rest, at)
		}
	}
	return append(best, rest...)
}
