//go:build unix

package main

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestShellsCompleteByKeys presses tab in real shells, those that are installed.
func TestShellsCompleteByKeys(t *testing.T) {
	for shell, how := range map[string]struct {
		args []string
		load string
	}{
		"bash": {[]string{"--norc", "-i"},
			"source /usr/share/bash-completion/bash_completion; source <(leadline completion bash)"},
		"zsh":  {[]string{"-f", "-i"}, "autoload -Uz compinit && compinit -u -D; source <(leadline completion zsh)"},
		"fish": {[]string{"--no-config", "-i"}, "leadline completion fish | source"},
	} {
		t.Run(shell, func(t *testing.T) {
			if shell == "bash" {
				bashCompletion(t)
			}
			if _, err := exec.LookPath(shell); err != nil {
				t.Skip("needs " + shell)
			}
			h := newHousehold(t)
			for _, args := range [][]string{{"tank", "add", "forereef"}, {"band", "nitrate", "--low", "2", "--high", "5"},
				{"add", "nitrate=9", "--at", "yesterday"}, {"chore", "add", "floss", "--every", "7d"},
				{"stock", "add", "fleece", "--per-day", "1", "--unit", "m"}} {
				h.run(t, args...)
			}
			e := h.startIn(t, 100, 30, h.env("PATH="+filepath.Dir(h.path)+":/usr/local/bin:/usr/bin:/bin"), shell, how.args...)
			e.press(how.load, enter, "echo re''ady", enter)
			e.sees("ready\n")
			for _, c := range [][2]string{{"trend phos", "phosphate"}, {"chart po4", "po4"}, {"band cl", "clear"},
				{"band alk", "alkalinity"}, {"chore done ", "floss"}, {"stock refill ", "fleece"},
				{"alerts acknowledge ", "nitrate"}, {"config set the", "theme"}} {
				line := "leadline " + c[0][:strings.LastIndexByte(c[0], ' ')+1] + c[1] + " X"
				e.press("leadline "+c[0], tab, "X")
				e.sees(line)
				e.press(ctrlU)
				e.loses(line)
			}
			e.press("exit", enter)
			if err := e.end(); err != nil {
				t.Log(err) // of what was broken off
			}
		})
	}
}
