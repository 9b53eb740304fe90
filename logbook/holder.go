package logbook

import (
	"bufio"
	"fmt"
	"os"
	"strings"
)

// holder names the process that has a file locked, where the system tells: " (process 4711, leadline)". Elsewhere it
// is empty.
func holder(path string) string {
	file := lockName(path)
	locks, err := os.Open("/proc/locks")
	if err != nil || file == "" {
		return ""
	}
	defer locks.Close()
	inode := file[strings.LastIndex(file, ":"):]
	process := ""
	for lines := bufio.NewScanner(locks); lines.Scan(); {
		// 3: FLOCK  ADVISORY  WRITE 4711 08:01:131074 0 EOF; a waiting one has an arrow before its FLOCK
		f := strings.Fields(lines.Text())
		if len(f) < 6 || f[1] != "FLOCK" || !strings.HasSuffix(f[5], inode) || f[4] == "0" {
			continue
		}
		process = f[4]
		if f[5] == file { // some file systems tell another device
			break
		}
	}
	if process == "" {
		return ""
	}
	name, err := os.ReadFile("/proc/" + process + "/comm")
	if err != nil {
		return fmt.Sprintf(" (process %s)", process)
	}
	return fmt.Sprintf(" (process %s, %s)", process, strings.TrimSpace(string(name)))
}
