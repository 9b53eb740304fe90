//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package logbook

import (
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
