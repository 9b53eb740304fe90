//go:build unix

package look

import (
	"os/exec"
	"syscall"
)

// inGroup has a command killed together with all that it started.
func inGroup(cmd *exec.Cmd) {
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	cmd.Cancel = func() error { return syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
}
