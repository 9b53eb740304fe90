//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package logbook

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"

	bolterrors "go.etcd.io/bbolt/errors"
)

// lineUp takes the lock of a book that was just opened, before bbolt asks for it, so that all who want it come in
// turn: who asks holds the lock of the book's folder until the book's is got, and the others wait behind. Else readers
// could pass a writer for ever. Where the folder cannot be locked, as on some network disks, there is no such order,
// nor behind somebody who has waited for long, for a book beside this one perhaps.
// Who holds another book already passes the line, so that no two wait for each other.
func lineUp(f *os.File, write, passes bool) error {
	ctx, cancel := context.WithTimeout(context.Background(), wait)
	defer cancel()
	if !passes {
		defer lockWithin(wait/10, filepath.Dir(f.Name()))()
	}
	if write {
		return lock(ctx, f, syscall.LOCK_EX)
	}
	return lock(ctx, f, syscall.LOCK_SH)
}

// lockWithin locks a folder, if that can be had within some time, until what it returns is called.
func lockWithin(some time.Duration, folder string) (unlock func()) {
	f, err := os.Open(folder)
	if err != nil {
		return func() {}
	}
	ctx, cancel := context.WithTimeout(context.Background(), some)
	defer cancel()
	_ = lock(ctx, f, syscall.LOCK_EX)
	return func() { f.Close() }
}

// lockFolder is lockWithin for as long as a book is waited for.
func lockFolder(folder string) (unlock func()) { return lockWithin(wait, folder) }

// lock waits for the lock of a file. One that comes too late is given back at once.
func lock(ctx context.Context, f *os.File, how int) error {
	if err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB); !errors.Is(err, syscall.EWOULDBLOCK) {
		return err
	}
	if ctx.Err() != nil {
		return bolterrors.ErrTimeout
	}
	same, err := syscall.Dup(int(f.Fd())) // f may be closed meanwhile
	if err != nil {
		return err
	}
	got := make(chan error, 1)
	go func() {
		defer syscall.Close(same)
		err := error(syscall.EINTR)
		for errors.Is(err, syscall.EINTR) {
			err = syscall.Flock(same, how)
		}
		got <- err
	}()
	select {
	case err := <-got:
		return err
	case <-ctx.Done():
		return bolterrors.ErrTimeout
	}
}

// unlock gives back the lock that bbolt took on a file.
func unlock(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_UN) }

// hold locks a file in the making as long as it stays open; whoever reads it meanwhile is not hindered.
func hold(f *os.File) { _ = syscall.Flock(int(f.Fd()), syscall.LOCK_SH|syscall.LOCK_NB) }

// abandoned reports whether nobody holds a file.
func abandoned(path string) bool {
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	return syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) == nil
}

// lockName is the name by which /proc/locks knows a file: device and inode.
func lockName(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	dev := uint64(stat.Dev)
	major, minor := dev>>8&0xfff|dev>>32&^0xfff, dev&0xff|dev>>12&^0xff
	return fmt.Sprintf("%02x:%02x:%d", major, minor, stat.Ino)
}

// umask is what new files of this process are not allowed. It can be read only by setting it, here for a moment to the
// strictest.
func umask() fs.FileMode {
	mask := syscall.Umask(0o077)
	syscall.Umask(mask)
	return fs.FileMode(mask)
}

// owner is the numbers of a file's owner and group.
func owner(info fs.FileInfo) (ids [2]int) {
	if stat, is := info.Sys().(*syscall.Stat_t); is {
		ids = [2]int{int(stat.Uid), int(stat.Gid)}
	}
	return ids
}
