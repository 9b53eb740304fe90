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
func (b *Book) BackupNow() { b.backupUnless(func(time.Time) bool { return false }) }

// backupToday makes one where there is none of today.
func (b *Book) backupToday() {
	b.backupUnless(func(newest time.Time) bool {
		now := b.now()
		return !newest.Before(time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, now.Location()))
	})
}

// backupUnless makes one unless the newest will do, or nothing was written since.
func (b *Book) backupUnless(willDo func(newest time.Time) bool) {
	if b.backups == "" {
		return
	}
	made := Backups(b.backups, b.path)
	info, err := os.Stat(b.path)
	if err != nil || len(made) > 0 && (willDo(made[0]) || info.ModTime().Before(made[0])) {
		return
	}
	if len(made) == 0 && b.isEmpty() {
		return
	}
	mode := info.Mode().Perm() // who may write to the book may have it copied
	err = os.Mkdir(b.backups, 0o700)
	if err == nil {
		err = os.Chmod(b.backups, mode|mode&0o444>>2)
	}
	if err == nil || errors.Is(err, fs.ErrExist) {
		err = b.backup(backupPath(b.backups, b.path, b.now()))
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
}

// mostOfBackups is how many bytes the copies of a book may take together; but the last three stay whatever they take.
const mostOfBackups = 1 << 30

func (b *Book) removeOld() {
	made := Backups(b.backups, b.path)
	old, bytes := superfluous(made), int64(0)
	for i, at := range made {
		path := backupPath(b.backups, b.path, at)
		if info, err := os.Stat(path); err == nil {
			bytes += info.Size()
		}
		if slices.Contains(old, at) || i >= 3 && bytes > mostOfBackups {
			os.Remove(path)
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
func Backups(folder, book string) (made []time.Time) {
	files, _ := os.ReadDir(folder) // in the order of their names, which is that of time
	for _, f := range files {
		if stamp, is := strings.CutPrefix(f.Name(), filepath.Base(book)); is {
			if at, err := time.Parse(backupStamp, stamp); err == nil {
				made = append([]time.Time{at}, made...)
			}
		}
	}
	return made
}

// superfluous are the copies that go, of those given newest first. The last ten stay, and the last of each of seven
// days, five weeks and twelve months.
func superfluous(made []time.Time) (old []time.Time) {
	type span struct {
		kind     byte
		year, no int
	}
	stay, left := map[span]bool{}, map[byte]int{'d': 7, 'w': 5, 'm': 12}
	for i, at := range made {
		year, week := at.ISOWeek()
		keeps := i < 10
		for _, s := range []span{{'d', at.Year(), at.YearDay()}, {'w', year, week}, {'m', at.Year(), int(at.Month())}} {
			if !stay[s] && left[s.kind] > 0 {
				stay[s], keeps = true, true
				left[s.kind]--
			}
		}
		if !keeps {
			old = append(old, at)
		}
	}
	return old
}
