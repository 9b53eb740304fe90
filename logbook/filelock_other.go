//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package logbook

import (
	"io/fs"
	"os"
	"runtime"
)

// unlock does nothing: the lock ends with the file handle.
func unlock(*os.File) {}

// hold does nothing: on Windows no file can be removed that is open.
func hold(*os.File) {}

func abandoned(string) bool { return runtime.GOOS == "windows" }

func lockName(string) string { return "" }

// lineUp leaves it to bbolt to ask for the lock now and then.
func lineUp(*os.File, bool, bool) error { return nil }

// lockFolder does nothing: two may make the same copy at once.
func lockFolder(string) (unlock func()) { return func() {} }

func umask() fs.FileMode { return 0 }

func owner(fs.FileInfo) (none [2]int) { return none }
