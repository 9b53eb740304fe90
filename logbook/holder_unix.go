//go:build unix

package logbook

import (
	"os"
	"strconv"
	"syscall"
)

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
