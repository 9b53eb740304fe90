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
	inode := inodeOf(path)
	locks, err := os.Open("/proc/locks")
	if err != nil || inode == "" {
		return ""
	}
	defer locks.Close()
	for lines := bufio.NewScanner(locks); lines.Scan(); {
		// 3: FLOCK  ADVISORY  WRITE 4711 08:01:131074 0 EOF
		f := strings.Fields(lines.Text())
		if len(f) < 6 || f[1] != "FLOCK" || !strings.HasSuffix(f[5], ":"+inode) || f[4] == "0" {
			continue
		}
		name, err := os.ReadFile("/proc/" + f[4] + "/comm")
		if err != nil {
			return fmt.Sprintf(" (process %s)", f[4])
		}
		return fmt.Sprintf(" (process %s, %s)", f[4], strings.TrimSpace(string(name)))
	}
	return ""
}
