//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package logbook

import (
	"io/fs"
	"os"
	"strconv"
	"syscall"
)

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

// inodeOf is the number by which /proc/locks knows a file.
func inodeOf(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	return strconv.FormatUint(uint64(stat.Ino), 10)
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
